"""Where along a span tacks may lie, and which of these places are taken: far from each other, evenly, off corners."""

from __future__ import annotations

from bisect import bisect_left, bisect_right, insort
from collections.abc import Sequence

from cutplan.pattern.joint import Span
from cutplan.welding.stitches.joint import WeldJoint
from cutplan.welding.stitches.tack_chain import line_chain, round_chain

#: Shortest tack where there is no room for one by rule [mm] (the floor of the rule, our own).
LEAST_TACK_MM = 8.0
#: A tack keeps this far from the ends of the stitch that melts it [mm] (our own).
STOP_CLEAR_MM = 2.0
#: Middles of two tacks are at least so many tack lengths apart [1] (our own).
LEAST_APART = 1.25


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
    least, ends = LEAST_APART * long, (span.start_mm, span.end_mm)
    chosen = (
        round_chain(list(places), joint.line.outline_mm, spacing, least)
        if joint.line.closed
        else line_chain(list(places), ends, spacing, least)
    )
    starts = [((m - places[m]) % joint.line.outline_mm, 2.0 * places[m]) for m in chosen]
    return [Span(start, start + length) for start, length in starts]


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
