"""The place of a moved mount after welding, judged by the tolerance that the study of the steering gives it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from cutplan.files.job.read import read_job
from cutplan.geometry.vector import Point
from cutplan.inspection.form import asked, datum_of
from cutplan.inspection.mount import judge_mount, mount_advice, mount_open, mount_place
from cutplan.inspection.readings import Reading, ReadingKind
from cutplan.inspection.verdict import inspect
from cutplan.pattern.job import Job

SAMPLE = Path(__file__).parents[3] / "sample_parts" / "pickup-gear-plate"


@pytest.fixture(scope="module")
def job() -> Job:
    return read_job(SAMPLE)


def taped(job: Job, stage: ReadingKind, off: Point) -> list[Reading]:
    """Datum distances of a part whose pads lie off their plan while the marks on the skin stand."""
    plan = datum_of(job)
    at = {p.name: p.at.plus(off) if p.kind == "pad" else p.at for p in plan.points}
    return [Reading(stage, d.a, d.b, at[d.a].distance(at[d.b]), n) for n, d in enumerate(plan.lines, 2)]


def test_the_shift_of_the_mount_comes_back_as_it_was(job: Job) -> None:
    off = Point(1.2, -0.9)
    place = mount_place(job, datum_of(job), taped(job, "welded", off))
    assert place is not None and place.stage == "welded" and set(place.pads) == {"front bolt", "rear bolt"}
    assert (place.off.x, place.off.y) == pytest.approx((1.2, -0.9), abs=0.01)  # exact: what the pads were moved by
    assert place.off_mm == pytest.approx(1.5, abs=0.01)  # exact: 3-4-5
    assert place.tolerance_mm == 2.4 and judge_mount(place).ok
    assert 0.1 < place.error_mm < 0.6  # half a millimetre of the tape, over two pads


@pytest.mark.parametrize(("off", "ok", "said"), [(0.5, True, "plumb line"), (2.0, True, "does not prove"), (2.6, False, "again at the place")])  # fmt: skip
def test_within_the_tolerance_is_not_yet_proved(job: Job, off: float, ok: bool, said: str) -> None:
    place = mount_place(job, datum_of(job), taped(job, "welded", Point(off, 0.0)))
    assert place is not None and judge_mount(place).ok is ok
    (advice,) = mount_advice(job, place)
    assert said in str(advice)


def test_a_part_does_not_pass_without_the_place_of_its_mount(job: Job) -> None:
    rows = [Reading(a.kind, a.name, a.to, a.plan_mm) for a in asked(job)]
    alone = inspect(job, None, rows)
    assert alone.verdict == "incomplete" and alone.mount is None and "front bolt" in alone.advice[0]
    good = inspect(job, None, [*rows, *taped(job, "welded", Point(0.3, 0.2))])
    assert good.verdict == "pass" and good.mount is not None
    off = inspect(job, None, [*rows, *taped(job, "welded", Point(0.0, 3.0))])
    assert off.verdict == "out" and [c.kind for c in off.checked if not c.ok] == ["place"]
    early = inspect(job, None, [*rows, *taped(job, "tacked", Point(0.3, 0.2))])
    assert early.verdict == "incomplete" and early.mount is not None and early.mount.stage == "tacked"


def test_without_a_tolerance_nothing_is_asked(job: Job) -> None:
    assert job.origin.moved is not None
    free = replace(job, origin=replace(job.origin, moved=replace(job.origin.moved, tolerance_mm=None)))
    assert mount_place(free, datum_of(job), taped(job, "welded", Point(1.0, 0.0))) is None
    assert mount_advice(free, None) == [] and not mount_open(free, None)
    bare = replace(job, origin=replace(job.origin, moved=replace(job.origin.moved, pads=())))
    assert "give its bolts a pad" in str(mount_advice(bare, None)[0])
