"""Rounded vertices made tangent again. Expected values are exact but for the stated rounding."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest

from cutplan.geometry.contour import polyline, rectangle
from cutplan.geometry.fit.chords import recognise_arcs
from cutplan.geometry.fit.tangent import made_tangent
from cutplan.geometry.flatten import flatten_array
from cutplan.geometry.segment import Arc, Segment
from cutplan.geometry.vector import Point


def kinks(segments: list[Segment]) -> list[float]:
    return [abs(a.end_direction.cross(b.start_direction)) for a, b in pairwise((*segments, segments[0]))]


@pytest.mark.parametrize("turn", [0.0, 0.4, 1.9])
@pytest.mark.parametrize("radius", [8.0, 20.0, 30.0])
def test_rounded_vertices(turn: float, radius: float) -> None:
    shape = rectangle(5.0, 5.0, 100.0, 60.0, radius).turned(turn)
    rounded = np.round(flatten_array(shape, 0.004), 3)
    segments = recognise_arcs(rounded, True)
    arcs = [s for s in segments if isinstance(s, Arc)]
    # radius 30 makes half circles at both ends
    assert len(arcs) == (2 if radius == 30.0 else 4)
    assert max(kinks(segments)) < 1e-9
    for a, b in pairwise((*segments, segments[0])):
        assert a.end.distance(b.start) < 1e-12
    # vertices are good to 0.0005 mm each way
    assert [a.radius for a in arcs] == pytest.approx([radius] * len(arcs), abs=2e-3)


def test_meant_kinks_and_far_moves_stay() -> None:
    # an arc that leaves the line by six degrees
    shape = polyline([(0, 0, 0), (50, 0, 0.35), (60, 10, 0), (60, 40, 0), (0, 40, 0)])
    segments = list(shape.segments)
    assert made_tangent(segments, True, 0.01) == segments
    near = list(polyline([(0, 0, 0), (50, 0.02, 0.41421356), (60, 10, 0), (60, 40, 0), (0, 40, 0)]).segments)
    assert made_tangent(near, True, 1e-6) == near
    assert made_tangent(near, True, 0.1) != near


def test_exact_arcs_are_left_alone() -> None:
    segments = list(rectangle(0, 0, 100, 60, 8.0).segments)
    assert made_tangent(segments, True, 0.01) == segments
    assert segments[0].end == Point(92.0, 0.0)
