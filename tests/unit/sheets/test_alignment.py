"""Rigid best fit: exact on rigid motions, least squares otherwise, and honest about mirrored points."""

from __future__ import annotations

from math import hypot, radians, sqrt

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cutplan.errors import GeometryError
from cutplan.geometry.vector import Point
from cutplan.inspection.alignment import align

SQUARE = (Point(0.0, 0.0), Point(200.0, 0.0), Point(200.0, 100.0), Point(0.0, 100.0))


def test_a_turned_and_shifted_square_comes_back_exactly() -> None:
    measured = [p.turned(radians(30.0)).plus(Point(17.0, -250.0)) for p in SQUARE]
    fit = align(measured, SQUARE)
    assert fit.angle_rad == pytest.approx(radians(-30.0), abs=1e-12)  # exact: the turn undone
    assert fit.rms_mm < 1e-9  # exact: no deviation left
    assert fit.mirrored_rms_mm > 40.0


def test_one_point_off_along_the_diagonal_by_formula() -> None:
    # exact: corners at +-a; one moved outward by d along its own radius, so no turn arises;
    # the shift takes d/4 away, leaving 3d/4 there and d/4 at the other three
    a, d = 100.0, 4.0
    plan = [Point(a, a), Point(-a, a), Point(-a, -a), Point(a, -a)]
    out = d / sqrt(2.0)
    measured = [Point(a + out, a + out), *plan[1:]]
    fit = align(measured, plan)
    assert fit.angle_rad == pytest.approx(0.0, abs=1e-12)
    assert fit.deviation_mm == pytest.approx((0.75 * d, 0.25 * d, 0.25 * d, 0.25 * d), abs=1e-9)


def test_two_points_leave_half_their_difference_each() -> None:
    fit = align([Point(0.0, 0.0), Point(0.0, 101.0)], [Point(0.0, 0.0), Point(100.0, 0.0)])
    assert fit.deviation_mm == pytest.approx((0.5, 0.5))  # exact: 1 mm split


def test_mirrored_points_are_told_by_the_second_figure() -> None:
    plan = [Point(0.0, 0.0), Point(200.0, 0.0), Point(150.0, 90.0)]
    fit = align([Point(-p.x, p.y) for p in plan], plan)
    assert fit.mirrored_rms_mm < 1e-9 < 10.0 < fit.rms_mm


@given(
    st.lists(st.tuples(st.floats(-500, 500), st.floats(-500, 500)), min_size=3, max_size=8),
    st.floats(-3.0, 3.0),
    st.floats(-1e3, 1e3),
    st.floats(-1e3, 1e3),
    st.floats(-0.05, 0.05),
    st.floats(-2.0, 2.0),
    st.floats(-2.0, 2.0),
)
@settings(max_examples=60, deadline=None)
def test_no_other_turn_or_shift_fits_better(
    raw: list[tuple[float, float]], angle: float, dx: float, dy: float, turn: float, sx: float, sy: float
) -> None:
    plan = [Point(x, y) for x, y in raw]
    if max(hypot(p.x - plan[0].x, p.y - plan[0].y) for p in plan) < 1.0:
        return
    wobble = [Point(0.3 * (i % 3 - 1), 0.2 * (i % 2)) for i in range(len(plan))]
    measured = [p.plus(w).turned(angle).plus(Point(dx, dy)) for p, w in zip(plan, wobble, strict=True)]
    fit = align(measured, plan)
    best = sum(d * d for d in fit.deviation_mm)
    other = sum(
        m.turned(fit.angle_rad + turn).plus(fit.shift).plus(Point(sx, sy)).distance(p) ** 2
        for m, p in zip(measured, plan, strict=True)
    )
    assert best <= other + 1e-6


@pytest.mark.parametrize(
    ("measured", "plan"),
    [
        ([Point(0.0, 0.0)], [Point(0.0, 0.0)]),
        ([Point(0.0, 0.0)] * 2, [Point(0.0, 0.0), Point(1.0, 0.0)]),
        ([Point(0.0, 0.0), Point(1.0, 0.0)], [Point(0.0, 0.0)]),
    ],
)
def test_too_little_is_refused(measured: list[Point], plan: list[Point]) -> None:
    with pytest.raises(GeometryError):
        align(measured, plan)
