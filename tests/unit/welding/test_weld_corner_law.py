"""The law of corners: no stop, start or tack in a bend or close to it where another place exists, on random plates."""

from __future__ import annotations

from math import acos, radians
from random import Random

import pytest
from random_plates import random_plate, rough_plate
from weld_jobs import plain_job

from cutplan.geometry.contour import Contour, rectangle
from cutplan.geometry.segment import Arc
from cutplan.pattern.joint import Span
from cutplan.tables.band import Band
from cutplan.welding.settings.machine import settings_for
from cutplan.welding.stitches.joint import weld_joint
from cutplan.welding.stitches.split import split_joint
from cutplan.welding.stitches.tacks import plan_tacks

SHRINK = Band(0.1, 0.2, 0.3, "mm", "test")
#: Metal that stays clear of a bend, largest first [mm]; what the plan states.
CLEAR_MM = (10.0, 6.0, 3.0, 0.0)


def plates(count: int) -> list[Contour]:
    found = []
    for seed in range(count):
        rng = Random(seed)
        if seed % 5 == 0:
            width, height = rng.uniform(80.0, 400.0), rng.uniform(80.0, 300.0)
            # exact radii, rounded ones, and ones off by the last digit
            radius = rng.choice([15.0, 15.000000000000002, 18.0, 25.4, 38.1, 40.0, 40.0 + 1e-6, rng.uniform(0.5, 39.0)])
            found.append(rectangle(0.0, 0.0, width, height, min(radius, 0.45 * min(width, height))))
        else:
            found.append((rough_plate if seed % 2 else random_plate)(seed).outer)
    return found


def bend_places(outline: Contour) -> list[tuple[float, float]]:
    """Bends of the outline by a walk of its own: single arcs to 40 mm and corners, both above 20 degrees."""
    found, run = [], 0.0
    for before, s in zip((outline.segments[-1], *outline.segments[:-1]), outline.segments, strict=True):
        turn = acos(max(-1.0, min(1.0, before.end_direction.dot(s.start_direction))))
        if turn > radians(20.001):
            found.append((run, run))
        if isinstance(s, Arc) and s.radius <= 40.00001 and abs(s.sweep) > radians(20.001):
            found.append((run, run + s.length))
        run += s.length
    return [(a, b) for a, b in found if b - a + _bent_beside(outline, a, b) <= 70.0]


def _bent_beside(outline: Contour, start: float, end: float) -> float:
    """Length of the arcs that go on before and after a bend: with them it may be a round end and no corner."""
    tight = [(isinstance(s, Arc) and s.radius <= 40.05) or s.length < 0.05 for s in outline.segments]
    ends, run = [], 0.0
    for s in outline.segments:
        ends.append((run, run + s.length))
        run += s.length
    count = len(ends)
    own = [i for i, (a, b) in enumerate(ends) if a >= start - 1e-9 and b <= end + 1e-9]
    if not own or start == end:
        return 0.0
    more = 0.0
    for step, first in ((-1, own[0] - 1), (1, own[-1] + 1)):
        i = first
        while tight[i % count] and abs(i - first) < count:
            more += outline.segments[i % count].length
            i += step
    return more


def covered(places: list[tuple[float, float]], clear: float, whole: float) -> float:
    """Share of an outline within a distance of its bends, counted on a grid of its own."""
    steps = 4000
    hits = sum(
        any((whole * i / steps - a + clear) % whole <= b - a + 2.0 * clear for a, b in places) for i in range(steps)
    )
    return hits / steps


@pytest.mark.parametrize("part", [0, pytest.param(1, marks=pytest.mark.slow)])
def test_no_stop_and_no_tack_in_a_bend(part: int) -> None:
    outlines = plates(500)
    stops = tacked = 0
    for outline in outlines[:60] if part == 0 else outlines[60:]:
        job = plain_job(outline)
        joint = weld_joint(job, settings_for("butt", 2.0, job.welding))
        stitches = split_joint(joint)
        places = bend_places(outline)
        level = next((i for i, c in enumerate(CLEAR_MM) if covered(places, c, joint.line.outline_mm) < 0.87), None)
        if level is None or not places:
            continue
        # bends drawn in pieces are one to the plan and several to this walk: its clear metal may be one step less
        clear = CLEAR_MM[level] if len(outline.segments) == 8 else CLEAR_MM[min(level + 1, 3)]
        stops += _check_stops(stitches, places, clear, joint.line.outline_mm)
        tacked += _check_tacks(plan_tacks(joint, stitches, SHRINK).tacks, places, clear, joint.line.outline_mm)
    assert stops > 300 and tacked > 100


def _check_stops(stitches: tuple[Span, ...], places: list[tuple[float, float]], clear: float, whole: float) -> int:
    ends = [e for s in stitches for e in (s.start_mm, s.end_mm)]
    for end in ends:
        for a, b in places:
            assert not 1e-5 < (end - a + clear) % whole < b - a + 2.0 * clear - 1e-5
    return len(ends)


def _check_tacks(tacks: tuple[Span, ...], places: list[tuple[float, float]], clear: float, whole: float) -> int:
    """Tacks keep off unless no clear stretch is as long as the shortest tack of 8 mm."""
    starts = sorted(((a - clear) % whole, b - a + 2.0 * clear) for a, b in places)
    ends = [a + d for a, d in starts]
    gaps = [(starts[(i + 1) % len(starts)][0] - max(e - whole * 0, 0)) % whole for i, e in enumerate(ends)]
    if max(gaps) < 10.0 or any(d > whole for _, d in starts):
        return 0
    for tack in tacks:
        for a, d in starts:
            off = (a - tack.start_mm) % whole
            assert off >= tack.end_mm - tack.start_mm - 1e-5 or (tack.start_mm - a) % whole >= d - 1e-5
            assert not (off < 1e-9 and d > 1e-5)
    return len(tacks)
