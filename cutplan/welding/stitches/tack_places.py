"""Where along a span tacks may lie, and which of these places are taken: far from each other, evenly, off corners."""

from __future__ import annotations

from bisect import bisect_left, bisect_right, insort
from collections.abc import Sequence
from itertools import pairwise
from math import ceil

import numpy as np
from numpy.typing import NDArray

from cutplan.pattern.joint import Span
from cutplan.welding.stitches.joint import WeldJoint

#: Shortest tack where there is no room for one by rule [mm] (the floor of the rule, our own).
LEAST_TACK_MM = 8.0
#: A tack keeps this far from the ends of the stitch that melts it [mm] (our own).
STOP_CLEAR_MM = 2.0
#: Rounds in which tacks are moved half way between their neighbours.
EVENING_ROUNDS = 6
#: A stretch between two tacks may be longer than the spacing aimed at by this factor [1].
MORE_SPACING = 1.2
#: Places whose distances differ by less are equally near [mm]; the first of them is taken.
_SAME_MM = 1e-6


def spread(span: Span, joint: WeldJoint, stitches: tuple[Span, ...], long: float, spacing: float) -> list[Span]:
    """Return the tacks of one span: evenly spread, each wholly inside a stitch and clear of corners where there is room.

    Parameters
    ----------
    span : Span
        Stretch of the joint that is welded [mm].
    joint : WeldJoint
        Joint.
    stitches : tuple of Span
        Its stitches [mm].
    long, spacing : float
        Length of a tack, and largest spacing aimed at [mm].
    """
    places = _places(span, joint, stitches, long, spacing)
    chosen = _halved(places, span, joint, spacing, 1.25 * long)
    chosen = _evened(chosen, places, 1.25 * long, joint)
    starts = [((m - places[m]) % joint.line.outline_mm, 2.0 * places[m]) for m in chosen]
    return [Span(start, start + length) for start, length in starts]


def _halved(places: dict[float, float], span: Span, joint: WeldJoint, spacing: float, least: float) -> list[float]:
    """Places chosen by halving the widest stretch without a tack until none is wider than wished by a fifth.

    Round a closed joint there are four at least, and an even number, so that they can be made in pairs.
    """
    whole = joint.line.outline_mm
    keys = np.array(list(places))
    turned = np.concatenate([keys, keys + whole])
    if joint.line.closed:
        chosen = [float(keys[0])]
    else:
        step = (span.end_mm - span.start_mm) / max(ceil((span.end_mm - span.start_mm) / spacing - 1e-9), 1)
        ends = (span.start_mm + 0.5 * step, span.end_mm - 0.5 * step)
        chosen = sorted({float(keys[np.argmin(np.abs(keys - e))]) for e in ends})
    closed_ends: set[tuple[float, float]] = set()
    while True:
        gaps = list(pairwise([*chosen, chosen[0] + whole] if joint.line.closed else chosen))
        open_gaps = [g for g in gaps if g not in closed_ends]
        widest = max(open_gaps, key=lambda g: (round(g[1] - g[0], 6), -g[0]), default=None)
        if widest is None:
            return chosen
        enough = not joint.line.closed or (len(chosen) >= 4 and len(chosen) % 2 == 0)
        if enough and widest[1] - widest[0] <= MORE_SPACING * spacing:
            return chosen
        middle = 0.5 * (widest[0] + widest[1])
        free = turned[(turned >= widest[0] + least) & (turned <= widest[1] - least)]
        if not free.size:
            closed_ends.add(widest)
            continue
        best = _nearest(free, np.abs(free - middle))
        chosen = sorted([*chosen, best - whole if best - whole in places else best])


def _nearest(places: NDArray[np.float64], far: NDArray[np.float64]) -> float:
    """The first of the nearest places, their distances rounded to a millionth of a millimetre."""
    near = far <= far.min() + 2.0 * _SAME_MM
    return float(
        min(zip(far[near].tolist(), places[near].tolist(), strict=True), key=lambda p: (round(p[0], 6), p[1]))[1]
    )


def _places(
    span: Span, joint: WeldJoint, stitches: tuple[Span, ...], long: float, spacing: float
) -> dict[float, float]:
    """Where the middle of a tack may lie, with half its length: in one stitch and off corners where there is room.

    A tack that does not fit off corners is shortened to the least length before corners are given up; far from every
    such place one may lie across the end of a stitch.
    """
    whole = joint.line.outline_mm
    grid = [span.start_mm + 0.5 + i for i in range(max(int(span.end_mm - span.start_mm), 1))]
    ordered = sorted(stitches, key=lambda s: s.start_mm % whole)
    starts = [s.start_mm % whole for s in ordered]
    clear: dict[float, float] = {}
    inside: dict[float, float] = {}
    for half in (0.5 * min(long, LEAST_TACK_MM), 0.5 * long):
        for p in grid:
            if _clear(p, half, joint) and (joint.line.closed or within(p, half, span, joint)):
                clear[p] = half
                # stitches cover the span once: only the one that begins before, or its neighbours, can hold the tack
                at = bisect_right(starts, (p - half - STOP_CLEAR_MM) % whole)
                about = {(at + i) % len(ordered) for i in (-2, -1, 0)} if ordered else set()
                if any(within(p, half + STOP_CLEAR_MM, ordered[i], joint) for i in about):
                    inside[p] = half
    # a full tack near by is better than a short one
    full = sorted(p for p, half in inside.items() if half == 0.5 * long)
    inside = {p: h for p, h in inside.items() if h == 0.5 * long or _away(p, full, joint) > 0.3 * spacing}
    taken = sorted(inside)
    for p, half in clear.items():
        if p not in inside and _away(p, taken, joint) > 0.6 * spacing:
            inside[p] = half
            insort(taken, p)
    if inside:
        return dict(sorted(inside.items()))
    half = 0.5 * min(long, span.end_mm - span.start_mm)
    loose = [p for p in grid if joint.line.closed or within(p, half, span, joint)]
    return dict.fromkeys(loose or [0.5 * (span.start_mm + span.end_mm)], half)


def _away(place: float, others: Sequence[float], joint: WeldJoint) -> float:
    """Distance to the nearest of others in rising order, round a closed joint too [mm]; infinite without any."""
    if not others:
        return float("inf")
    at = bisect_left(others, place)
    about = {at % len(others), at - 1 if at else len(others) - 1, 0, len(others) - 1}
    return min(apart(place, others[i], joint) for i in about)


def _evened(chosen: list[float], places: dict[float, float], least: float, joint: WeldJoint) -> list[float]:
    """Tacks moved, one after the other, to the place nearest half way between their neighbours."""
    count, whole = len(chosen), joint.line.outline_mm
    if count < 3:
        return chosen
    keys = np.array(list(places))
    for _ in range(EVENING_ROUNDS):
        for i in range(count):
            if not joint.line.closed and i in (0, count - 1):
                continue
            before = chosen[i - 1] - (whole if i == 0 else 0.0)
            after = chosen[(i + 1) % count] + (whole if i == count - 1 else 0.0)
            middle = 0.5 * (before + after)
            free = keys[np.minimum(_aparts(keys, before, joint), _aparts(keys, after, joint)) >= least]
            if free.size:
                best = _nearest(free, _aparts(free, middle, joint))
                if before < best < after and abs(best - middle) < abs(chosen[i] - middle):
                    chosen[i] = best
    return chosen


def apart(a: float, b: float, joint: WeldJoint) -> float:
    """Return the distance between two places, round a closed joint too [mm].

    Parameters
    ----------
    a, b : float
        Lengths along the outline [mm].
    joint : WeldJoint
        Joint.
    """
    d = abs(a - b) % joint.line.outline_mm
    return min(d, joint.line.outline_mm - d) if joint.line.closed else abs(a - b)


def _aparts(places: NDArray[np.float64], b: float, joint: WeldJoint) -> NDArray[np.float64]:
    d = np.abs(places - b)
    if not joint.line.closed:
        return d
    d = d % joint.line.outline_mm
    return np.minimum(d, joint.line.outline_mm - d)


def within(middle: float, half: float, span: Span, joint: WeldJoint) -> bool:
    """Return whether a tack about a place lies wholly in a stretch.

    Parameters
    ----------
    middle, half : float
        Place and half the length of the tack [mm].
    span : Span
        Stretch [mm].
    joint : WeldJoint
        Joint.
    """
    start = (middle - half - span.start_mm) % joint.line.outline_mm
    return start + 2.0 * half <= span.end_mm - span.start_mm + 1e-9


def _clear(middle: float, half: float, joint: WeldJoint) -> bool:
    """Whether a tack about a place keeps out of every corner."""
    return all(
        middle + half <= c.start_mm + turn or middle - half >= c.end_mm + turn
        for c in joint.line.corners
        for turn in (-joint.line.outline_mm, 0.0, joint.line.outline_mm)
    )
