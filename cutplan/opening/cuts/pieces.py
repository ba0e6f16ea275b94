"""What cuts one straight run: a disc's slot with its run-out, a saw, and by turns where ribs lie behind it."""

from __future__ import annotations

from itertools import pairwise
from math import ceil

import numpy as np

from cutplan.geometry.segment import Line, Segment
from cutplan.geometry.vector import Point
from cutplan.opening.cuts.disc import chord_mm, run_out_mm
from cutplan.opening.cuts.fitting import Piece, fits, fitting_piece
from cutplan.opening.cuts.toolset import Toolset
from cutplan.opening.cuts.waste import Waste
from cutplan.tables.by_hand.drills_opening import RIB_ZONE_MM

#: A stub shorter than this is not worth a saw cut: the disc's own slot is wider at its end [mm].
_STUB_MM = 0.3
#: A stretch clear of ribs shorter than this is not worth another tool [mm]. Our own.
_SHORT_MM = 25.0
#: A run is looked at for ribs every so far [mm].
_STEP_MM = 2.0


def disc_depths(kit: Toolset, shallow: bool) -> list[tuple[float, float, float]]:
    """Return (depth, run-out, shortest length cut right through) a disc may be set to, deepest first [mm].

    ``shallow`` True: only the touching depth.
    """
    depths = [kit.depth_mm, 0.5 * (kit.depth_mm + kit.touch_mm), kit.touch_mm]
    chosen = [kit.touch_mm] if shallow else list(dict.fromkeys(depths))
    return [(d, run_out_mm(kit.disc_mm, d, kit.skin_mm), chord_mm(kit.disc_mm, d - kit.skin_mm)) for d in chosen]


def disc_line(waste: Waste, run: Segment, kit: Toolset, first_mm: float, last_mm: float) -> list[Piece]:
    """Return the pieces that cut one straight run.

    Parameters
    ----------
    waste : Waste
        Piece of waste; the slot on the face stays inside its rough line.
    run : Segment
        Where the skin must be parted [mm].
    kit : Toolset
        Tools.
    first_mm, last_mm : float
        How far from its ends the cut may stop, because a hole is there [mm].

    Notes
    -----
    Where the run-out has no room, or something stands in the disc's way, it stops short and another tool finishes the
    stub. A saw gives way to the disc along ribs, since a blade cannot be held off them, and where the brace
    stands in its way.
    """
    length = run.length
    if length <= first_mm + last_mm:
        return []
    body = run.part(first_mm / length, 1.0 - last_mm / length)
    if kit.main == "cut-off disc":
        return _disc_and_stubs(waste, body, kit)
    out: list[Piece] = []
    for part, near in by_ribs(waste, body):
        by_disc = isinstance(part, Line) and (near or not fits(waste, [part], kit.main, kit))
        out += _disc_and_stubs(waste, part, kit) if by_disc else [fitting_piece(waste, [part], kit, kit.main)]
    return out


def _disc_and_stubs(waste: Waste, body: Segment, kit: Toolset) -> list[Piece]:
    fit = _disc_setting(waste, body, kit)
    if fit is None:
        return [fitting_piece(waste, [body], kit, kit.second)]
    depth, r, back0, back1 = fit
    through = body.part(back0 / body.length, 1.0 - back1 / body.length)
    out = [Piece((through,), slot(through, r), "cut-off disc", depth, r)]
    if back0 > _STUB_MM:
        out.insert(0, fitting_piece(waste, [body.part(0.0, back0 / body.length)], kit, kit.second))
    if back1 > _STUB_MM:
        out.append(fitting_piece(waste, [body.part(1.0 - back1 / body.length, 1.0)], kit, kit.second))
    return out


def slot(through: Segment, run_out_mm: float) -> tuple[Segment, ...]:
    """Return what a disc touches on the face where it cuts a run right through: the run and its run-out [mm]."""
    before = Line(through.start.minus(through.start_direction.times(run_out_mm)), through.start)
    after = Line(through.end, through.end.plus(through.end_direction.times(run_out_mm)))
    return (Line(before.start, after.end),) if isinstance(through, Line) else (before, through, after)


def by_ribs(waste: Waste, run: Segment) -> list[tuple[Segment, bool]]:
    """Return a run in stretches clear of ribs and near them, in turn; short clear ones go with their neighbours.

    Parameters
    ----------
    waste : Waste
        With the ribs behind it.
    run : Segment
        What is cut [mm].
    """
    if not waste.near_rib(run):
        return [(run, False)]
    from shapely import distance, points

    count = max(2, ceil(run.length / _STEP_MM))
    spots = points([run.point_at((k + 0.5) / count) for k in range(count)])
    gap = 0.5 * run.length / count
    near = np.zeros(count, dtype=bool)
    for rib in waste.rib_lines:
        near |= distance(rib, spots) < RIB_ZONE_MM + gap + 0.5
    marks = np.flatnonzero(np.diff(near.astype(int))) + 1
    edges = [0, *marks.tolist(), count]
    spans = [[a / count, b / count, bool(near[a])] for a, b in pairwise(edges)]
    merged: list[list[float | bool]] = []
    for span in spans:
        short = not span[2] and (span[1] - span[0]) * run.length < _SHORT_MM
        flag = bool(span[2]) or short
        if merged and merged[-1][2] == flag:
            merged[-1][1] = span[1]
        else:
            merged.append([span[0], span[1], flag])
    if len(merged) == 1:
        return [(run, bool(merged[0][2]))]
    return [(run.part(float(a), float(b)), bool(flag)) for a, b, flag in merged]


def _disc_setting(waste: Waste, body: Segment, kit: Toolset) -> tuple[float, float, float, float] | None:
    """The deepest setting that has room: depth, run-out and how far the cut stays back at either end [mm]."""
    u, v = body.start_direction, body.end_direction
    for depth, r, least in disc_depths(kit, waste.near_rib(body)):
        back0 = r - _room_mm(waste, body.start, u.times(-1.0), r)
        back1 = r - _room_mm(waste, body.end, v, r)
        if kit.around.above:
            back0 = max(back0, _back_mm(body.reversed(), kit, depth, r, least))
            back1 = max(back1, _back_mm(body, kit, depth, r, least))
        if body.length - back0 - back1 >= max(least, 1.0):
            through = body.part(back0 / body.length, 1.0 - back1 / body.length)
            if kit.around.clear(slot(through, r), "cut-off disc", depth, above_only=True):
                return depth, r, back0, back1
    return None


def _back_mm(body: Segment, kit: Toolset, depth_mm: float, r: float, least_mm: float) -> float:
    """How far a disc must stop short of the end of its cut to pass what stands beyond it [mm]."""
    back = 0.0
    while back < body.length - least_mm:
        tail = min(body.length, back + least_mm)
        last = body.part(1.0 - tail / body.length, 1.0 - back / body.length)
        if kit.around.clear(slot(last, r), "cut-off disc", depth_mm, above_only=True):
            return back
        back += 2.0
    return body.length


def _room_mm(waste: Waste, at: Point, direction: Point, wanted_mm: float) -> float:
    """How far the slot can run on from a point and stay inside the rough line [mm], at most what is wanted."""
    from shapely import LineString, prepare

    area = waste.rough_slack
    prepare(area)

    def inside(far: float) -> bool:
        run = LineString([at, at.plus(direction.times(far))]).buffer(0.5 * waste.kerf_mm, cap_style="flat")
        return bool(area.covers(run))

    if inside(wanted_mm):
        return wanted_mm
    low, high = 0.0, wanted_mm
    for _ in range(12):
        mid = 0.5 * (low + high)
        low, high = (mid, high) if inside(mid) else (low, mid)
    return low
