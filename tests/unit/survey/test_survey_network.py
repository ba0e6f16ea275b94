"""The network of distances: exact places, errors against many simulated tapes, a wrong reading found."""

from __future__ import annotations

import numpy as np
import pytest

from cutplan.errors import GeometryError
from cutplan.geometry.vector import Point
from cutplan.survey.network import Distance, adjust

PLAN = [Point(0, 0), Point(390, 0), Point(390, 250), Point(0, 250), Point(135, 120), Point(255, 120)]
PAIRS = [(a, b) for a in range(6) for b in range(a + 1, 6)]


def readings(at: list[Point], error: float = 0.5) -> list[Distance]:
    return [Distance(a, b, at[a].distance(at[b]), error) for a, b in PAIRS]


def test_exact_distances_give_exact_places() -> None:
    moved = [*PLAN[:4], Point(136.5, 119.2), Point(255, 120.8)]
    made = adjust(PLAN, readings(moved), (0, 1, 2, 3))
    for p, q in zip(made.points, moved, strict=True):
        assert p.distance(q) < 1e-7  # exact: the frame's own four points did not move
    assert made.left_out == ()


def test_the_frame_is_held_by_its_points_together() -> None:
    moved = [Point(-1, 0), Point(391, 0), Point(391, 250), Point(-1, 250), *PLAN[4:]]
    made = adjust(PLAN, readings(moved), (0, 1, 2, 3))
    shift = [made.points[k].minus(PLAN[k]) for k in range(4)]
    # exact: no mean shift, no mean turn of the marks
    assert sum(d.x for d in shift) == pytest.approx(0.0, abs=1e-7) and sum(d.y for d in shift) == pytest.approx(
        0, abs=1e-7
    )


def test_errors_are_what_many_tapes_show() -> None:
    rng = np.random.default_rng(5)
    first = adjust(PLAN, readings(PLAN), (0, 1, 2, 3))
    spread = []
    for _ in range(400):
        noisy = [Distance(r.a, r.b, r.mm + 0.5 * float(rng.standard_normal()), 0.5) for r in readings(PLAN)]
        made = adjust(PLAN, noisy, (0, 1, 2, 3))
        if not made.left_out:
            spread.append([v for p in made.points for v in p])
    found = np.cov(np.array(spread).T)
    for k in (4, 5):
        at = slice(2 * k, 2 * k + 2)
        # 400 tapes: the variance itself is known to about 7 %; readings left out take a little off
        assert np.diag(found[at, at]) == pytest.approx(np.diag(first.covariance[at, at]), rel=0.25)


def test_a_wrong_reading_is_left_out_and_named() -> None:
    rows = readings(PLAN)
    rows[7] = Distance(rows[7].a, rows[7].b, rows[7].mm + 6.0, 0.5)
    made = adjust(PLAN, rows, (0, 1, 2, 3))
    assert made.left_out == (7,) and made.residuals_mm[7] == pytest.approx(6.0, abs=1e-6)


def test_too_few_distances_are_refused() -> None:
    with pytest.raises(GeometryError, match="do not fix"):
        adjust(PLAN, readings(PLAN)[:7], (0, 1, 2, 3))
