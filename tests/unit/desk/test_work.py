"""Long work beside the page, the documents it leaves, and the steps of the work as data."""

from __future__ import annotations

import io
import json
import shutil
import time
import zipfile
from pathlib import Path

import pytest
from sheet_results import small

from cutplan.errors import UsageError
from cutplan.inspection.readings import STAGES
from cutplan.project.demo import demo_job
from cutplan.project.desk.work.papers import document, documents_folder, listing, zipped
from cutplan.project.desk.work.screens import screens
from cutplan.project.desk.work.worker import Worker
from cutplan.project.make import make


@pytest.fixture
def job(tmp_path: Path) -> Path:
    shutil.copytree(demo_job().parent, tmp_path / "job")
    return tmp_path / "job" / "job.toml"


def test_steps_follow_the_work_and_point_at_pictures_that_are_there() -> None:
    results = small()
    answer, pictures = screens(results)
    steps = answer["steps"]
    assert [p for i, p in enumerate(s["part"] for s in steps) if i == 0 or steps[i - 1]["part"] != p] == [
        "Templates",
        "Cutting the plate",
        "The opening",
        "Fit-up",
        "Welding",
        "After welding",
    ]
    assert all(not s["picture"] or s["picture"] in pictures for s in steps)
    assert all("{" not in s["title"] for s in steps)
    assert results.weld is not None
    welds = [s for s in steps if s["part"] == "Welding"]
    beads = [s for s in welds if s["marks"]]
    # exact: one step for each bead, the last one says so, one between to read the dials before the stitches, and one for
    # each plug weld, sleeve and rib after them
    assert len(beads) == len(results.weld.tacks) + len(results.weld.stitches)
    assert f"Step {len(beads)} of {len(beads)}" in beads[-1]["title"]
    later = len(results.weld.joint.plugs) + len(results.weld.later)
    assert later and welds[-later - 1] == beads[-1]
    assert [s for s in welds[:-later] if not s["marks"]] == [s for s in welds if s["ask"]]
    assert len(welds) == len(beads) + 1 + later
    for step in beads:
        mark = step["marks"][0]
        assert f"{mark}".encode() in pictures["weld-map"], mark
    asked = {i for s in steps for i in s["ask"]}
    assert asked == set(range(len(answer["readings"])))  # every reading is taken somewhere
    json.dumps(answer, allow_nan=False)


def test_a_reading_has_its_limits_beside_it() -> None:
    for reading in screens(small())[0]["readings"]:
        if reading["kind"] == "dial":
            assert reading["flat_mm"] > 0.0 and len(reading["place"]) == 2
        elif reading["kind"] in STAGES:
            assert reading["plan_mm"] > 0.0 and "low_mm" not in reading  # judged with the others of its stage
        else:
            assert reading["low_mm"] <= 0.0 < reading["high_mm"]


def test_datum_distances_are_asked_where_the_work_has_come_to_them() -> None:
    answer = screens(small())[0]
    readings, steps = answer["readings"], answer["steps"]
    asked = [(readings[i]["kind"], s["part"], s["title"]) for s in steps for i in s["ask"]]
    place = {kind: (part, title) for kind, part, title in reversed(asked) if kind in STAGES}
    assert list(place) == ["welded", "tacked", "open", "before"]
    assert [place[s][0] for s in STAGES] == ["The opening", "The opening", "Fit-up", "After welding"]
    assert place["before"][1].startswith("1.") and "again" in place["tacked"][1]
    first = next(n for n, s in enumerate(steps) if s["part"] == "The opening")
    assert steps[first]["ask"] == [i for i, r in enumerate(readings) if r["kind"] == "before"]


def test_there_is_no_document_before_the_set_is_made(job: Path) -> None:
    assert listing(job) == {"documents": [], "fresh": False, "changed": []}
    for name in ("templates.pdf", "../job.toml", "manifest.json"):
        with pytest.raises(UsageError):
            document(job, name)
    with pytest.raises(UsageError):
        zipped(job)


def test_the_set_in_a_zip_is_what_lies_in_the_folder(job: Path) -> None:
    make(job, documents_folder(job), ["plate-net.dxf", "plate-path.dxf"])
    found = listing(job)
    assert [d["name"] for d in found["documents"]] == ["plate-net.dxf", "plate-path.dxf"] and found["fresh"]
    with zipfile.ZipFile(io.BytesIO(zipped(job))) as archive:
        assert archive.read("plate-net.dxf") == document(job, "plate-net.dxf")
        assert archive.read("job/job.toml") == job.read_bytes()
    assert zipped(job) == zipped(job)
    job.write_text(job.read_text().replace("gap = 1.2", "gap = 1.3"))
    assert not listing(job)["fresh"]
    with pytest.raises(UsageError):
        document(job, "../job.toml")


def waited(worker: Worker, seconds: float = 60.0) -> None:
    end = time.monotonic() + seconds
    while worker.state()["running"]:
        assert time.monotonic() < end
        time.sleep(0.05)


def test_a_job_that_cannot_be_read_ends_in_words(job: Path) -> None:
    job.write_text("units = 3")
    worker = Worker()
    worker.start("look", job, documents_folder(job), "v")
    waited(worker)
    state = worker.state()
    assert state["error"]["message"] and state["answer"] is None


def test_cancelled_work_leaves_nothing_and_the_last_answer_stays(job: Path) -> None:
    worker = Worker()
    worker.start("documents", job, documents_folder(job), "v")
    worker.cancel()
    waited(worker, 10.0)
    state = worker.state()
    assert state["cancelled"] and state["error"] is None and listing(job)["documents"] == []


@pytest.mark.slow
def test_the_set_is_made_beside_with_progress(job: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("CUTPLAN_CACHE", str(tmp_path / "cache"))  # remembered plans would pass too fast to be seen
    worker = Worker()
    worker.start("documents", job, documents_folder(job), "v1")
    seen = set()
    while worker.state()["running"]:
        seen.add(worker.state()["step"])
        time.sleep(0.02)
    state = worker.state()
    assert state["error"] is None and state["about"] == "v1"
    assert {"templates", "weld"} <= seen
    assert worker.picture("job-sheet-1") and worker.picture("../x") is None
    assert {d["name"] for d in listing(job)["documents"]} >= {"templates.pdf", "report.html", "job-sheet.pdf"}
