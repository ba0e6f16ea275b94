"""What a reader of drawings advises can be followed where it is read: options on the command line, keys in a job."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest
from drawing_help import box, dxf, line, save

from cutplan.cli.main import parser
from cutplan.errors import CutplanError
from cutplan.files import reading_options
from cutplan.files.job.declared import plate as declared
from cutplan.files.job.read import read_job
from cutplan.files.reading_options import in_job
from cutplan.project.new.job import Told, Wanted, new_job
from cutplan.texts import say
from cutplan.texts.values import Name

READERS = Path(reading_options.__file__).parent
OPTIONS = [v for k, v in vars(reading_options).items() if k.isupper() and isinstance(v, Name)]
GAP = dxf(line(0, 0, 200, 0), line(200, 0, 200, 100), line(200, 100, 0, 100), line(0, 100, 0, 0.8))


def job(folder: Path, plate: str) -> Path:
    path = folder / "job.toml"
    text = f'units = "mm"\ntitle = "Insert"\n[plate]\ndrawing = "plate.dxf"\nthickness = 4\n{plate}\n[skin]\nthickness = 2\n'
    path.write_text(text, encoding="utf-8")
    return path


@pytest.mark.parametrize("option", OPTIONS, ids=str)
@pytest.mark.parametrize("command", ["read", "new"])
def test_every_option_advised_is_one_of_the_commands_that_read(option: Name, command: str) -> None:
    words = str(option).split()
    values = words[1:] or {"--layers": ["a"], "--units": ["mm"], "--length": ["width=1"]}.get(words[0], [])
    assert parser().parse_args([command, "x", words[0], *values])


@pytest.mark.parametrize("option", OPTIONS, ids=str)
def test_every_option_has_a_key_of_the_job_that_says_the_same(option: Name) -> None:
    key = str(in_job(say("{option}", option=option)))
    assert not key.startswith("--")
    name = next(iter(tomllib.loads(key))) if "=" in key else key
    assert f'"{name}"' in Path(declared.__file__).read_text(encoding="utf-8")


def test_advice_about_the_drawing_of_a_job_can_be_written_into_it(tmp_path: Path) -> None:
    save(tmp_path, GAP, "plate.dxf")
    with pytest.raises(CutplanError) as refused:
        read_job(job(tmp_path, ""))
    assert "repair = true" in str(refused.value) and "--" not in str(refused.value)
    assert read_job(job(tmp_path, "repair = true")).plate.outline.area == pytest.approx(20_000.0)


def test_a_doubtful_drawing_is_taken_by_new_as_it_advises(tmp_path: Path) -> None:
    path = save(tmp_path, GAP, "plate.dxf")
    wanted = Wanted(thickness_mm=4.0, skin_mm=2.0)
    with pytest.raises(CutplanError, match="--repair"):
        new_job(tmp_path / "job.toml", path, wanted)
    made = new_job(tmp_path / "job.toml", path, Wanted(thickness_mm=4.0, skin_mm=2.0, drawn=Told(repair=True)))
    (tmp_path / "job.toml").write_text(made.text, encoding="utf-8")
    assert read_job(tmp_path / "job.toml").plate.outline.area == pytest.approx(20_000.0)


def test_new_reads_only_the_layers_named(tmp_path: Path) -> None:
    path = save(tmp_path, dxf(box(0, 0, 200, 100), line(10, 10, 50, 50, layer="aids")), "plate.dxf")
    made = new_job(tmp_path / "job.toml", path, Wanted(thickness_mm=4.0, skin_mm=2.0, drawn=Told(layers=("0",))))
    (tmp_path / "job.toml").write_text(made.text, encoding="utf-8")
    assert 'layers = ["0"]' in made.text
    assert read_job(tmp_path / "job.toml").plate.outline.area == pytest.approx(20_000.0)


def test_no_reader_writes_an_option_into_its_sentence() -> None:
    # else it could not be turned into a key
    found = [
        f"{path.name}: {text}"
        for path in READERS.rglob("*.py")
        if path.name != "reading_options.py"
        for text in re.findall(
            r'"[^"\n]*--(?:repair|layers|units|length|frame)\b[^"\n]*"', path.read_text(encoding="utf-8")
        )
        if " " in text
    ]
    assert not found
