"""A traced plate in a job: its account read by the job reader, its errors taken off the limits, told hole by hole."""

from __future__ import annotations

import shutil
import tomllib
from dataclasses import replace
from math import hypot
from pathlib import Path

import pytest

from cutplan.errors import JobError
from cutplan.files.job.begin import begun
from cutplan.files.job.read import read_job
from cutplan.files.traced import request_of_drawing
from cutplan.geometry.vector import Point
from cutplan.inspection.limits import length_limit
from cutplan.pattern.checks.check_traced import traced_findings
from cutplan.pattern.job import Job
from cutplan.pattern.pads import Pad
from cutplan.pattern.traced import Traced, TracedHole
from cutplan.project.new.job import Wanted, write_new_job
from cutplan.project.new.traced import traced_by
from cutplan.project.trace_files import request_of_job, table_of
from cutplan.tables.welding.tolerances_weld import linear_tolerance_mm
from cutplan.texts import Reader

SAMPLE = Path(__file__).parents[3] / "sample_parts" / "horsebox-jack-plate"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    for name in ("job.toml", "plate.dxf", "plate.errors.json"):
        shutil.copyfile(SAMPLE / name, tmp_path / name)
    return tmp_path


def rewritten(folder: Path, old: str, new: str) -> Job:
    path = folder / "job.toml"
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new), encoding="utf-8")
    return read_job(folder)


def test_the_job_knows_how_sure_each_hole_is(folder: Path) -> None:
    job = read_job(folder)
    assert job.origin.traced is not None
    assert [h.name for h in job.origin.traced.holes] == [h.name for h in job.plate.holes]
    assert job.origin.traced.pictures == ("card-1.jpg", "card-2.jpg", "card-3.jpg", "card-4.jpg")
    assert job.origin.traced.scale_error == pytest.approx(0.1 / 399.8, rel=0.15)  # the reading over the length
    assert not [f for f in job.origin.findings if f.severity == "error"]


def test_a_count_that_differs_stops_the_job(folder: Path) -> None:
    job = rewritten(folder, "holes = 4", "holes = 5")
    (bad,) = [f for f in job.origin.findings if f.severity == "error"]
    assert bad.code == "traced-not-counted" and "holes counted on the card: 5" in str(bad.message)
    job = rewritten(folder, "holes = 5", "# not counted")
    assert [f.severity for f in job.origin.findings if f.code == "traced-not-counted"] == ["warning"]


def test_a_drawing_changed_since_has_no_errors_any_more(folder: Path) -> None:
    drawing = folder / "plate.dxf"
    drawing.write_bytes(drawing.read_bytes().replace(b"PLATE", b"SHEET"))
    job = read_job(folder)
    assert job.origin.traced is None
    assert {"traced-then-changed", "traced-errors-unknown"} <= {f.code for f in job.origin.findings}


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('"card-1.jpg"', '"../card-1.jpg"', "lie beside the job file"),
        ('"A1-D2=399.8 mm"', '"A1-D2 399.8"', "no length between two crosses"),
        ('thickness = "2.5 mm"', 'thickness = "250 mm"', "outside"),
        ("holes = 4", 'count = 4', "not a known key"),
    ],
)  # fmt: skip
def test_what_makes_no_sense_is_refused_with_its_key(folder: Path, old: str, new: str, said: str) -> None:
    with pytest.raises(JobError, match=said):
        rewritten(folder, old, new)


def test_the_limit_is_less_what_the_plan_is_unsure_of() -> None:
    job = read_job(SAMPLE)
    at = {h.name: h.centre for h in job.plate.holes}
    a, b = at["H1"], at["H2"]
    bare = length_limit(replace(job, origin=replace(job.origin, traced=None)), "H1", "H2", a, b)
    assert bare.value_mm == linear_tolerance_mm(a.distance(b), "B") and bare.source == "ISO 13920-B"
    traced = Traced(0.0002, 0.05, (TracedHole("H1", 0.06, 0.03, True), TracedHole("H2", 0.06, 0.04, True)))
    unsure = 2.0 * hypot(0.03, 0.04, 0.0002 * a.distance(b))  # exact: independent errors, coverage factor 2
    limit = length_limit(replace(job, origin=replace(job.origin, traced=traced)), "H1", "H2", a, b)
    assert limit.value_mm == pytest.approx(bare.value_mm - unsure)
    assert "traced plan" in str(limit.source)
    coarse = replace(traced, holes=(TracedHole("H1", 0.06, 2.0, True),))
    limit = length_limit(replace(job, origin=replace(job.origin, traced=coarse)), "H1", "H2", a, b)
    assert limit.value_mm == 0.5 * bare.value_mm


def test_pads_whose_pitch_the_plan_cannot_prove_are_named() -> None:
    job = read_job(SAMPLE)
    a, b = (Pad(h.name, h.centre, 40.0, pitch_mm=0.5) for h in job.plate.holes[:2])
    sure = Traced(0.0, 0.05, (TracedHole("H1", 0.06, 0.06, True), TracedHole("H2", 0.06, 0.08, True)))
    assert (
        list(traced_findings(replace(job, pads=(a, b), origin=replace(job.origin, traced=sure)))) == []
    )  # exact: 2 x 0.10 < 0.25
    unsure = replace(sure, holes=(TracedHole("H1", 0.06, 0.12, True), TracedHole("H2", 0.06, 0.09, True)))
    (found,) = traced_findings(
        replace(job, pads=(a, b), origin=replace(job.origin, traced=unsure))
    )  # exact: 2 x 0.15 > 0.25
    assert found.code == "traced-too-coarse" and "0.30 mm" in str(found.message)


def test_the_table_says_again_what_was_asked() -> None:
    request, drawing, stated = request_of_job(SAMPLE)
    assert drawing == SAMPLE / "plate.dxf" and stated.holes == 4
    assert request.known == {"A1-D2": pytest.approx(399.8)} and request.thickness_mm == pytest.approx(2.5)
    assert [p.name for p in request.pictures] == [f"card-{n}.jpg" for n in range(1, 5)]
    account = request_of_drawing(drawing)
    assert account is not None and account == {**table_of(request), "holes": 4}
    assert tomllib.loads(begun(traced_by(drawing), "mm", Reader()))["traced"] == account


def test_a_job_begun_from_a_traced_drawing_says_so(tmp_path: Path) -> None:
    write_new_job(tmp_path / "new" / "job.toml", SAMPLE / "plate.dxf", Wanted(thickness_mm=4.0, skin_mm=2.0))
    assert (tmp_path / "new" / "plate.errors.json").is_file() and (tmp_path / "new" / "card-4.jpg").is_file()
    job = read_job(tmp_path / "new")
    assert job.origin.traced is not None and len(job.origin.traced.holes) == 4 and len(job.origin.traced.pictures) == 4


def test_a_point_that_is_no_hole_is_as_sure_as_the_edge() -> None:
    traced = Traced(0.0, 0.3, (TracedHole("H1", 0.06, 0.4, True),))
    assert traced.distance_error_mm("C1", "H1", Point(0.0, 0.0), Point(9.0, 0.0)) == pytest.approx(0.5)  # exact: 3-4-5
