"""Distances and places. Expected values are exact, or found by brute force where a comment says so."""

from __future__ import annotations

from math import hypot, pi, sqrt
from random import Random

import numpy as np
import pytest
from oracles.edge_distance import edge_distance, edge_distances

from cutplan.geometry.contour import circle_contour, rectangle
from cutplan.geometry.locate import (
    contour_distance,
    inside,
    segment_distance,
)
from cutplan.geometry.region import Region
from cutplan.geometry.segment import Line, Segment, arc_from_centre, circle
from cutplan.geometry.segment_table import SegmentTable
from cutplan.geometry.vector import Point

PLATE = Region(rectangle(0, 0, 100, 60, 10), (circle_contour(Point(50, 30), 12),))


def _random(rng: Random) -> Segment:
    p = Point(rng.uniform(-9, 9), rng.uniform(-9, 9))
    if rng.random() < 0.5:
        return Line(p, Point(rng.uniform(-9, 9), rng.uniform(-9, 9)))
    return arc_from_centre(p, rng.uniform(0.5, 4.0), rng.uniform(-pi, pi), rng.uniform(-6.2, 6.2))


def test_segment_distance_against_brute_force() -> None:
    rng = Random(11)
    for _ in range(150):
        a, b = _random(rng), _random(rng)
        gap = segment_distance(a, b)
        # brute force: points on one against the exact nearest place on the other
        brute = min(b.nearest(a.point_at(k / 2000.0))[1] for k in range(2001))
        assert gap.distance <= brute + 1e-9
        assert gap.distance == pytest.approx(brute, abs=a.length / 2000.0)
        assert gap.first.distance(gap.second) == pytest.approx(gap.distance, abs=1e-9)
        assert a.nearest(gap.first)[1] < 1e-9
        assert b.nearest(gap.second)[1] < 1e-9


def test_circles_apart_and_nested() -> None:
    a = circle(Point(0, 0), 5.0)
    assert segment_distance(a, circle(Point(20, 0), 5.0)).distance == pytest.approx(10.0)
    assert segment_distance(a, circle(Point(1, 0), 2.0)).distance == pytest.approx(2.0)
    assert segment_distance(a, circle(Point(0, 0), 2.0)).distance == pytest.approx(3.0)


def test_contours() -> None:
    gap = contour_distance(PLATE.outer, PLATE.holes[0])
    assert gap.distance == pytest.approx(18.0)
    assert contour_distance(PLATE.outer, PLATE.holes[0], beyond_mm=5.0).distance == float("inf")
    # exact: from the corner arc about (90, 50) with radius 10 to the corner (103, 64)
    assert contour_distance(PLATE.outer, rectangle(103, 64, 20, 20)).distance == pytest.approx(hypot(13.0, 14.0) - 10.0)


def test_signed_distance() -> None:
    assert edge_distance(PLATE, Point(50.0, 5.0)) == 5.0
    assert edge_distance(PLATE, Point(50.0, -5.0)) == -5.0
    assert edge_distance(PLATE, Point(55.0, 30.0)) == -7.0
    # outside the rounded corner, on the diagonal
    assert edge_distance(PLATE, Point(0.0, 0.0)) == pytest.approx(-(10.0 * sqrt(2.0) - 10.0))


def test_arrays_agree_with_single_points() -> None:
    rng = np.random.default_rng(2)
    p = rng.uniform(-10, 110, (300, 2))
    single = [edge_distance(PLATE, Point(*row)) for row in p.tolist()]
    assert edge_distances(PLATE, p) == pytest.approx(single, abs=1e-12)
    assert inside(PLATE, p).tolist() == [PLATE.contains(Point(*row)) for row in p.tolist()]
    index, away = SegmentTable(list(PLATE.outer.segments)).nearest(p)
    for k, row in enumerate(p.tolist()):
        gaps = [s.nearest(Point(*row))[1] for s in PLATE.outer.segments]
        assert away[k] == pytest.approx(min(gaps), abs=1e-12)
        assert gaps[index[k]] == pytest.approx(min(gaps), abs=1e-12)


def test_the_index_finds_the_same_near_ones(monkeypatch: pytest.MonkeyPatch) -> None:
    rng = Random(8)
    segments = [_random(rng) for _ in range(60)]
    points = np.random.default_rng(8).uniform(-12, 12, (500, 2))
    table = SegmentTable(segments)
    for distance in (0.3, 1.0, 4.0):
        plain = table.clear(points, distance)
        assert plain.tolist() == (table.distances(points) >= distance).tolist()
        monkeypatch.setattr("cutplan.geometry.segment_table._MANY", 0)
        assert table.clear(points, distance).tolist() == plain.tolist()
        monkeypatch.undo()
        assert 0 < plain.sum() < 500 or distance == 4.0
