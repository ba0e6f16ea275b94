"""Stretches along a closed outline: round its corners, over ribs, and what is left to weld."""

from __future__ import annotations

from itertools import pairwise
from math import atan2, radians

from cutplan.geometry.contour import Contour
from cutplan.geometry.intersect import meet
from cutplan.geometry.segment import Arc, Line
from cutplan.pattern.joint import Span
from cutplan.pattern.skin import Rib

#: A turn of the outline above this is a corner [rad].
CORNER_TURN_RAD = radians(20.0)
#: An arc of at most this radius counts as a corner [mm] (our own: above it a torch follows as on a straight edge).
CORNER_RADIUS_MM = 40.0
#: A bend longer than this is a round end, welded and tacked like any edge [mm] (our own: a quarter turn of the largest
#: radius is a corner, a stitch twice as long as usual would heat too much).
LONGEST_CORNER_MM = 70.0
#: Radii within this share of a limit are taken for the limit: drawings round, and arithmetic too [1].
RADIUS_SLACK = 1e-3
#: A bend drawn as short facets counts as an arc where no facet is longer than this [mm].
LONGEST_FACET_MM = 12.0
#: Largest turn between two facets of a bend [rad], and longest sliver between two pieces of an arc [mm].
FACET_TURN_RAD, SLIVER_MM = radians(45.0), 0.01
#: Turns below this are how drawings round a smooth run [rad].
LEAST_TURN_RAD = radians(0.1)
#: No tack and no stop this close to a corner [mm] (our own; published: "off sharp corners").
CORNER_CLEAR_MM = 10.0
#: Shares of the clear metal tried, largest first, where corners leave little room [1].
CLEAR_SHARES = (1.0, 0.6, 0.3, 0.0)
#: Share of an outline that corners with their clear metal may take before less metal is kept clear [1].
MOST_CORNER = 0.9
#: No stitch starts or stops this close to a rib that passes under the joint [mm] (our own; published: "cross existing
#: welds, do not stop on them").
RIB_CLEAR_MM = 8.0


def corner_spans(outline: Contour) -> tuple[Span, ...]:
    """Return the stretches of an outline around its corners, along it from its start [mm].

    Parameters
    ----------
    outline : Contour
        Closed contour; on one so small that the clear metal of all corners meets, less is kept clear

    Returns
    -------
    tuple of Span
        Sharp corners and bends of small radius with clear metal to both sides; merged where they meet, in order; a
        span through the outline's start ends beyond its length.
    """
    raw = bends(outline)
    spans: tuple[Span, ...] = ()
    for share in CLEAR_SHARES:
        clear = share * CORNER_CLEAR_MM
        spans = merged([(a - clear, b + clear) for a, b in raw], outline.length)
        if sum(s.end_mm - s.start_mm for s in spans) < MOST_CORNER * outline.length:
            break
    return spans


def bends(outline: Contour) -> list[tuple[float, float]]:
    """Return sharp corners and bends of small radius without clear metal, from start to end along the outline [mm].

    Parameters
    ----------
    outline : Contour
        Closed contour. An arc drawn in pieces counts as one, and so does a bend of short facets
    """
    marks = _turns(outline)
    if not marks:
        return []
    whole = outline.length
    follows = [_goes_on(marks[i - 1], mark, whole if i == 0 else 0.0) for i, mark in enumerate(marks)]
    start = follows.index(False) if False in follows else 0
    runs: list[list[tuple[float, float, float]]] = []
    for i in range(start, start + len(marks)):
        a, b, turn = marks[i % len(marks)]
        beyond = whole if i >= len(marks) else 0.0
        if not runs or not follows[i % len(marks)]:
            runs.append([])
        runs[-1].append((a + beyond, b + beyond, turn))
    corners = [(run[0][0], run[-1][1]) for run in runs if abs(sum(t for _, _, t in run)) > CORNER_TURN_RAD]
    return [(a, b) for a, b in corners if b - a <= LONGEST_CORNER_MM]


def _turns(outline: Contour) -> list[tuple[float, float, float]]:
    """Where an outline turns: start, end [mm] and turn [rad, positive to the left] of its bends and corners."""
    segments = outline.segments
    marks: list[tuple[float, float, float]] = []
    run = 0.0
    for i, s in enumerate(segments):
        came, goes = segments[i - 1].end_direction, s.start_direction
        turn = atan2(came.x * goes.y - came.y * goes.x, came.dot(goes))
        if abs(turn) > LEAST_TURN_RAD and len(segments) > 1:
            marks.append((run, run, turn))
        if isinstance(s, Arc) and s.radius <= CORNER_RADIUS_MM * (1.0 + RADIUS_SLACK):
            marks.append((run, run + s.length, s.sweep))
        run += s.length
    return marks


def _goes_on(before: tuple[float, float, float], mark: tuple[float, float, float], turn_mm: float) -> bool:
    """Whether a turn goes on where the one before ended: the same way, and over facets as tight as a small radius."""
    apart = mark[0] + turn_mm - before[1]
    turns = abs(before[2]), abs(mark[2])
    facets = before[0] == before[1] and mark[0] == mark[1] and max(turns) <= FACET_TURN_RAD
    near = min(LONGEST_FACET_MM, CORNER_RADIUS_MM * 0.5 * sum(turns)) if facets else SLIVER_MM
    return before[2] * mark[2] > 0.0 and apart <= near


def rib_spans(outline: Contour, ribs: tuple[Rib, ...]) -> tuple[Span, ...]:
    """Return the stretches of an outline that lie over ribs, along it from its start [mm].

    Parameters
    ----------
    outline : Contour
        Closed contour
    ribs : tuple of Rib
        Ribs behind the skin

    Returns
    -------
    tuple of Span
        A stretch to both sides of each crossing, merged where they meet.
    """
    raw: list[tuple[float, float]] = []
    for rib in ribs:
        for a, b in pairwise(rib.path):
            if a.distance(b) <= 0.0:
                continue
            run = 0.0
            for s in outline.segments:
                for hit in meet(s, Line(a, b)):
                    at = run + hit.ta * s.length
                    raw.append((at - RIB_CLEAR_MM, at + RIB_CLEAR_MM))
                run += s.length
    return merged(raw, outline.length)


def merged(raw: list[tuple[float, float]], length_mm: float) -> tuple[Span, ...]:
    """Return stretches of a closed line, merged where they overlap, starts within the line, ends possibly beyond.

    Parameters
    ----------
    raw : list of (float, float)
        Stretches, start below end; may lie partly below zero or beyond the length [mm]
    length_mm : float
        Length of the closed line [mm]

    Returns
    -------
    tuple of Span
        Merged stretches by rising start; one span of the full length when nothing is left clear.
    """
    moved = sorted((a % length_mm, a % length_mm + (b - a)) for a, b in raw)
    joined: list[list[float]] = []
    for a, b in moved:
        if joined and a <= joined[-1][1]:
            joined[-1][1] = max(joined[-1][1], b)
        else:
            joined.append([a, b])
    while len(joined) > 1 and joined[-1][1] - length_mm >= joined[0][0]:
        first = joined.pop(0)
        joined[-1][1] = max(joined[-1][1], first[1] + length_mm)
    if joined and joined[0][1] - joined[0][0] >= length_mm:
        return (Span(0.0, length_mm),)
    return tuple(Span(a, b) for a, b in joined)


def welded_spans(length_mm: float, unwelded: tuple[Span, ...]) -> tuple[Span, ...]:
    """Return what is left of a closed line when stretches are left unwelded.

    Parameters
    ----------
    length_mm : float
        Length of the line [mm]
    unwelded : tuple of Span
        Stretches left out; an end below the start runs through the line's start [mm]

    Returns
    -------
    tuple of Span
        Stretches to weld by rising start; ends may lie beyond the length; empty when nothing is welded.
    """
    raw = [(s.start_mm, s.end_mm if s.end_mm > s.start_mm else s.end_mm + length_mm) for s in unwelded]
    gaps = merged([(a, b) for a, b in raw if b > a], length_mm)
    if not gaps:
        return (Span(0.0, length_mm),)
    spans = []
    for i, gap in enumerate(gaps):
        start = gap.end_mm
        end = gaps[i + 1].start_mm if i + 1 < len(gaps) else gaps[0].start_mm + length_mm
        if end - start > 1e-9:
            spans.append(Span(start % length_mm, start % length_mm + (end - start)))
    return tuple(sorted(spans, key=lambda s: s.start_mm))
