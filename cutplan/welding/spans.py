"""Stretches along a closed outline: round its corners, over ribs, and what is left to weld."""

from __future__ import annotations

from itertools import pairwise
from math import acos, radians

from cutplan.geometry.contour import Contour
from cutplan.geometry.intersect import meet
from cutplan.geometry.segment import Arc, Line
from cutplan.pattern.joint import Span
from cutplan.pattern.skin import Rib

#: A turn of the outline above this is a corner [rad].
CORNER_TURN_RAD = radians(20.0)
#: An arc of at most this radius counts as a corner [mm].
CORNER_RADIUS_MM = 15.0
#: No tack and no stop this close to a corner [mm] (our own; published: "off sharp corners").
CORNER_CLEAR_MM = 10.0
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
        Sharp corners and arcs of small radius with clear metal to both sides; merged where they meet, in order; a
        span through the outline's start ends beyond its length.
    """
    raw = _corners(outline)
    spans: tuple[Span, ...] = ()
    for clear in (CORNER_CLEAR_MM, 0.6 * CORNER_CLEAR_MM, 0.3 * CORNER_CLEAR_MM):
        spans = merged([(a - clear, b + clear) for a, b in raw], outline.length)
        if sum(s.end_mm - s.start_mm for s in spans) < 0.9 * outline.length:
            break
    return spans


def _corners(outline: Contour) -> list[tuple[float, float]]:
    """Sharp corners and arcs of small radius, without clear metal [mm]."""
    segments = outline.segments
    raw: list[tuple[float, float]] = []
    run = 0.0
    for i, s in enumerate(segments):
        before = segments[i - 1]
        turn = acos(max(-1.0, min(1.0, before.end_direction.dot(s.start_direction))))
        if turn > CORNER_TURN_RAD and len(segments) > 1:
            raw.append((run, run))
        if isinstance(s, Arc) and s.radius <= CORNER_RADIUS_MM and abs(s.sweep) > CORNER_TURN_RAD:
            raw.append((run, run + s.length))
        run += s.length
    return raw


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
