"""The study of the steering on the page: figures at once, the place recommended, and a job that follows it."""

from __future__ import annotations

import shutil
import tomllib
from pathlib import Path

import pytest

from cutplan.errors import CutplanError
from cutplan.files.job.read import read_job
from cutplan.page.study_desk import StudyDesk
from cutplan.project.desk.desk import Desk
from cutplan.project.desk.study import shift_stated, study_path, study_view
from cutplan.texts import ENGLISH

SAMPLE = Path(__file__).parents[3] / "sample_parts" / "pickup-gear-plate"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    for name in ("job.toml", "study.toml"):
        shutil.copyfile(SAMPLE / name, tmp_path / name)
    with (tmp_path / "study.toml").open("a", encoding="utf-8") as stream:
        stream.write("count = 21\n")  # a coarse map is quick
    return tmp_path


def values(folder: Path) -> dict[str, object]:
    return tomllib.loads((folder / "job.toml").read_text(encoding="utf-8"))


def test_figures_come_at_once_now_and_at_the_shift_of_the_job(folder: Path) -> None:
    text = (folder / "study.toml").read_text(encoding="utf-8")
    shift = shift_stated(values(folder))
    assert shift == (35.0, 0.0, -15.0)  # exact: what the job states
    view = study_view(text, "study.toml", shift)
    rows = {r["figure"]: r for r in view["figures"]}
    assert rows["inner_lock"]["now"] == "not reached" and rows["inner_lock"]["held"] is True
    assert rows["bump_steer"]["limit"] == "≤ 1.40°" and view["problems"] == []
    bare = study_view(text, "study.toml", None)
    assert all(r["moved"] == "" and r["held"] is None for r in bare["figures"])


def test_what_cannot_be_read_is_told_with_its_key(folder: Path) -> None:
    text = (folder / "study.toml").read_text(encoding="utf-8")
    view = study_view(text.replace("wheelbase = 2300", "wheelbase = 0"), "study.toml", None)
    assert view["figures"] == [] and view["problems"][0]["key"] == "vehicle.wheelbase"
    assert view["data"]["title"] == "Steering gear of a light pickup"
    assert study_view("units = ", "study.toml", None)["problems"][0]["message"]


def test_the_place_is_taken_over_and_the_job_keeps_its_own_lines(folder: Path) -> None:
    desk = StudyDesk(job := Desk(folder / "job.toml"))
    desk.change(values(folder), [{"do": "set", "at": ["left", "outer", 0], "value": {"typed": "-116"}}], "", None)
    assert "outer = [-116, 540, 255]       # tie rod" in (folder / "study.toml").read_text(encoding="utf-8")
    placed = desk.placed(values(folder), ENGLISH)
    assert placed["shift"] and placed["tolerance_mm"] and set(placed["unsure"]) == {"forward", "left", "up"}
    desk.take_over(values(folder), ENGLISH)
    moved = tomllib.loads(job.sheet().text)["moved"]
    assert moved["holes"] == ["H1", "H2"] and moved["study"] == "study.toml"  # the job's own choice stays
    told = read_job(folder).origin.moved
    assert told is not None
    assert told.shift_mm == pytest.approx([placed["shift"][w] for w in ("forward", "left", "up")])
    assert told.tolerance_mm == pytest.approx(placed["tolerance_mm"], abs=0.051)
    desk.undo(values(folder))
    assert "outer = [-115, 540, 255]" in (folder / "study.toml").read_text(encoding="utf-8")
    assert (desk.picture(values(folder), "linkage-moved", ENGLISH) or b"").startswith(b"<svg")
    assert desk.picture(values(folder), "../job", ENGLISH) is None


def test_a_plate_without_two_directions_is_told_first(folder: Path) -> None:
    path = folder / "job.toml"
    text = path.read_text(encoding="utf-8")
    start = text.index("[moved]")
    text = text[:start] + text[text.index("[joint]") :]
    path.write_text(text, encoding="utf-8")
    desk = StudyDesk(job := Desk(path))
    assert study_path(values(folder), folder) == folder / "study.toml"  # beside the job, though it does not follow yet
    desk.take_over(values(folder), ENGLISH)
    moved = tomllib.loads(job.sheet().text)["moved"]
    assert moved["holes"] == ["H1", "H2"] and moved["shift"] == ["35 mm", "0 mm", "-15 mm"]
    job.undo()
    job.change([{"do": "drop", "at": ["marks", "up_deg"]}], "")
    with pytest.raises(CutplanError, match="two of the vehicle's directions"):
        desk.take_over(values(folder), ENGLISH)
    assert "[moved]" not in job.sheet().text


def test_a_study_is_begun_beside_a_job_and_never_over_another(tmp_path: Path) -> None:
    shutil.copyfile(SAMPLE / "job.toml", tmp_path / "job.toml")
    desk = StudyDesk(Desk(tmp_path / "job.toml"))
    assert desk.state(values(tmp_path), ENGLISH) == {"file": ""}
    desk.begin()
    assert desk.state(values(tmp_path), ENGLISH)["figures"]
    with pytest.raises(CutplanError, match="there already"):
        desk.begin()
