"""Distances by formula on arrays, against the same told one pair at a time by other code."""

from math import pi
from random import Random

import numpy as np
import pytest

from cutplan.geometry.clearance import Clearance, Rows, pair_distances
from cutplan.geometry.distance import segment_distance
from cutplan.geometry.segment import Line, Segment, arc_from_centre, circle
from cutplan.geometry.vector import Point


def some(rng: Random, count: int) -> list[Segment]:
    def point() -> Point:
        return Point(rng.uniform(0.0, 10.0), rng.uniform(0.0, 10.0))

    found: list[Segment] = []
    for _ in range(count):
        kind = rng.random()
        if kind < 0.4:
            found.append(Line(point(), point()))
        elif kind < 0.9:
            found.append(
                arc_from_centre(point(), rng.uniform(0.1, 5.0), rng.uniform(-4.0, 4.0), rng.uniform(-6.2, 6.2))
            )
        else:
            found.append(circle(point(), rng.uniform(0.1, 4.0)))
    return found


def test_every_pair_is_as_far_apart_as_told_one_by_one() -> None:
    rng = Random(5)
    a, b = some(rng, 60), some(rng, 60)
    i, j = (x.ravel() for x in np.meshgrid(np.arange(60), np.arange(60)))
    told = pair_distances(Rows(a), i, Rows(b), j)
    for k in range(len(i)):
        assert told[k] == pytest.approx(segment_distance(a[i[k]], b[j[k]]).distance, abs=1e-9)


def test_the_nearest_edge_of_many_and_nothing_beyond_reach() -> None:
    edges: list[Segment] = [Line(Point(float(k), 0.0), Point(float(k), 1.0)) for k in range(500)]
    gaps, which = Clearance(edges).of([Line(Point(3.2, 0.2), Point(3.2, 0.8)), circle(Point(7.0, 5.0), 1.0)], 1.0)
    assert gaps[0] == pytest.approx(0.2) and which[0] == 3  # exact
    assert np.isinf(gaps[1]) and which[1] == -1  # exact: 3 mm away


def test_places_far_away_are_measured_too() -> None:
    edges = Clearance([arc_from_centre(Point(0.0, 0.0), 2.0, 0.0, pi)])
    gaps = edges.of_points(np.array([(0.0, 5.0), (0.0, -3000.0), (0.0, 0.0)]), 0.1)
    assert gaps == pytest.approx([3.0, np.hypot(2.0, 3000.0), 2.0])  # exact
