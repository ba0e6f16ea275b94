"""Joint: exact length along lines and arcs, spans left unwelded, corners, kind by thickness, plug welds."""

from __future__ import annotations

from math import pi

import pytest
from weld_jobs import plain_job, rectangle_job

from cutplan.geometry.contour import circle_contour, rectangle
from cutplan.geometry.vector import Point
from cutplan.pattern.job import Job
from cutplan.pattern.joint import Joint, Span
from cutplan.welding.settings.machine import settings_for
from cutplan.welding.stitches.joint import WeldJoint, weld_joint
from cutplan.welding.stitches.spans import corner_spans, merged, welded_spans


def joint_of(job: Job) -> WeldJoint:
    thin = min(job.plate.thickness_mm, job.skin.thickness_mm)
    return weld_joint(job, settings_for(job.joint.kind, thin, job.welding))


def test_length_is_exact_on_lines_and_arcs() -> None:
    assert joint_of(rectangle_job()).line.length_mm == pytest.approx(2 * (196 + 116) + 2 * pi * 12, rel=1e-12)  # exact
    assert joint_of(plain_job(circle_contour(Point(0, 0), 50.0))).line.length_mm == pytest.approx(100 * pi, rel=1e-12)


def test_unwelded_stretches_are_left_out_also_through_the_start() -> None:
    job = rectangle_job(joint=Joint("butt", 1.0, unwelded=(Span(100.0, 150.0),)))
    joint = joint_of(job)
    assert joint.line.length_mm == pytest.approx(job.plate.outline.length - 50.0)
    assert not joint.line.closed
    assert joint.line.spans == (Span(150.0, 100.0 + job.plate.outline.length),)
    assert welded_spans(400.0, (Span(380.0, 20.0),)) == (Span(20.0, 380.0),)
    assert welded_spans(400.0, (Span(0.0, 100.0), Span(50.0, 200.0), Span(300.0, 350.0))) == (
        Span(200.0, 300.0),
        Span(350.0, 400.0),
    )
    assert welded_spans(400.0, (Span(0.0, 399.9999999999),)) == ()


def test_merging_wraps_through_the_start() -> None:
    assert merged([(-5.0, 5.0), (3.0, 10.0), (90.0, 96.0)], 100.0) == (Span(90.0, 110.0),)
    assert merged([(0.0, 60.0), (50.0, 101.0)], 100.0) == (Span(0.0, 100.0),)


def test_corners_are_sharp_turns_and_small_arcs_only() -> None:
    sharp = corner_spans(rectangle(0, 0, 100, 80))
    assert [round(0.5 * (s.start_mm + s.end_mm) % 360, 6) for s in sharp] == [100.0, 180.0, 280.0, 0.0]
    assert corner_spans(circle_contour(Point(0, 0), 10.0)) != ()  # all of it is corner
    assert corner_spans(circle_contour(Point(0, 0), 50.0)) == ()
    assert corner_spans(rectangle(0, 0, 200, 150, 41.0)) == ()
    assert len(corner_spans(rectangle(0, 0, 200, 150, 40.0 + 1e-9))) == 4  # a radius off by rounding is the radius
    assert len(corner_spans(rectangle(0, 0, 200, 150, 15.000000000000002))) == 4


@pytest.mark.parametrize(
    ("plate", "skin", "kind"),
    [(6.0, 2.5, "square butt"), (4.0, 4.0, "square butt"), (5.0, 5.0, "single V butt")],  # ISO 9692-1, from memory
)
def test_kind_follows_the_thinner_part(plate: float, skin: float, kind: str) -> None:
    assert joint_of(rectangle_job(plate_mm=plate, skin_mm=skin)).kind == kind


def test_sections() -> None:
    butt = joint_of(rectangle_job(plate_mm=3.0, skin_mm=3.0, joint=Joint("butt", 1.5)))
    assert butt.section_mm2 == pytest.approx(3 * 1.5 + 2 / 3 * 3.5 * 1.2)  # exact: square and parabolic cap
    lap = joint_of(rectangle_job(plate_mm=3.2, skin_mm=3.2, joint=Joint("lap", 0.0, 20.0)))
    assert lap.kind == "lap fillet"
    assert lap.section_mm2 == pytest.approx(0.5 * 3.2**2 * 1.1)  # exact: z2/2 with a tenth of convexity
    assert lap.throat_mm == pytest.approx(3.2 / 2**0.5)


def test_heat_flows_into_half_of_both_and_a_lap_has_the_skin_twice() -> None:
    assert joint_of(rectangle_job(plate_mm=4.0, skin_mm=2.0)).flow_mm == 3.0
    assert joint_of(rectangle_job(plate_mm=4.0, skin_mm=2.0, joint=Joint("lap", 0.0, 20.0))).flow_mm == 4.0


def test_plug_welds_come_from_marked_holes() -> None:
    joint = joint_of(rectangle_job(purpose="plug weld", plate_mm=3.0))
    assert [p.hole for p in joint.plugs] == ["H1", "H2", "H3", "H4"]
    assert joint.plugs[0].volume_mm3 == pytest.approx(pi * 6.5**2 * 3.0)  # exact
    assert joint_of(rectangle_job()).plugs == ()


def test_doubtful_gap_and_overlap_are_findings() -> None:
    wide = joint_of(rectangle_job(joint=Joint("butt", 4.0)))
    assert [(f.code, f.severity) for f in wide.findings] == [("gap-off-table", "warning")]
    short = joint_of(rectangle_job(joint=Joint("lap", 0.0, 5.0)))
    assert [f.code for f in short.findings] == ["short-overlap"]
