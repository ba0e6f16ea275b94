"""The shop file: what is written is read back, the user's own lines stay, nothing unreadable is ever written."""

from __future__ import annotations

import tomllib
from dataclasses import fields, replace
from pathlib import Path

import pytest

from cutplan.errors import CutplanError, JobError
from cutplan.files.job.declared.shop import SHOP
from cutplan.files.job.read import read_job
from cutplan.files.job.shop.read import find_shop, read_shop, shop_from
from cutplan.files.job.shop.write import Measured, updated
from cutplan.pattern.checks.check_kerf import kerf_findings
from cutplan.pattern.shop import HolesMeasured, KerfMeasured, PrinterScale, Shop, WeldMeasured
from cutplan.project.coupons.run import Request, learn

LASER = PrinterScale("laser", 1.00123456789, 0.9987, 0.0001, 0.25, 250.0)
KERF = KerfMeasured("air plasma", 4.0, 1.46, 1.52, 0.05)
WELD = WeldMeasured("GMAW", 2.5, 1.1, 0.2, 0.8, 0.3)


def written(text: str, *all_: Measured) -> str:
    for measured in all_:
        text = updated(text, measured)
    return text


def read(text: str) -> Shop:
    return shop_from(tomllib.loads(text), "shop.toml")


def test_round_trip() -> None:
    better = replace(LASER, x=1.002)
    shop = read(written("", LASER, better, KERF, WELD))
    assert shop == Shop("shop.toml", "", (better,), (KERF,), (WELD,))
    assert written(written("", LASER, KERF), KERF) == written("", LASER, KERF)  # a second time changes nothing


def test_the_users_own_lines_stay_letter_by_letter() -> None:
    mine = (
        '# my shop, back room\nunits = "in"\nname = "The \\"corner\\" shop"   # ask for the key\n\n'
        '[[kerf]]   # the old torch\nprocess = "air plasma"\nthickness = "4 mm"\nx = "1/16 in"\ny = 0.06\n# tip 1.0\n'
    )
    new = written(mine, WELD, replace(KERF, x_mm=1.6, y_mm=1.6))
    for line in ("# my shop, back room", "# ask for the key", "# the old torch", "# tip 1.0"):
        assert line in new
    shop = read(new)
    assert (shop.kerfs, shop.welds) == ((replace(KERF, x_mm=1.6, y_mm=1.6),), (WELD,))
    assert shop.name == 'The "corner" shop'


@pytest.mark.parametrize("name", ["x" * 51, "two\nlines", "bell\x07", "del\x7f", 'quote"\\'])
def test_no_name_ever_makes_the_shop_file_unreadable(tmp_path: Path, name: str) -> None:
    """A printer's name of 51 letters once blocked every later job."""
    path = tmp_path / "shop.toml"
    path.write_text(written("", KERF))
    before = path.read_bytes()
    request = Request("paper", printer=name)
    try:
        learn(request, {"x": 180.1, "y": 260.2}, path)
    except CutplanError:
        assert path.read_bytes() == before
    assert KERF in read_shop(path).kerfs
    with pytest.raises(JobError, match="stays as it was") if name != 'quote"\\' else _nothing():
        updated("", PrinterScale(name))


class _nothing:
    def __enter__(self) -> None: ...

    def __exit__(self, *_: object) -> None: ...


@pytest.mark.parametrize("text", ["= broken", "kerf = 3\n", "[kerf]\nx = 1\n"])
def test_a_file_that_cannot_be_read_is_left_alone(tmp_path: Path, text: str) -> None:
    path = tmp_path / "shop.toml"
    path.write_text(text)
    with pytest.raises(CutplanError):
        learn(Request("paper"), {"x": 180.1, "y": 260.2}, path)
    assert path.read_text() == text


def test_a_kerf_that_cannot_be_is_kept_only_when_it_is_confirmed(tmp_path: Path) -> None:
    """Published for air plasma on 6 mm: 1.27 to 2.54 mm; a square of 99.6 mm and a slot of 20.4 give 0.4 mm."""
    path, request = tmp_path / "shop.toml", Request("kerf", process="air plasma", thickness_mm=6.0)
    readings = {"outside_x": 99.6, "outside_y": 99.6}
    with pytest.raises(JobError, match="outside what is published"):
        learn(request, readings, path)
    assert not path.exists()
    learnt = learn(replace(request, sure=True), readings, path)
    assert learnt.values["sure"] is True and any("confirmed" in str(n) for n in learnt.notes)
    (kerf,) = read_shop(path).kerfs
    assert kerf.sure and kerf.x_mm == pytest.approx(0.4, abs=0.05)


JOB = (
    'units = "mm"\ntitle = "t"\n[plate]\nshape = "rectangle"\nwidth = 99\nheight = 99\nthickness = 6\n'
    "[skin]\nthickness = 3\n[cutting]\n"
)


@pytest.mark.parametrize(("line", "severity"), [
    ("kerf = 0.06", ["error"]), ("kerf = 9.9", ["error"]), ("kerf = 1.6", []), ("", []),
    ("kerf = 0.06\nkerf_sure = true", ["warning"]),
])  # fmt: skip
def test_a_typed_kerf_is_held_against_what_is_published(tmp_path: Path, line: str, severity: list[str]) -> None:
    (tmp_path / "job.toml").write_text(JOB + line + "\n")
    job = read_job(tmp_path)
    assert [f.severity for f in kerf_findings(job, Shop())] == severity
    measured = Shop(kerfs=(KerfMeasured("air plasma", 6.0, 0.4, 0.4),))
    assert [f.severity for f in kerf_findings(job, measured)] == ["error"]
    sure = Shop(kerfs=(KerfMeasured("air plasma", 6.0, 0.4, 0.4, sure=True),))
    assert [f.severity for f in kerf_findings(job, sure)] == ["warning"]


def test_wrong_values_are_located() -> None:
    with pytest.raises(JobError) as caught:
        shop_from({"printer": [{"x": 2.0, "nam": "a"}], "kerf": [{"x": "1 mm", "y": 0}]}, "shop.toml")
    for part in ("printer[0].x", "printer[0].nam", "kerf[0].y"):
        assert part in str(caught.value)


def test_beside_the_job_before_the_users_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    config, job = tmp_path / "config", tmp_path / "job"
    config.mkdir()
    job.mkdir()
    monkeypatch.setenv("CUTPLAN_CONFIG", str(config))
    assert find_shop(job) is None
    (config / "shop.toml").write_text('name = "config"')
    found = find_shop(job)
    assert found is not None and read_shop(found).name == "config"
    (job / "shop.toml").write_text('name = "job"')
    found = find_shop(job)
    assert found is not None and read_shop(found).name == "job"


@pytest.mark.parametrize(
    "table, record",
    [("printer", PrinterScale), ("kerf", KerfMeasured), ("holes", HolesMeasured), ("weld", WeldMeasured)],
)
def test_a_table_is_declared_as_its_record_is_and_a_slip_names_the_nearest_key(table: str, record: type) -> None:
    assert {k.goes_to for k in SHOP[table].keys} == {f.name for f in fields(record)}
    first = SHOP[table].keys[0].name
    with pytest.raises(JobError, match=f'did you mean "{first}"'):
        shop_from({table: [{first[:-1]: "a"}]}, "shop.toml")
