"""The judge of tangent pairs of arcs meets its ends and directions. Expected values are exact."""

from __future__ import annotations

from itertools import pairwise
from math import cos, hypot, pi, sin

import numpy as np
import pytest
from oracles.biarc import biarc, biarc_error

from cutplan.geometry.segment import Line, Segment
from cutplan.geometry.vector import Point


def kinks(segments: list[Segment]) -> float:
    return max((abs(a.end_direction.cross(b.start_direction)) for a, b in pairwise(segments)), default=0.0)


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
