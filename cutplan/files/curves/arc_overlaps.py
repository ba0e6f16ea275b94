"""Arcs of one circle that overlap made one arc, or the full circle where together they go all the way round."""

from __future__ import annotations

from dataclasses import replace
from math import atan2, cos, hypot, pi, sin, tan

import numpy as np

from cutplan.files.curves.twins import first_alike
from cutplan.files.outline.strokes import Stroke, round_stroke
from cutplan.findings import Finding
from cutplan.texts import mm, place, say

#: Centres and radii of arcs that agree this closely are one circle [mm].
SAME_MM = 0.005
#: Arcs that share less than this only meet [mm].
_MEET_MM = 1e-3
_LISTED = 40
_TAU = 2.0 * pi


def merged_arcs(strokes: list[Stroke]) -> tuple[list[Stroke], list[Finding]]:
    """Return strokes with single arcs that overlap on one circle made one; those that only meet stay as they are."""
    spans: dict[int, tuple[float, float, float, float, float]] = {}
    for i, s in enumerate(strokes):
        if len(s.bulge) == 1 and abs(s.bulge[0]) > 1e-9:
            spans[i] = _span(s)
    gone: set[int] = set()
    made: list[tuple[int, Stroke]] = []
    findings: list[Finding] = []
    arcs = list(spans)
    groups: dict[int, list[int]] = {}
    if len(arcs) > 1:
        alike = first_alike(np.array([spans[i][:3] for i in arcs]), SAME_MM)
        for i, first in zip(arcs, alike.tolist(), strict=True):
            groups.setdefault(first, []).append(i)
    for members in groups.values():
        if len(members) < 2:
            continue
        for cluster, stroke in _overlapping(members, spans, strokes):
            gone.update(cluster)
            made.append((min(cluster), stroke))
            x, y, r, _, _ = spans[cluster[0]]
            findings.append(
                Finding(
                    "overlap-removed",
                    "warning" if len(findings) < _LISTED else "note",
                    say("{cluster} arcs that lie on each other were made one", cluster=len(cluster)),
                    say(
                        "centre {at}, radius {radius}; {what}",
                        at=place(x, y, 3),
                        radius=mm(r, 3),
                        what=strokes[cluster[-1]].where.said(),
                    ),
                    say("one arc is left"),
                )
            )
    if not gone:
        return strokes, []
    out = {i: s for i, s in enumerate(strokes) if i not in gone}
    out.update(made)
    return [out[i] for i in sorted(out)], findings[: _LISTED + 20]


def _span(s: Stroke) -> tuple[float, float, float, float, float]:
    """Return centre, radius, and the angles from where to where an arc runs counter-clockwise [rad]."""
    (x0, y0), (x1, y1) = s.xy.tolist()
    b = float(s.bulge[0])
    if b < 0.0:
        x0, y0, x1, y1, b = x1, y1, x0, y0, -b
    dx, dy = x1 - x0, y1 - y0
    rise = (1.0 - b * b) / (4.0 * b)
    x, y = x0 + 0.5 * dx - dy * rise, y0 + 0.5 * dy + dx * rise
    start = atan2(y0 - y, x0 - x) % _TAU
    return x, y, hypot(x0 - x, y0 - y), start, start + 4.0 * np.arctan(b)


def _overlapping(
    members: list[int], spans: dict[int, tuple[float, float, float, float, float]], strokes: list[Stroke]
) -> list[tuple[list[int], Stroke]]:
    """Return groups of at least two arcs of one circle that overlap, with the arc or circle that replaces each."""
    slack = _MEET_MM / spans[members[0]][2]
    order = sorted(members, key=lambda i: (spans[i][3], i))
    # arcs may run over the zero angle: a second turn shows what they reach there
    clusters: list[list[int]] = []
    reach: list[float] = []
    for i in order:
        if clusters and spans[i][3] < reach[-1] - slack:
            clusters[-1].append(i)
            reach[-1] = max(reach[-1], spans[i][4])
        else:
            clusters.append([i])
            reach.append(spans[i][4])
    starts = [spans[c[0]][3] for c in clusters]
    while len(clusters) > 1 and starts[0] + _TAU < reach[-1] - slack:
        clusters[-1] += clusters[0]
        reach[-1] = max(reach[-1], reach[0] + _TAU)
        del clusters[0], reach[0], starts[0]
    out: list[tuple[list[int], Stroke]] = []
    for cluster, start, end in zip(clusters, starts, reach, strict=True):
        if len(cluster) < 2:
            continue
        x, y, r, _, _ = spans[cluster[0]]
        first = strokes[cluster[0]]
        if end - start > _TAU - slack:
            whole = round_stroke(x, y, r, first.where, first.layer)
            if whole is not None:
                out.append((cluster, whole))
            continue
        out.append((cluster, _arc(cluster, start, end, spans, strokes)))
    return out


def _arc(
    cluster: list[int],
    start: float,
    end: float,
    spans: dict[int, tuple[float, float, float, float, float]],
    strokes: list[Stroke],
) -> Stroke:
    """Return the arc from the first to the last of the drawn ends, halved where it is long."""
    x, y, r, _, _ = spans[cluster[0]]
    ends = np.vstack([strokes[i].xy for i in cluster])
    angles = np.arctan2(ends[:, 1] - y, ends[:, 0] - x)

    def drawn(angle: float) -> list[float]:
        away = np.abs((angles - angle + pi) % _TAU - pi)
        point: list[float] = ends[int(np.argmin(away))].tolist()
        return point

    sweep = end - start
    if sweep <= 4.0:
        return replace(
            strokes[cluster[0]], xy=np.array([drawn(start), drawn(end)]), bulge=np.array([tan(0.25 * sweep)])
        )
    half = start + 0.5 * sweep
    xy = np.array([drawn(start), [x + r * cos(half), y + r * sin(half)], drawn(end)])
    return replace(strokes[cluster[0]], xy=xy, bulge=np.full(2, tan(0.125 * sweep)))
