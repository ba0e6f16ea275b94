from math import radians, tan

import pytest
from cut_jobs import job_of, round_hole, sample_holes

from cutplan.cutting.plan import plan_cut
from cutplan.geometry.contour import rectangle
from cutplan.pattern.shop import Shop


def test_totals_are_sums() -> None:
    plan = plan_cut(job_of(sample_holes(), speed_mm_per_min=1200.0), Shop())
    t = plan.totals
    assert t.cut_mm == pytest.approx(sum(s.length for p in plan.paths for s in p.segments))
    assert t.rapid_mm == pytest.approx(sum(r.length for r in plan.rapids))
    assert t.pierces == len(plan.paths)
    assert t.speed_mm_per_min.mid == 1200.0 and "stated in the job" in str(t.speed_mm_per_min.source)


def test_time_of_one_straight_cut_by_hand() -> None:
    # exact: (100 + 100 + 60 + 60 + two kerf corners) mm at 100 mm/min, no pierce, no moves
    job = job_of(outline=rectangle(0.0, 0.0, 100.0, 60.0), process="jigsaw", speed_mm_per_min=100.0, kerf_mm=1.0)
    t = plan_cut(job, Shop()).totals
    assert t.cut_mm == pytest.approx(2.0 * (101.0 + 61.0))
    assert t.time_s.mid == pytest.approx(60.0 * t.cut_mm / 100.0)
    assert t.time_s.low < t.time_s.mid < t.time_s.high


def test_small_holes_take_longer() -> None:
    fast = plan_cut(job_of((round_hole("A", 100.0, 100.0, 33.0),), speed_mm_per_min=1000.0), Shop())
    slow = plan_cut(job_of((round_hole("A", 100.0, 100.0, 31.0),), speed_mm_per_min=1000.0), Shop())
    assert slow.totals.cut_mm == pytest.approx(fast.totals.cut_mm, rel=0.01)  # the larger has a shorter lead
    assert slow.totals.time_s.mid > 1.03 * fast.totals.time_s.mid  # from memory: 60 % of the feed below 32 mm


def row(plan, what: str):
    return next(e for e in plan.expectations if str(e.what) == what)


def test_plasma_plate_gets_class_two_and_range_four() -> None:
    plan = plan_cut(job_of(sample_holes()), Shop())
    width = row(plan, "outline, width")
    assert width.covered and width.limit == 1.1  # published: 5 mm plate, 125-315 mm, class 2
    square = row(plan, "squareness")
    assert square.limit == pytest.approx(0.9)  # exact: 0.8 + 0.02 x 5
    assert square.band is not None and square.band.high == pytest.approx(5.0 * tan(radians(5.0)))  # exact
    assert row(plan, "roughness").limit == pytest.approx(119.0)  # exact: 110 + 1.8 x 5
    assert all(e.source for e in plan.expectations)


def test_short_contours_and_long_strips_are_not_covered() -> None:
    plan = plan_cut(job_of((round_hole("A", 100.0, 100.0, 60.0),)), Shop())
    hole = row(plan, "hole A, diameter")
    assert not hole.covered and hole.limit is None and "not covered" in str(hole.text) and "350 mm" in str(hole.text)
    strip = plan_cut(job_of(outline=rectangle(0.0, 0.0, 500.0, 100.0)), Shop())
    assert not row(strip, "outline, width").covered and "4 times" in str(row(strip, "outline, width").text)


def test_laser_is_class_one_and_its_small_holes_are_covered() -> None:
    plan = plan_cut(job_of((round_hole("A", 100.0, 100.0, 20.0),), process="laser", kerf_mm=0.2), Shop())
    assert row(plan, "hole A, diameter").limit == 0.25  # published: 5 mm plate, 10-35 mm, class 1


@pytest.mark.parametrize("process", ["waterjet", "jigsaw", "hacksaw", "cut-off disc"])
def test_other_processes_are_not_covered_at_all(process: str) -> None:
    (only,) = plan_cut(job_of(process=process, kerf_mm=1.0), Shop()).expectations
    assert not only.covered and "does not cover" in str(only.text)


def test_thick_plate_beyond_the_rows_is_not_covered() -> None:
    plan = plan_cut(job_of(thickness_mm=20.0), Shop())
    assert not row(plan, "outline, width").covered
    assert row(plan, "squareness").covered
