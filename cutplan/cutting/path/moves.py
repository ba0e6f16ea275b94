"""A cut as a table runs it: stretch by stretch, each with its share of the feed and whether the torch holds its height.

Corners and small holes are cut slower, and the height control is held there, since the voltage that it steers by lies
when the torch slows down or crosses its own kerf (common practice; the figures are rules of thumb, from memory).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from cutplan.cutting.result import CutPath
from cutplan.geometry.segment import Arc, Segment
from cutplan.tables.cutting.cut_process import PROCESSES
from cutplan.tables.cutting.holes import SLOW_AFTER_MM, SLOW_BEFORE_MM, SLOW_CORNER, TIGHT_MM, TIGHT_RAD
from cutplan.tolerance import JOIN_MM

Role = Literal["lead in", "cut", "lead out"]
_Spans = list[tuple[float, float]]


@dataclass(frozen=True, slots=True)
class Move:
    """One line or arc of a cut: what it is for, its share of the feed [1], and whether the height is held."""

    segment: Segment
    role: Role
    share: float
    hold: bool


def moves_of(path: CutPath, process: str) -> tuple[Move, ...]:
    """Return a cut as the moves of the torch, in travel order.

    Parameters
    ----------
    path : CutPath
        One cut with its leads.
    process : str
        Cutting process; only those with wide starts, plasma and oxyfuel, slow down in corners.
    """
    small = path.speed_share < 1.0
    found = [Move(s, "lead in", path.speed_share, small) for s in path.lead_in]
    if small or not PROCESSES[process].wide_start:
        found += [Move(s, "cut", path.speed_share, small) for s in path.cut]
    else:
        spans = _tight_spans(path)
        found += [Move(s, "cut", SLOW_CORNER if slow else 1.0, slow) for s, slow in _split(path.cut, spans)]
    found += [Move(s, "lead out", path.speed_share, small) for s in path.lead_out]
    return tuple(found)


def slow_chains(moves: Iterable[Move]) -> tuple[tuple[Segment, ...], ...]:
    """Return the stretches on which the torch goes slower with its height held, each as one chain."""
    chains: list[list[Segment]] = []
    before = False
    for move in moves:
        if move.hold:
            if not before:
                chains.append([])
            chains[-1].append(move.segment)
        before = move.hold
    return tuple(tuple(c) for c in chains)


def _tight_spans(path: CutPath) -> _Spans:
    """Stretches of a cut from a little before each tight bend to a little after it, in order, joined where they meet."""
    total = sum(s.length for s in path.cut)
    marks: _Spans = []
    run = 0.0
    for k, s in enumerate(path.cut):
        if isinstance(s, Arc) and s.radius <= TIGHT_MM and abs(s.sweep) >= TIGHT_RAD:
            marks.append((run, run + s.length))
        run += s.length
        after = path.cut[(k + 1) % len(path.cut)]
        if k + 1 < len(path.cut) or path.closed:
            u, v = s.end_direction, after.start_direction
            if abs(u.cross(v)) > TIGHT_RAD or u.dot(v) < 0.0:
                marks.append((run, run))
    wide: _Spans = []
    for a, b in marks:
        a, b = a - SLOW_BEFORE_MM, b + SLOW_AFTER_MM
        wide.append((max(0.0, a), min(total, b)))
        if path.closed and a < 0.0:
            wide.append((total + a, total))
        if path.closed and b > total:
            wide.append((0.0, b - total))
    joined: _Spans = []
    for a, b in sorted(wide):
        if joined and a <= joined[-1][1] + JOIN_MM:
            joined[-1] = (joined[-1][0], max(b, joined[-1][1]))
        else:
            joined.append((a, b))
    return joined


def _split(segments: tuple[Segment, ...], spans: _Spans) -> list[tuple[Segment, bool]]:
    """Cut segments at the ends of spans; each piece with whether it lies in one."""
    ends = [e for span in spans for e in span]
    found: list[tuple[Segment, bool]] = []
    run = 0.0
    for s in segments:
        inner = sorted({e - run for e in ends if JOIN_MM < e - run < s.length - JOIN_MM})
        for a, b in zip([0.0, *inner], [*inner, s.length], strict=True):
            piece = s if not inner else s.part(a / s.length, 1.0 if b == s.length else b / s.length)
            middle = run + 0.5 * (a + b)
            found.append((piece, any(low <= middle <= high for low, high in spans)))
        run += s.length
    return found
