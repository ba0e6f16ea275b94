"""Inspection and trial pieces on the page: typed values become the files that the commands read and write."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from cutplan.errors import CutplanError, JobError
from cutplan.files.job.read import read_job
from cutplan.inspection.form import datum_of
from cutplan.inspection.mount import mount_place
from cutplan.inspection.readings import read_readings
from cutplan.project.demo import demo_job
from cutplan.project.desk.proof import MEASURED, keep, sheet, take
from cutplan.project.desk.trial import learnt, make_piece, trial


@pytest.fixture
def job(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("CUTPLAN_CONFIG", str(tmp_path / "config"))
    shutil.copytree(demo_job().parent, tmp_path / "job")
    return tmp_path / "job" / "job.toml"


def test_what_was_typed_is_kept_in_the_form_and_read_back(job: Path) -> None:
    before = sheet(job)
    assert before["values"] == {} and before["unit"] == "mm"
    assert keep(job, {"0": "1.3", "2": " 9 ", "99": "4", "x": "1"}) == {"kept": 2}
    assert sheet(job)["values"] == {"0": "1.3", "2": "9"}


def test_a_reading_that_is_no_length_is_told_with_its_line(job: Path) -> None:
    keep(job, {"0": "wide"})
    assert sheet(job)["problem"] and sheet(job)["values"] == {}


def test_a_file_from_the_bench_is_taken_only_when_it_can_be_read(job: Path) -> None:
    keep(job, {"0": "1.3"})
    before = (job.parent / MEASURED).read_bytes()
    for bad in (b"", b"kind,name\ngap,G1\n", b"\xff\xfe\x00", b"kind,name,measured\nhole,H1,3\n"):
        with pytest.raises(JobError):
            take(job, bad)
    assert (job.parent / MEASURED).read_bytes() == before
    assert take(job, before) == {"kept": 1}


@pytest.mark.parametrize("kind, names", [("paper", 4), ("kerf", 4), ("weld", 9)])
def test_a_trial_piece_says_what_is_measured(job: Path, kind: str, names: int) -> None:
    from cutplan.project.desk.trial import kind_of

    known = trial(job, kind_of(kind))
    assert len(known["fields"]) >= names and known["file"] == "" and known["shop"] == ""
    assert all(f["label"] for f in known["fields"])
    with pytest.raises(CutplanError):
        kind_of("../x")


def test_the_shop_file_learns_and_shows_what_changed(job: Path) -> None:
    made = make_piece(job, "kerf")
    assert made["file"] == "coupon-kerf.dxf" and made["measure"]
    # exact: a kerf of 1.6 mm takes that off the outside and adds it to a slot
    typed = {f["name"]: f"{f['plan_mm'] + (-1.6 if 'outside' in f['name'] else 1.6)}" for f in made["fields"]}
    after = learnt(job, "kerf", typed, "mm")
    assert after["shop_beside"] and any(line.startswith("+x = 1.6") for line in after["difference"])
    assert (job.parent / "shop.toml").read_text() == after["shop"]


def test_the_users_own_shop_file_stays_and_nothing_it_knows_is_lost(job: Path, tmp_path: Path) -> None:
    own = tmp_path / "config" / "shop.toml"
    own.parent.mkdir()
    own.write_text('units = "mm"\nname = "corner shop"\n[[kerf]]\nprocess = "laser"\nthickness = 2\nx = 0.2\ny = 0.2\n')
    before = own.read_bytes()
    fields = trial(job, "paper")["fields"]
    with pytest.raises(CutplanError):
        learnt(job, "paper", {"x": "9"}, "mm")
    assert not (job.parent / "shop.toml").exists()
    after = learnt(job, "paper", {f["name"]: str(f["plan_mm"] * 0.995) for f in fields}, "mm")
    assert own.read_bytes() == before
    assert "laser" in after["shop"] and "corner shop" in after["shop"] and "0.995" in after["shop"]


def test_datum_distances_typed_on_the_page_tell_the_place_of_a_mount(tmp_path: Path) -> None:
    folder = Path(__file__).parents[3] / "sample_parts" / "pickup-gear-plate"
    for name in ("job.toml", "study.toml"):
        shutil.copyfile(folder / name, tmp_path / name)
    path = tmp_path / "job.toml"
    readings = sheet(path)["readings"]
    welded = [i for i, r in enumerate(readings) if r["kind"] == "welded"]
    assert len(welded) >= 8 and all("low_mm" not in readings[i] for i in welded)
    assert keep(path, {str(i): f"{readings[i]['plan_mm']:.2f}" for i in welded}) == {"kept": len(welded)}
    assert set(sheet(path)["values"]) == {str(i) for i in welded}  # they come back where they were typed
    job = read_job(path)
    rows = read_readings((tmp_path / MEASURED).read_text(encoding="utf-8"), "mm", MEASURED)
    place = mount_place(job, datum_of(job), rows)
    assert place is not None and place.off_mm < 0.1  # as planned, to the rounding typed
