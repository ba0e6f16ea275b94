"""The datum sheet: rank, checks and the standard errors promised against measuring many times."""

from __future__ import annotations

import random
import time
from dataclasses import replace

import numpy as np
import pytest

from cutplan.geometry.contour import rectangle
from cutplan.geometry.vector import Point
from cutplan.opening.datum import datum_plan, marks_under_plate
from cutplan.opening.doubts import mark_doubts
from cutplan.opening.thinning import pitches, thinned
from cutplan.pattern.checks.check import skin_box
from cutplan.pattern.job import About, Job
from cutplan.pattern.joint import Joint
from cutplan.pattern.opening import opening_line
from cutplan.pattern.pads import Pad
from cutplan.pattern.plate import Plate
from cutplan.pattern.skin import Skin, Walls
from cutplan.survey.equations import foreseen


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


def _slowly_thinned(
    at: list[Point], lines: list[tuple[int, int]], keep: int, frame: list[int]
) -> list[tuple[int, int]]:
    """The same by its definition: each line left out on trial, the whole network foreseen anew."""

    def worst(of: list[tuple[int, int]]) -> tuple[bool, float]:
        known = foreseen(at, of, 0.5, frame)
        return known.full, float(np.sqrt(np.diag(known.covariance).max()))

    most, kept = 1.2 * worst(lines)[1], list(lines)
    while True:
        tries = []
        for k in range(keep, len(kept)):
            rest = kept[:k] + kept[k + 1 :]
            if min(sum(p in line for line in rest) for p in kept[k]) >= 3 and worst(rest)[0]:
                tries.append((round(worst(rest)[1], 9), k))
        if not tries or min(tries)[0] > most:
            return kept
        kept.pop(min(tries)[1])


@pytest.mark.parametrize("count", [1, 3, 5])
def test_lines_are_dropped_as_by_trying_each(count: int) -> None:
    chance = random.Random(count)
    at = [Point(0, 0), Point(500, 0), Point(500, 400), Point(0, 400)]
    at += [Point(chance.uniform(40, 460), chance.uniform(40, 360)) for _ in range(count)]
    pads = list(range(4, 4 + count))
    between = [(a, b) for a in range(4) for b in range(a + 1, 4)]
    lines = [*between, *((p, m) for p in pads for m in range(4)), *pitches(at, pads)]
    assert thinned(at, lines, 6, 0.5, [0, 1, 2, 3]) == _slowly_thinned(at, lines, 6, [0, 1, 2, 3])


def test_a_hundred_pads_have_their_datum_sheet_in_seconds() -> None:
    at = [Point(0, 0), Point(900, 0), Point(900, 900), Point(0, 900)]
    at += [Point(60 + 80 * (k % 10) + k % 7, 60 + 80 * (k // 10) + k % 5) for k in range(100)]
    pads = list(range(4, 104))
    between = [(a, b) for a in range(4) for b in range(a + 1, 4)]
    lines = [*between, *((p, m) for p in pads for m in range(4)), *pitches(at, pads)]
    assert len(lines) < 1000  # of the 4,950 pitches those to the nearest
    start = time.process_time()
    kept = thinned(at, lines, 6, 0.5, [0, 1, 2, 3])
    assert time.process_time() - start < 5.0
    assert foreseen(at, kept, 0.5, [0, 1, 2, 3]).full and len(kept) < len(lines)
    assert all(sum(p in line for line in kept) >= 3 for p in pads)


@pytest.mark.parametrize(
    ("size", "walls", "free"),
    [
        ((240, 110), Walls(120, 120, 65, 65), True),
        ((110, 240), Walls(65, 65, 120, 120), True),
        ((240, 110), Walls(120, 120, 33, 33), True),  # no room above and below: beside the ends
        ((240, 110), Walls(33, 33, 33, 33), False),
    ],
)
def test_a_lapped_plate_covers_no_mark_where_the_walls_leave_room(
    size: tuple[float, float], walls: Walls, free: bool
) -> None:
    plate = Plate(rectangle(0, 0, *size, 20), (), 5.0)
    job = Job(About("lap"), plate, Joint("lap", overlap_mm=30.0), Skin(3.0, walls=walls), (Pad("P", Point(55, 55)),))
    line = opening_line(job)
    plan = datum_plan(job, line)
    marks = [p.at for p in plan.points if p.kind == "mark"]
    inside = skin_box(job, line).grown(-4.0)
    assert all(inside.xmin < m.x < inside.xmax and inside.ymin < m.y < inside.ymax for m in marks) or not free
    clear = [not plate.outline.contains(m) and plate.outline.nearest(m)[1] >= 4.999 for m in marks]
    assert all(clear) is free
    assert bool(mark_doubts(job, plan)) is not free and bool(marks_under_plate(job, plan)) is not free
    # a butt joint keeps the plate inside the opening: its marks are where they were
    assert marks_under_plate(replace(job, joint=Joint("butt", gap_mm=1.0)), plan) == ()
