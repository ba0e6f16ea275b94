"""The datum sheet: rank, checks and the standard errors promised against measuring many times."""

from __future__ import annotations

import numpy as np
import pytest

from cutplan.geometry.contour import rectangle
from cutplan.geometry.vector import Point
from cutplan.opening.datum import datum_plan
from cutplan.pattern.job import About, Job
from cutplan.pattern.pads import Pad
from cutplan.pattern.plate import Plate


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
    noise = np.random.default_rng(3).normal(0.0, 0.4, (len(lines), 4000))
    moved = (np.linalg.pinv(rows) @ noise).reshape(-1, 2, 4000)
    # laid back on the marks: no mean shift and no mean turn of theirs
    marks = [k for k, p in enumerate(plan.points) if p.kind == "mark"]
    xy = base.reshape(-1, 2)
    off = xy - xy[marks].mean(axis=0)
    moved -= moved[marks].mean(axis=0)
    across = np.stack((-off[:, 1], off[:, 0]), axis=1)
    turn = np.einsum("pa,pak->k", across[marks], moved[marks]) / (off[marks] ** 2).sum()
    moved -= across[:, :, None] * turn
    found = moved.std(axis=2).ravel()
    expected = np.array([v for _, sx, sy in plan.errors_mm for v in (sx, sy)])
    assert np.allclose(found, expected, atol=0.04)


def two_pads() -> Job:
    plate = Plate(rectangle(0, 0, 400, 150, 10), (), 4.0)
    return Job(
        About("two pads"), plate, pads=(Pad("P1", Point(90, 75)), Pad("P2", Point(310, 75)), Pad("P3", Point(200, 40)))
    )


def test_rank_is_full_every_point_is_checked_and_lines_are_planned_lengths() -> None:
    job = two_pads()
    plan = datum_plan(job, job.plate.outline)
    assert plan.needed == 2 * len(plan.points) - 3
    assert plan.rank == plan.needed
    at = {p.name: p.at for p in plan.points}
    for d in plan.lines:
        assert d.planned_mm == pytest.approx(at[d.a].distance(at[d.b]), abs=1e-12)
    for p in plan.points:
        assert sum(p.name in (d.a, d.b) for d in plan.lines) >= 3
    assert plan.redundancy == len(plan.lines) - plan.needed > 0
    assert all(0.0 < e < 3.0 * plan.reading_mm for _, e in plan.pair_errors_mm)
