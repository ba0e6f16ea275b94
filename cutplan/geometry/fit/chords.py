"""Lines and arcs for point soup: the fewest segments that stay within a tolerance of the chords."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from cutplan.errors import GeometryError
from cutplan.geometry.fit.circle import looks_round, recognise_circle
from cutplan.geometry.fit.run import Run
from cutplan.geometry.fit.settle import MOST_SETTLED, Test, settled
from cutplan.geometry.fit.tangent import made_tangent
from cutplan.geometry.segment import Line, Segment, circle
from cutplan.geometry.vector import Point
from cutplan.tolerance import FIT_MM, JOIN_MM

#: Fewest chords that may stand for an arc: two or three can be bevels drawn on purpose.
FEWEST_ARC_CHORDS = 4
#: Part of the tolerance by which an arc may move to run exactly into the lines beside it.
MEND = 0.25
#: Part of the tolerance that thinning of a dense polyline may use up.
THINNING = 0.01
#: Longest chord of a run as a multiple of its mean chord: a straight side beside an arc stays a line.
UNEVEN = 2.0

__all__ = ["looks_round", "recognise_arcs", "recognise_circle"]


def recognise_arcs(points: Sequence[Point] | np.ndarray, closed: bool, tol_mm: float = FIT_MM) -> list[Segment]:
    """Return a polyline, (n, 2), with its runs of even chords turned into arcs, every other chord left as drawn.

    An arc stands for at least four chords, none longer than twice their mean, with all vertices and chord
    middles within the tolerance. Straight sides, bevels and coarse polygons keep their vertices.

    Parameters
    ----------
    points : sequence of Point or (n, 2) array
        Vertices [mm]; for a closed polyline the first is not repeated.
    closed : bool
        Whether the last vertex joins the first.
    tol_mm : float
        Largest distance between segments and chords [mm].

    Returns
    -------
    list[Segment]
        A chain from the first vertex to the last (closed: back to its start). A full circle where the
        polyline is one by the rule of :func:`recognise_circle`.

    Raises
    ------
    GeometryError
        For fewer than two different points, or points that are not finite.
    """
    p = _distinct(points, closed)
    if closed:
        found = recognise_circle(p, tol_mm)
        if found is not None:
            return [_circle_from(p, *found)]
        # start where an arc cannot run through: after the longest chord
        step = np.roll(p, -1, axis=0) - p
        first = (int(np.argmax((step**2).sum(axis=1))) + 1) % len(p)
        p = np.vstack((p[first:], p[: first + 1]))
    return _laid(p, closed, tol_mm, _arc_of_even_chords, FEWEST_ARC_CHORDS)


def _distinct(points: Sequence[Point] | np.ndarray, closed: bool) -> np.ndarray:
    p = np.asarray(points, dtype=float).reshape(-1, 2)
    if not np.isfinite(p).all():
        raise GeometryError("a polyline holds a coordinate that is not a number")
    if len(p) > 1:
        step = np.abs(np.diff(p, axis=0)).max(axis=1)
        p = p[np.concatenate(([True], step > JOIN_MM))]
        if closed and len(p) > 1 and np.abs(p[0] - p[-1]).max() <= JOIN_MM:
            p = p[:-1]
    if len(p) < 2:
        raise GeometryError("a polyline needs at least two different points")
    return p


def _circle_from(p: np.ndarray, centre: Point, radius: float) -> Segment:
    q = p - p[0]
    area = float(q[:, 0] @ np.roll(q[:, 1], -1) - np.roll(q[:, 0], -1) @ q[:, 1])
    angle = float(np.arctan2(p[0, 1] - centre.y, p[0, 0] - centre.x))
    return circle(centre, radius, angle, ccw=area > 0.0)


def _laid(p: np.ndarray, closed: bool, tol_mm: float, test: Test, fewest: int) -> list[Segment]:
    """Greedy segments with their ends then moved to where they fit best; a closed chain is gone around twice."""
    p = _thinned(p, THINNING * tol_mm)
    tol_mm *= 1.0 - THINNING
    run = Run(p)
    ends = settled(run, _greedy(run, tol_mm, test, fewest), _earliest(run, tol_mm, test, fewest), tol_mm, test)
    if closed and 2 < len(ends) <= MOST_SETTLED:
        turn = ends[1]
        run = Run(np.vstack((p[turn:-1], p[: turn + 1])))
        other, earliest = _greedy(run, tol_mm, test, fewest), _earliest(run, tol_mm, test, fewest)
        if len(other) > len(ends):
            last = len(p) - 1
            other = earliest = [0, *(e - turn for e in ends[2:-1]), last - turn, last]
        ends = settled(run, other, earliest, tol_mm, test)
    points = [Point(x, y) for x, y in run.points.tolist()]
    segments = [
        (test(run, i, j, tol_mm) if j - i > 1 else None) or Line(points[i], points[j]) for i, j in pairwise(ends)
    ]
    return made_tangent(segments, closed, MEND * tol_mm)


def _thinned(p: np.ndarray, allowed_mm: float) -> np.ndarray:
    """Leave out vertices of a needlessly dense polyline; what is left stays within a distance [mm] of all."""
    passes = 10
    for _ in range(passes):
        if len(p) < 1000:
            return p
        middle, before, after = p[1:-1:2], p[0:-2:2], p[2::2]
        chord = after - before
        size = np.maximum(np.hypot(chord[:, 0], chord[:, 1]), 1e-300)
        q = middle - before
        along = (q[:, 0] * chord[:, 0] + q[:, 1] * chord[:, 1]) / size
        away = np.abs(q[:, 0] * chord[:, 1] - q[:, 1] * chord[:, 0]) / size
        drop = (away <= allowed_mm / passes) & (along > 0.0) & (along < size)
        if float(drop.mean()) < 0.8:  # dense no more: what is left stays even
            return p
        keep = np.ones(len(p), dtype=bool)
        keep[1:-1:2] = ~drop
        p = p[keep]
    return p


def _earliest(run: Run, tol_mm: float, test: Test, fewest: int) -> list[int]:
    """As :func:`_greedy`, from the last vertex backwards."""
    last = len(run.points) - 1
    return [last - e for e in reversed(_greedy(Run(run.points[::-1]), tol_mm, test, fewest))]


def _greedy(run: Run, tol_mm: float, test: Test, fewest: int) -> list[int]:
    """Vertices where segments end when from each the longest possible one is taken."""
    last = len(run.points) - 1
    hopeful = _hopeful(run.points, tol_mm, test is _arc_of_even_chords).tolist()
    ends = [0]
    i, guess = 0, fewest
    while i < last:
        good = 1
        if hopeful[i]:
            good = guess = _longest(run, i, last - i, fewest, guess, tol_mm, test)
        i += good
        ends.append(i)
    return ends


def _longest(run: Run, i: int, room: int, fewest: int, guess: int, tol_mm: float, test: Test) -> int:
    """Gallop out from a guess, then halve: the longest run from vertex i that the test accepts, else 1."""
    good, bad = 1, room + 1
    size = min(max(guess, fewest), room)
    while size >= fewest:
        if test(run, i, i + size, tol_mm) is None:
            bad = size
            if good > 1 or size == fewest:
                break
            size = max(fewest, size // 2)
            continue
        good = size
        if size == room or (bad <= room and 2 * size >= bad):
            break
        size = min(2 * size, room)
    while good > 1 and bad - good > 1:
        middle = (good + bad) // 2
        if test(run, i, i + middle, tol_mm) is None:
            bad = middle
        else:
            good = middle
    return good


def _arc_of_even_chords(run: Run, i: int, j: int, tol_mm: float) -> Segment | None:
    """An arc for even chords; chords in one line, exactly so, are one line."""
    straight = run.line(i, j, 1e-3 * tol_mm)
    if straight is not None:
        return straight
    step = np.diff(run.points[i : j + 1], axis=0)
    chords = np.hypot(step[:, 0], step[:, 1])
    if float(chords.max()) > UNEVEN * float(chords.mean()):
        return None
    return run.arc(i, j, tol_mm)


def _hopeful(p: np.ndarray, tol_mm: float, arcs_only: bool) -> np.ndarray:
    """Whether more than one chord from each vertex can be one segment at all; quick, and never wrongly no."""
    hope = np.zeros(len(p), dtype=bool)
    if len(p) < 3:
        return hope
    a, b = p[1:-1] - p[:-2], p[2:] - p[1:-1]
    la, lb = np.hypot(a[:, 0], a[:, 1]), np.hypot(b[:, 0], b[:, 1])
    chord = np.hypot(p[2:, 0] - p[:-2, 0], p[2:, 1] - p[:-2, 1])
    cross = a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]
    with np.errstate(divide="ignore", invalid="ignore"):
        away = np.abs(cross) / chord
        # circle through three vertices: curvature 2 cross / (la lb chord), depth of a chord l^2 / 8 times that
        depth = 0.25 * np.maximum(la, lb) ** 2 * np.abs(cross) / (la * lb * chord)
    # vertices may move by the tolerance, so allow several times the exact limit
    hope[:-2] = (depth <= 6.0 * tol_mm) | (away <= (1e-3 if arcs_only else 1.0) * tol_mm)
    return hope
