"""What one tool cuts of an edge: a disc's straight slot with its run-out, or a saw's run."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from cutplan.geometry.segment import Line, Segment
from cutplan.geometry.vector import Point
from cutplan.opening.cuts.disc import chord_mm, run_out_mm
from cutplan.opening.cuts.standing import beside, in_the_way, overhang_mm
from cutplan.opening.cuts.waste import Waste
from cutplan.pattern.job import Job
from cutplan.tables.drills_opening import BREAKTHROUGH_MM, CLEAR_BEHIND_MM, TOUCH_MM
from cutplan.tables.hand_tools import TOOLS, disc_reach_mm

#: A stub shorter than this is not worth a saw cut: the disc's own slot is wider at its end [mm].
_STUB_MM = 0.3
#: Room kept between an overhanging disc and a foot of the brace [mm].
_FOOT_GAP_MM = 4.0


@dataclass(frozen=True, slots=True)
class Toolset:
    """The tools for one opening and the numbers that follow from skin and disc.

    Parameters
    ----------
    main, second : str
        Tool for straight cuts; tool for curves and stubs.
    disc_mm : float
        Disc diameter [mm].
    skin_mm : float
        Skin thickness [mm].
    depth_mm, touch_mm : float
        Depth below the face in free skin, and over a rib or an unmeasured space [mm].
    run_out_mm : float
        Largest run-out of the disc, at the touching depth [mm]; 0 for another tool.
    slot_mm : float
        Shortest slot on the face [mm]; 0 for another tool.
    tee_mm : float
        Hole wanted where a cut across meets the line [mm]; 0: none needed.
    entry_mm : float
        Hole that the main tool needs to start [mm].
    reach_mm : float
        Deepest that the main tool can go [mm].
    """

    main: str
    second: str
    disc_mm: float
    skin_mm: float
    depth_mm: float
    touch_mm: float
    run_out_mm: float
    slot_mm: float
    tee_mm: float
    entry_mm: float
    reach_mm: float

    @property
    def least_line_mm(self) -> float:
        """Shortest length that the disc cuts right through in one plunge [mm]."""
        return self.slot_mm - 2.0 * self.run_out_mm


@dataclass(frozen=True, slots=True)
class Piece:
    """One cut before it has a name; see :class:`cutplan.opening.model.Cut`."""

    path: tuple[Segment, ...]
    reach: tuple[Segment, ...]
    tool: str
    depth_mm: float
    run_out_mm: float

    @property
    def length_mm(self) -> float:
        return sum(s.length for s in self.path)


def toolset(job: Job) -> Toolset:
    """Return the tools for a job's opening. A disc that cannot come through the skin gives way to a jigsaw."""
    work, t = job.opening, job.skin.thickness_mm
    free = job.skin.box_depth_mm
    touch = t + TOUCH_MM
    depth = touch if free is None else t + max(TOUCH_MM, min(BREAKTHROUGH_MM, free - CLEAR_BEHIND_MM))
    main = work.tool
    if main == "cut-off disc" and disc_reach_mm(work.disc_diameter_mm) < touch:
        main = "jigsaw"
    second = "jigsaw" if main == "cut-off disc" else main
    if main == "cut-off disc":
        run_out = run_out_mm(work.disc_diameter_mm, touch, t)
        depth = min(depth, disc_reach_mm(work.disc_diameter_mm))
        return Toolset(
            main,
            second,
            work.disc_diameter_mm,
            t,
            depth,
            touch,
            run_out,
            chord_mm(work.disc_diameter_mm, touch),
            min(14.0, float(int(run_out + 2.0))),
            0.0,
            disc_reach_mm(work.disc_diameter_mm),
        )
    entry = TOOLS[main].entry_mm
    return Toolset(main, second, work.disc_diameter_mm, t, depth, touch, 0.0, 0.0, entry, entry, 0.0)


def saw_run(waste: Waste, run: Sequence[Segment], tool: str, kit: Toolset) -> Piece:
    """Return a run cut by a saw or a torch: no run-out."""
    depth = kit.touch_mm if waste.ribs_near(run) else kit.depth_mm
    return Piece(tuple(run), tuple(run), tool, depth, 0.0)


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
    Where the run-out has no room the disc stops short and the second tool finishes the stub.
    """
    length = run.length
    if length <= first_mm + last_mm:
        return []
    t0, t1 = first_mm / length, 1.0 - last_mm / length
    body = run.part(t0, t1)
    if kit.main != "cut-off disc":
        return [saw_run(waste, [body], kit.main, kit)]
    u, v = body.start_direction, body.end_direction
    fit = _disc_setting(waste, body, kit)
    if fit is None:
        return [saw_run(waste, [body], kit.second, kit)]
    depth, r, back0, back1 = fit
    through = body.part(back0 / body.length, 1.0 - back1 / body.length)
    before = Line(through.start.minus(u.times(r)), through.start)
    after = Line(through.end, through.end.plus(v.times(r)))
    if isinstance(through, Line):
        reach: tuple[Segment, ...] = (Line(before.start, after.end),)
    else:
        reach = (before, through, after)
    out = [Piece((through,), reach, "cut-off disc", depth, r)]
    if back0 > _STUB_MM:
        out.insert(0, saw_run(waste, [body.part(0.0, back0 / body.length)], kit.second, kit))
    if back1 > _STUB_MM:
        out.append(saw_run(waste, [body.part(1.0 - back1 / body.length, 1.0)], kit.second, kit))
    return out


def _disc_setting(waste: Waste, body: Segment, kit: Toolset) -> tuple[float, float, float, float] | None:
    """The deepest setting that has room: depth, run-out and how far the cut stays back at either end [mm]."""
    u, v = body.start_direction, body.end_direction
    for depth, r, least in disc_depths(kit, waste.near_rib(body)):
        back0 = r - _room_mm(waste, body.start, u.times(-1.0), r)
        back1 = r - _room_mm(waste, body.end, v, r)
        if waste.feet:
            over = r + overhang_mm(kit.disc_mm, depth)
            back0 = max(back0, _back_mm(waste, body.reversed(), over))
            back1 = max(back1, _back_mm(waste, body, over))
        if body.length - back0 - back1 >= max(least, 1.0):
            return depth, r, back0, back1
    return None


def _back_mm(waste: Waste, body: Segment, over_mm: float) -> float:
    """How far a disc that hangs over the end of its cut must stop short of it to pass the brace's feet [mm]."""
    back = 0.0
    while back < body.length - 1.0:
        cut = body.part(0.0, 1.0 - back / body.length)
        tip = cut.end.plus(cut.end_direction.times(over_mm + _FOOT_GAP_MM))
        if not in_the_way(waste.feet, beside([cut.end, tip], waste.kerf_mm)):
            break
        back += 2.0
    return back


def _room_mm(waste: Waste, at: Point, direction: Point, wanted_mm: float) -> float:
    """How far the slot can run on from a point and stay inside the rough line [mm], at most what is wanted."""
    from shapely import LineString, prepare

    area = waste.rough_slack
    prepare(area)

    def inside(far: float) -> bool:
        slot = LineString([at, at.plus(direction.times(far))]).buffer(0.5 * waste.kerf_mm, cap_style="flat")
        return bool(area.covers(slot))

    if inside(wanted_mm):
        return wanted_mm
    low, high = 0.0, wanted_mm
    for _ in range(12):
        mid = 0.5 * (low + high)
        low, high = (mid, high) if inside(mid) else (low, mid)
    return low
