"""What distances fix before anything is read: closed forms of trilateration, redundancy, and a free network's law."""

from __future__ import annotations

from math import cos, pi, radians, sin, sqrt

import numpy as np
import pytest

from cutplan.errors import GeometryError
from cutplan.geometry.vector import Point
from cutplan.survey.equations import foreseen


def held_all_but(point: int, n: int) -> list[int]:
    return [k for k in range(2 * n) if k // 2 != point]


@pytest.mark.parametrize("n", [3, 4, 5, 8])
def test_point_amid_a_ring_of_marks(n: int) -> None:
    # exact: A^T A = n/2 I for n directions evenly spread, so sx = sy = sigma sqrt(2 / n)
    ring = [Point(200 * cos(2 * pi * k / n), 200 * sin(2 * pi * k / n)) for k in range(n)]
    known = foreseen([Point(0, 0), *ring], [(0, k + 1) for k in range(n)], 0.5, held=held_all_but(0, n + 1))
    assert known.rank == known.unknowns == 2
    assert np.allclose(np.sqrt(np.diag(known.covariance)[:2]), 0.5 * sqrt(2.0 / n), rtol=1e-12)
    # exact: n readings, two unknowns, all alike: each has (n - 2) / n of its error revealed
    assert np.allclose(np.diag(known.revealed), (n - 2) / n, atol=1e-12)


@pytest.mark.parametrize("angle_deg", [20, 60, 90, 130])
def test_two_distances_that_cross_at_an_angle(angle_deg: float) -> None:
    # exact: position error of a distance intersection, sqrt(sx^2 + sy^2) = sigma sqrt(2) / sin(crossing angle)
    a = radians(angle_deg)
    points = [Point(0, 0), Point(300, 0), Point(170 * cos(a), 170 * sin(a))]
    known = foreseen(points, [(0, 1), (0, 2)], 0.3, held=held_all_but(0, 3))
    assert known.full
    assert sqrt(np.trace(known.covariance)) == pytest.approx(0.3 * sqrt(2.0) / sin(a), rel=1e-12)


def test_a_square_with_both_diagonals() -> None:
    # exact: one spare reading; the condition between six distances of a square has coefficients 1 (sides) and
    # -sqrt 2 (diagonals) after scaling, so sides reveal 1/8 of their error and diagonals 1/4; the shares add up to one
    square = [Point(0, 0), Point(100, 0), Point(100, 100), Point(0, 100)]
    pairs = [(0, 1), (1, 2), (2, 3), (3, 0), (0, 2), (1, 3)]
    known = foreseen(square, pairs, 0.5, range(4))
    assert np.allclose(np.diag(known.revealed), [1 / 8] * 4 + [1 / 4] * 2, atol=1e-12)
    # exact: with one spare reading all test values correlate fully, no reading can be told from another
    own = np.sqrt(np.diag(known.revealed))
    assert np.allclose(np.abs(known.revealed) / np.outer(own, own), 1.0, atol=1e-9)


def test_a_missing_distance_shows_as_a_missing_rank() -> None:
    # a square of four marks needs 2 * 4 - 3 = 5 distances: four sides alone let it lean
    square = [Point(0, 0), Point(100, 0), Point(100, 100), Point(0, 100)]
    sides = [(0, 1), (1, 2), (2, 3), (3, 0)]
    for frame, held in (((), (0, 1, 3)), (range(4), ())):
        leaning = foreseen(square, sides, 0.5, frame, held)
        assert (leaning.rank, leaning.unknowns, leaning.full) == (4, 5, False)
        assert foreseen(square, [*sides, (0, 2)], 0.5, frame, held).full


def test_distances_are_known_alike_in_every_frame() -> None:
    # exact: the frame chosen changes coordinates' errors, never those of distances between points
    points = [Point(0, 0), Point(390, 0), Point(390, 250), Point(0, 250), Point(135, 120), Point(255, 90)]
    pairs = [(a, b) for a in range(6) for b in range(a + 1, 6)]
    found = []
    for frame, held in (((), (0, 1, 3)), (range(4), ()), (range(6), ())):
        cov = foreseen(points, pairs, 0.5, frame, held).covariance
        u = points[5].minus(points[4]).unit()
        g = np.zeros(12)
        g[8:] = (-u.x, -u.y, u.x, u.y)
        found.append(float(np.sqrt(g @ cov @ g)))
    assert found[1:] == pytest.approx(found[:1] * 2, rel=1e-9)
    # exact: of all frames the one held by every point together has the least sum of variances
    traces = [np.trace(foreseen(points, pairs, 0.5, f).covariance) for f in (range(6), range(4), range(2))]
    assert traces == sorted(traces)


def test_two_points_at_one_place_are_refused() -> None:
    with pytest.raises(GeometryError, match="one place"):
        foreseen([Point(0, 0), Point(0, 0)], [(0, 1)], 0.5, held=(0, 1, 3))
