"""The templates as SVG and DXF for a cutter: what is cut is the plate and the opening, exactly, and on its own layer."""

from __future__ import annotations

import re
from pathlib import Path
from xml.etree import ElementTree

import pytest

from cutplan.cli.main import main
from cutplan.files.drawing_in import read_drawing

ROOT = Path(__file__).resolve().parents[2]
JOB = ROOT / "sample_parts" / "van-nose-mount" / "job.toml"


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("cutter")
    assert main(["make", str(JOB), "-o", str(folder / "set"), "--only", "template-svg,template-dxf"]) == 0
    return folder / "set"


def test_only_what_was_asked_for_is_made(made: Path) -> None:
    assert {"template.svg", "template.dxf"} <= {p.name for p in made.iterdir()}
    assert not (made / "templates.pdf").exists()


def test_the_file_is_true_to_scale_and_its_layers_are_apart(made: Path) -> None:
    tree = ElementTree.parse(made / "template.svg").getroot()
    w, h = (float(v) for v in tree.get("viewBox", "").split()[2:])
    # exact: one user unit is one millimetre
    assert tree.get("width") == f"{w:g}mm" or float(re.sub("mm", "", tree.get("width", ""))) == pytest.approx(w)
    assert [g.get("id") for g in tree] == ["template-cut", "template-score", "template-text"]
    assert h > 0.0 and all(len(list(g)) > 0 for g in tree)


def test_plate_and_opening_come_back_from_both_files(made: Path, tmp_path: Path) -> None:
    from cutplan.files.job.read import read_job
    from cutplan.pattern.opening import opening_line

    job = read_job(JOB)
    wanted = sorted((job.plate.outline.area, opening_line(job).area))
    svg = made / "template.svg"
    text = svg.read_text(encoding="utf-8")
    cut_only = re.sub(r'<g id="template-(score|text)".*?</g>', "", text, flags=re.S)
    alone = tmp_path / "cut.svg"
    alone.write_text(cut_only, encoding="utf-8")
    for path, layers in ((alone, None), (made / "template.dxf", ("template cut",))):
        parts = read_drawing(path, units="mm", layers=layers).parts
        found = sorted(p.region.outer.area for p in parts)
        # the SVG writes five decimals; exact areas of lines and arcs
        assert found == pytest.approx(wanted, abs=0.05)


def test_gdal_reads_the_layers_of_the_dxf(made: Path) -> None:
    pyogrio = pytest.importorskip("pyogrio")
    frame = pyogrio.raw.read(made / "template.dxf", columns=["Layer"])
    assert set(frame[3][0]) >= {"template cut", "template score", "template text"}


def test_no_note_speaks_of_a_thick_line_that_a_cutter_has_not(made: Path) -> None:
    text = (made / "template.svg").read_text(encoding="utf-8")
    assert "thick" not in text and text.count("round this edge") == 2  # plate and opening
