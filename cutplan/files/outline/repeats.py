"""Strokes drawn twice, and straight lines or arcs that lie on each other: one of them is enough."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from cutplan.files.curves.twins import first_alike
from cutplan.files.outline.strokes import Stroke, arc_lengths, lengths, middles
from cutplan.files.traces import Floats, Ints
from cutplan.findings import Finding
from cutplan.texts import Message, place, plural, say

#: Two strokes are one drawn twice when their ends and middles agree this closely [mm].
SAME_MM = 0.002
#: Lines are held against each other when they lie this close [mm] and twice their angle agrees this well [rad].
_AWAY_MM, _TURN = 0.02, 4e-4


def without_repeats(strokes: list[Stroke]) -> tuple[list[Stroke], list[Finding]]:
    """Return the strokes without those that repeat another, whatever their direction."""
    if len(strokes) < 2:
        return strokes, []
    marks = _marks(strokes)
    alike = first_alike(marks, SAME_MM)
    gone = alike != np.arange(len(strokes))
    copies = np.bincount(alike, weights=[s.copies for s in strokes], minlength=len(strokes)).astype(np.int64)
    if not gone.any():
        return strokes, []
    example = strokes[int(np.flatnonzero(gone)[0])]
    finding = Finding(
        "duplicate-removed",
        "note",
        plural(
            "{count} line or arc drawn twice was taken once",
            "{count} lines or arcs drawn twice were taken once",
            int(gone.sum()),
        ),
        example.where.said(),
        say("the repeated ones were left out"),
    )
    kept = [
        s if n == s.copies else replace(s, copies=n)
        for s, g, n in zip(strokes, gone.tolist(), copies.tolist(), strict=True)
        if not g
    ]
    return kept, [finding]


def _marks(strokes: list[Stroke]) -> Floats:
    """Return numbers that two strokes share only when one repeats the other: ends in order, middle, length (n, 7)."""
    marks = np.zeros((len(strokes), 7))
    single = [i for i, s in enumerate(strokes) if len(s.bulge) == 1]
    if single:
        xy = np.array([strokes[i].xy for i in single])
        bulge = np.array([strokes[i].bulge[0] for i in single])
        v = xy[:, 1] - xy[:, 0]
        middle = 0.5 * (xy[:, 0] + xy[:, 1]) + 0.5 * bulge[:, None] * np.column_stack([v[:, 1], -v[:, 0]])
        marks[single] = np.column_stack([xy.reshape(-1, 4), middle, arc_lengths(np.hypot(v[:, 0], v[:, 1]), bulge)])
    for i, s in enumerate(strokes):
        if len(s.bulge) > 1:
            run = lengths(s.xy, s.bulge)
            total = float(run.sum())
            centre = (middles(s.xy, s.bulge) * run[:, None]).sum(axis=0) / max(total, 1e-300)
            marks[i] = (*s.xy[0], *s.xy[-1], *centre, total)
    x0, y0, x1, y1 = marks[:, 0], marks[:, 1], marks[:, 2], marks[:, 3]
    turned = (x1 < x0) | ((x1 == x0) & (y1 < y0))
    marks[turned, :4] = marks[turned][:, [2, 3, 0, 1]]
    return marks


def merged_overlaps(strokes: list[Stroke]) -> tuple[list[Stroke], list[Finding]]:
    """Return strokes with straight lines that overlap in one line, and arcs that overlap on one circle, made one.

    Lines that only meet end to end stay as they are.
    """
    lines = [i for i, s in enumerate(strokes) if len(s.bulge) == 1 and s.bulge[0] == 0.0]
    groups: dict[int, list[int]] = {}
    if len(lines) > 1:
        for i, first in zip(lines, _carriers(np.array([strokes[i].xy for i in lines])).tolist(), strict=True):
            groups.setdefault(first, []).append(i)
    gone: set[int] = set()
    made: list[tuple[int, Stroke]] = []
    findings: list[Finding] = []
    for members in groups.values():
        if len(members) < 2:
            continue
        for cluster, stroke in _overlapping(members, strokes):
            gone.update(cluster)
            made.append((cluster[0], stroke))
            findings.append(
                Finding(
                    "overlap-removed",
                    "warning" if len(findings) < 40 else "note",
                    say("{cluster} lines that lie on each other were made one", cluster=len(cluster)),
                    say("{ends}; {what}", ends=_ends(stroke), what=strokes[cluster[-1]].where.said()),
                    say("one line is left"),
                )
            )
    if not gone:
        return strokes, []
    out = {i: s for i, s in enumerate(strokes) if i not in gone}
    out.update(made)
    return [out[i] for i in sorted(out)], findings[:60]


def _carriers(ends: Floats) -> Ints:
    """Return for each straight stroke, given by its ends (n, 2, 2), the first one on the same endless line.

    A line is told by the foot of the perpendicular on it from the middle of all, and by twice its angle, so that
    neither its sense nor the side of the middle matters.
    """
    ends = ends - ends.reshape(-1, 2).mean(axis=0)
    v = ends[:, 1] - ends[:, 0]
    unit = v / np.maximum(np.hypot(v[:, 0], v[:, 1]), 1e-300)[:, None]
    foot = ends[:, 0] - unit * (ends[:, 0] * unit).sum(axis=1)[:, None]
    twice = np.column_stack([unit[:, 0] ** 2 - unit[:, 1] ** 2, 2.0 * unit[:, 0] * unit[:, 1]])
    return first_alike(np.hstack([foot, twice * (_AWAY_MM / _TURN)]), _AWAY_MM)


def _overlapping(members: list[int], strokes: list[Stroke]) -> list[tuple[list[int], Stroke]]:
    """Return groups of at least two lines in one line that overlap, with the line that replaces each."""
    first = strokes[members[0]]
    v = first.xy[1] - first.xy[0]
    unit: Floats = v / np.hypot(*v)
    origin = first.xy[0]
    spans = []
    for i in members:
        along = (strokes[i].xy - origin) @ unit
        across = (strokes[i].xy - origin) @ np.array([-unit[1], unit[0]])
        if np.abs(across).max() > 0.005 + 1e-5 * float(np.abs(along).max()):
            continue
        spans.append((float(along.min()), float(along.max()), i))
    spans.sort()
    out: list[tuple[list[int], Stroke]] = []
    cluster: list[tuple[float, float, int]] = []
    reach = -np.inf
    for span in [*spans, (np.inf, np.inf, -1)]:
        if cluster and span[0] < reach - 1e-3:
            cluster.append(span)
            reach = max(reach, span[1])
            continue
        if len(cluster) > 1:
            out.append(_union(cluster, strokes, unit, origin))
        cluster = [span]
        reach = span[1]
    return out


def _union(
    cluster: list[tuple[float, float, int]], strokes: list[Stroke], unit: Floats, origin: Floats
) -> tuple[list[int], Stroke]:
    """Return the members and the line from the first to the last of their drawn ends."""
    ends = np.vstack([strokes[i].xy for _, _, i in cluster])
    along = (ends - origin) @ unit
    longest = max(cluster, key=lambda c: c[1] - c[0])[2]
    xy = np.vstack([ends[int(np.argmin(along))], ends[int(np.argmax(along))]])
    order = sorted(cluster, key=lambda c: c[1] - c[0], reverse=True)
    return [c[2] for c in order], replace(strokes[longest], xy=xy)


def _ends(s: Stroke) -> Message:
    (x0, y0), (x1, y1) = s.xy[0].tolist(), s.xy[-1].tolist()
    return say("{a} to {b}", a=place(x0, y0, 3), b=place(x1, y1, 3))
