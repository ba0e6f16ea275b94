"""The datum sheet: rank and standard errors against exact formulas and an independent solver."""

from __future__ import annotations

from math import cos, pi, radians, sin, sqrt

import numpy as np
import pytest
from scipy.optimize import least_squares

from cutplan.errors import GeometryError
from cutplan.geometry.contour import rectangle
from cutplan.geometry.vector import Point
from cutplan.opening.datum import adjust_distances, datum_plan
from cutplan.pattern.job import Job
from cutplan.pattern.pads import Pad
from cutplan.pattern.plate import Plate


def held_all_but(point: int, n: int) -> list[int]:
    return [k for k in range(2 * n) if k // 2 != point]


@pytest.mark.parametrize("n", [3, 4, 5, 8])
def test_point_amid_a_ring_of_marks(n: int) -> None:
    # exact: A^T A = n/2 I for n directions evenly spread, so sx = sy = sigma sqrt(2 / n)
    ring = [Point(200 * cos(2 * pi * k / n), 200 * sin(2 * pi * k / n)) for k in range(n)]
    rank, cov = adjust_distances([Point(0, 0), *ring], [(0, k + 1) for k in range(n)], held_all_but(0, n + 1), 0.5)
    assert rank == 2
    assert np.allclose(np.sqrt(np.diag(cov)[:2]), 0.5 * sqrt(2.0 / n), rtol=1e-12)


@pytest.mark.parametrize("angle_deg", [20, 60, 90, 130])
def test_two_distances_that_cross_at_an_angle(angle_deg: float) -> None:
    # exact: position error of a distance intersection, sqrt(sx^2 + sy^2) = sigma sqrt(2) / sin(crossing angle)
    a = radians(angle_deg)
    points = [Point(0, 0), Point(300, 0), Point(170 * cos(a), 170 * sin(a))]
    rank, cov = adjust_distances(points, [(0, 1), (0, 2)], held_all_but(0, 3), 0.3)
    assert rank == 2
    assert sqrt(np.trace(cov)) == pytest.approx(0.3 * sqrt(2.0) / sin(a), rel=1e-12)


def test_trilateration_against_an_independent_least_squares_solver() -> None:
    # stations and distances of a widely used teaching example of trilateration (Ghilani and Wolf, Adjustment
    # Computations; seen second hand in a public exercise); expected: scipy's own solution, not the book's figures
    known = np.array([[865.40, 4527.15], [2432.55, 2047.25], [2865.22, 27.15]])
    measured = np.array([6049.00, 4736.83, 5446.49])
    fit = least_squares(lambda x: np.hypot(*(x - known).T) - measured, [6851.0, 3760.0], xtol=1e-14, ftol=1e-14)
    s0 = sqrt(float(fit.fun @ fit.fun) / (3 - 2))
    expected = s0 * np.sqrt(np.diag(np.linalg.inv(fit.jac.T @ fit.jac)))
    points = [Point(*fit.x), *(Point(*k) for k in known)]
    rank, cov = adjust_distances(points, [(0, 1), (0, 2), (0, 3)], held_all_but(0, 4), s0)
    assert rank == 2
    assert np.allclose(np.sqrt(np.diag(cov)[:2]), expected, rtol=1e-6)


def test_expected_errors_agree_with_measuring_many_times() -> None:
    # the standard errors are those of repeated adjustments of readings with that noise (4000 trials: about 1 %)
    job = two_pads()
    plan = datum_plan(job, job.plate.outline, 0.4)
    at = {p.name: p.at for p in plan.points}
    names = [p.name for p in plan.points]
    lines = [(names.index(d.a), names.index(d.b)) for d in plan.lines]
    base = np.array([v for n in names for v in at[n]])
    rows = np.zeros((len(lines), len(base)))
    for r, (i, j) in enumerate(lines):
        u = at[names[j]].minus(at[names[i]]).unit()
        rows[r, [2 * i, 2 * i + 1, 2 * j, 2 * j + 1]] = (-u.x, -u.y, u.x, u.y)
    free = [k for k in range(len(base)) if k not in (0, 1, 3)]
    noise = np.random.default_rng(3).normal(0.0, 0.4, (len(lines), 4000))
    moved = np.linalg.pinv(rows[:, free]) @ noise
    found = np.zeros(len(base))
    found[free] = moved.std(axis=1)
    expected = np.array([v for _, sx, sy in plan.errors_mm for v in (sx, sy)])
    assert np.allclose(found, expected, atol=0.04)


def two_pads() -> Job:
    plate = Plate(rectangle(0, 0, 400, 150, 10), (), 4.0)
    return Job("two pads", plate, pads=(Pad("P1", Point(90, 75)), Pad("P2", Point(310, 75)), Pad("P3", Point(200, 40))))


def test_rank_is_full_every_point_is_checked_and_lines_are_planned_lengths() -> None:
    job = two_pads()
    plan = datum_plan(job, job.plate.outline)
    assert plan.needed == 2 * len(plan.points) - 3
    assert plan.full_rank
    at = {p.name: p.at for p in plan.points}
    for d in plan.lines:
        assert d.planned_mm == pytest.approx(at[d.a].distance(at[d.b]), abs=1e-12)
    for p in plan.points:
        assert sum(p.name in (d.a, d.b) for d in plan.lines) >= 3
    assert plan.redundancy == len(plan.lines) - plan.needed > 0
    assert all(0.0 < e < 3.0 * plan.reading_mm for _, e in plan.pair_errors_mm)


def test_a_missing_distance_shows_as_a_missing_rank() -> None:
    # a square of four marks needs 2 * 4 - 3 = 5 distances: four sides alone let it lean
    square = [Point(0, 0), Point(100, 0), Point(100, 100), Point(0, 100)]
    sides = [(0, 1), (1, 2), (2, 3), (3, 0)]
    assert adjust_distances(square, sides, (0, 1, 3), 0.5)[0] == 4
    assert adjust_distances(square, [*sides, (0, 2)], (0, 1, 3), 0.5)[0] == 5


def test_two_points_at_one_place_are_refused() -> None:
    with pytest.raises(GeometryError, match="same place"):
        adjust_distances([Point(0, 0), Point(0, 0)], [(0, 1)], (0, 1, 3), 0.5)
