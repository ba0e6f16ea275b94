"""Pictures: what must be seen is there, where it must be, and the key tells the same numbers as the plan."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from weld_jobs import rectangle_job

from cutplan.drawing.model import Figure, Stroke, Text
from cutplan.errors import JobError
from cutplan.pattern.joint import Joint
from cutplan.welding.coupon import weld_coupon
from cutplan.welding.figures import coupon_figure, heat_figure, shade, shape_figure, wait_figure
from cutplan.welding.plan import plan_weld
from cutplan.welding.result import ShapeAfter, WeldPlan


@cache
def plan() -> WeldPlan:
    """A plan by rule: pictures do not need the order model."""

    def refuse(*_: object) -> None:
        raise JobError("no order wanted here")

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("cutplan.welding.order.plan_order", refuse)
        return plan_weld(rectangle_job())


def strokes(figure: Figure, tag: str) -> list[Stroke]:
    return [i for i in figure.items if isinstance(i, Stroke) and i.tag == tag]


def words(figure: Figure) -> list[str]:
    return [i.text for i in figure.items if isinstance(i, Text)]


def test_heat_key_tells_the_plan_and_bands_reach_as_far() -> None:
    job = rectangle_job()
    figure = heat_figure(job, plan(), 200.0)
    coolest_first = sorted(plan().keep_away, key=lambda k: -k.distance_mm.mid)
    assert [w.split(":")[0] for w in words(figure)] == [k.thing for k in coolest_first]
    widest = max(plan().keep_away, key=lambda k: k.distance_mm.mid)
    xs = [p.x for s in strokes(figure, f"heat {widest.thing}") for p in (v.start for v in s.segments)]
    part = 220.0 + 2.0 * widest.distance_mm.mid
    assert max(xs) - min(xs) == pytest.approx(200.0, rel=2e-3)  # exact: outline and twice the reach fill the width
    assert part > 220.0


def test_wait_chart_has_a_bar_and_a_mark_for_each_bead() -> None:
    figure = wait_figure(plan())
    assert len(strokes(figure, "tack")) == len(plan().tacks)
    assert len(strokes(figure, "stitch")) == len(plan().stitches)
    for b in (*plan().tacks, *plan().stitches):
        assert len(strokes(figure, f"before {b.name}")) == 1
    starts = [min(s.box.xmin for s in bar.segments) for bar in strokes(figure, "stitch")]
    assert starts == sorted(starts)


def test_shade_runs_from_down_through_flat_to_up() -> None:
    assert shade(0.0) == "#f7f7f5"
    assert (shade(-1.0), shade(1.0), shade(5.0)) == ("#21548a", "#b24618", "#b24618")


def test_shape_map_colours_each_triangle_and_prints_its_scale() -> None:
    shape = ShapeAfter(
        np.array([[0.0, 0.0], [10.0, 0.0], [0.0, 10.0], [10.0, 10.0]]), np.array([[0, 1, 2], [1, 3, 2]]),
        np.array([True, True, True, True]), np.array([[0.0, 0.0, 0.0, 0.0], [0.3, 0.3, 0.3, -0.6]]), ("flat", "S1"),
    )
    figure = shape_figure(rectangle_job(), shape)
    assert [s.fill for s in strokes(figure, "lift")] == [shade(0.5), shade(0.0)]  # exact means of three corners
    assert "+0.60 mm" in words(figure) and "after S1" in words(figure)
    assert shape.largest_mm == 0.6


@pytest.mark.parametrize("joint", [Joint("butt", 1.0), Joint("lap", 0.0, 20.0)])
def test_coupon_lines_are_as_far_apart_as_its_steps_say(joint: Joint) -> None:
    coupon = weld_coupon(replace(rectangle_job(), joint=joint))
    figure = coupon_figure(coupon)
    low, high = (s.segments[0].start.y for s in strokes(figure, "scribed"))
    assert high - low == pytest.approx(coupon.lines_apart_mm)
    assert f"{coupon.lines_apart_mm:g} mm apart" in coupon.steps[2]
    assert len({s.tag for s in figure.items if isinstance(s, Stroke) and s.tag.startswith("station")}) == 3
