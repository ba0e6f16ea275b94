"""Uneven scaling. Expected values are exact."""

from __future__ import annotations

from itertools import pairwise
from math import pi

import pytest

from cutplan.errors import GeometryError
from cutplan.geometry.contour import Contour, circle_contour, rectangle
from cutplan.geometry.region import Region
from cutplan.geometry.stretch import stretched, stretched_region, stretched_segment
from cutplan.geometry.vector import Point


def whole(contour: Contour) -> bool:
    closed = (*contour.segments, contour.segments[0])
    return all(a.end.distance(b.start) == 0.0 for a, b in pairwise(closed))


@pytest.mark.parametrize(("fx", "fy"), [(1.004, 0.998), (2.0, 0.5), (-1.5, 1.0), (1.0, -3.0)])
def test_area_scales_by_both_factors(fx: float, fy: float) -> None:
    shape = rectangle(10.0, 20.0, 80.0, 50.0, 12.0)
    for contour in (shape, shape.reversed()):
        result = stretched(contour, fx, fy, 0.001)
        assert whole(result)
        assert result.ccw == contour.ccw
        assert result.area == pytest.approx(contour.area * abs(fx * fy), abs=0.001 * result.length)
        b = contour.box
        xs, ys = sorted((fx * b.xmin, fx * b.xmax)), sorted((fy * b.ymin, fy * b.ymax))
        assert result.box == pytest.approx((xs[0], ys[0], xs[1], ys[1]), abs=0.001)


def test_circle_becomes_an_ellipse() -> None:
    result = stretched(circle_contour(Point(5.0, 5.0), 20.0), 1.0, 0.5, 0.001)
    assert whole(result)
    assert result.area == pytest.approx(pi * 20.0 * 10.0, abs=0.001 * result.length)
    for a, b in pairwise((*result.segments, result.segments[0])):
        assert abs(a.end_direction.cross(b.start_direction)) < 1e-6


def test_even_factors_keep_circles_exact() -> None:
    plate = Region(rectangle(0, 0, 50, 30), (circle_contour(Point(20, 15), 5.0),))
    assert stretched_region(plate, 2.0, 2.0).holes[0].as_circle() == (Point(40.0, 30.0), 10.0)
    mirrored = stretched_region(plate, -2.0, 2.0)
    assert mirrored.holes[0].as_circle() == (Point(-40.0, 30.0), 10.0)
    assert mirrored.area == pytest.approx(4.0 * plate.area, rel=1e-12)


def test_factor_of_zero_is_refused() -> None:
    with pytest.raises(GeometryError, match="zero"):
        stretched_segment(rectangle(0, 0, 1, 1).segments[0], 0.0, 1.0)
