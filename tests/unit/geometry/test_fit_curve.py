"""Smooth curves into tangent arcs. Expected values are exact."""

from __future__ import annotations

from itertools import pairwise
from math import cos, hypot, pi, sin

import numpy as np
import pytest

from cutplan.errors import GeometryError
from cutplan.geometry.contour import Contour
from cutplan.geometry.fit.biarc import biarc, biarc_error
from cutplan.geometry.fit.curve import ellipse, fit_curve, fit_samples
from cutplan.geometry.segment import Arc, Line, Segment
from cutplan.geometry.segment_table import SegmentTable
from cutplan.geometry.vector import Point


def kinks(segments: list[Segment]) -> float:
    return max((abs(a.end_direction.cross(b.start_direction)) for a, b in pairwise(segments)), default=0.0)


def there_and_back(segments: list[Segment], curve: np.ndarray) -> float:
    """Largest distance of the curve from the segments, and of the segments from the (densely sampled) curve."""
    away = float(SegmentTable(segments).distances(curve).max())
    chords = [Line(Point(*a), Point(*b)) for a, b in zip(curve[:-1].tolist(), curve[1:].tolist(), strict=True)]
    on = np.array([s.point_at(t) for s in segments for t in np.linspace(0, 1, 15)])
    return max(away, float(SegmentTable(chords).distances(on).max()))


@pytest.mark.parametrize(("a", "ratio"), [(200.0, 0.6), (10.0, 0.3), (5.0, 2.0), (300.0, 0.02)])
@pytest.mark.parametrize("tol", [0.01, 0.001])
def test_ellipse(a: float, ratio: float, tol: float) -> None:
    segments = ellipse(Point(7.0, -3.0), Point(a * cos(0.4), a * sin(0.4)), ratio, 0.0, 2.0 * pi, tol)
    t = np.linspace(0.0, 2.0 * pi, 6001)
    c, s = a * np.cos(t), a * ratio * np.sin(t)
    curve = np.column_stack((7.0 + c * cos(0.4) - s * sin(0.4), -3.0 + c * sin(0.4) + s * cos(0.4)))
    assert there_and_back(segments, curve) <= tol * 1.001
    assert kinks(segments) < 1e-9
    # exact: pi a b, within the tolerance times the perimeter
    area = Contour(tuple(segments)).area
    assert area == pytest.approx(pi * a * a * ratio, abs=tol * 2.0 * pi * max(a, a * ratio))


def test_ellipse_that_is_a_circle_is_two_arcs() -> None:
    segments = ellipse(Point(0, 0), Point(50.0, 0), 1.0, 0.0, 2.0 * pi)
    assert len(segments) <= 3
    assert all(isinstance(s, Arc) and s.radius == pytest.approx(50.0, rel=1e-9) for s in segments)


def test_bezier_with_an_inflection() -> None:
    b = np.array([[0.0, 0.0], [30.0, 80.0], [90.0, -60.0], [120.0, 20.0]])

    def curve(t: np.ndarray) -> np.ndarray:
        u = 1.0 - t
        return np.column_stack((u**3, 3 * u * u * t, 3 * u * t * t, t**3)) @ b

    def slope(t: np.ndarray) -> np.ndarray:
        u = 1.0 - t
        return 3.0 * np.column_stack((u * u, 2 * u * t, t * t)) @ np.diff(b, axis=0)

    segments = fit_curve(curve, slope, 0.0, 1.0)
    assert there_and_back(segments, curve(np.linspace(0, 1, 5001))) <= 0.01001
    assert kinks(segments) < 1e-9
    assert segments[0].start == (0.0, 0.0)
    assert segments[-1].end == (120.0, 20.0)
    # a straight curve is one line
    straight = fit_curve(lambda t: np.column_stack((t, 2 * t)), lambda t: np.tile([1.0, 2.0], (len(t), 1)), 0.0, 9.0)
    assert [type(s) for s in straight] == [Line]


def test_samples_of_an_arc_give_one_arc() -> None:
    t = np.linspace(0.2, 2.0, 200)
    points = np.column_stack((30 * np.cos(t), 30 * np.sin(t)))
    (arc,) = fit_samples(points, np.column_stack((-np.sin(t), np.cos(t))))
    assert isinstance(arc, Arc)
    assert arc.radius == pytest.approx(30.0, rel=1e-9)
    assert arc.sweep == pytest.approx(1.8, rel=1e-9)


@pytest.mark.parametrize(
    ("t1", "t2"), [(0.3, -0.5), (0.0, 0.0), (1.2, 1.2), (-0.7, 0.7), (2.5, -2.0), (0.5 * pi, 0.5 * pi)]
)
def test_biarc_meets_both_ends_and_directions(t1: float, t2: float) -> None:
    u, v = Point(cos(t1), sin(t1)), Point(cos(t2), sin(t2))
    parts = biarc(Point(0, 0), u, Point(10, 0), v)
    assert parts is not None
    assert parts[0].start == Point(0, 0)
    assert parts[-1].end == Point(10, 0)
    assert parts[0].start_direction.minus(u).length() < 1e-9
    assert parts[-1].end_direction.minus(v).length() < 1e-9
    assert kinks(list(parts)) < 1e-9


def test_biarc_error_counts_ends() -> None:
    line = (Line(Point(0, 0), Point(10, 0)),)
    assert biarc_error(line, np.array([[5.0, 0.5], [13.0, 4.0]])) == pytest.approx(hypot(3.0, 4.0))


def test_curves_that_cannot_be_followed() -> None:
    with pytest.raises(GeometryError, match="comes to a stop"):
        fit_curve(lambda t: np.column_stack((t**3, t**2)), lambda t: np.column_stack((3 * t**2, 2 * t)), -1.0, 1.0)
    with pytest.raises(GeometryError, match="not a number"):
        fit_curve(lambda t: np.column_stack((t, np.full(len(t), np.nan))), lambda t: np.ones((len(t), 2)), 0.0, 1.0)
    with pytest.raises(GeometryError, match="axis of no length"):
        ellipse(Point(0, 0), Point(0, 0), 1.0, 0.0, 1.0)
