"""The datum sheet: distances that together fix the pads, and how well a tape fixes them."""

from __future__ import annotations

from collections.abc import Sequence
from math import floor

import numpy as np

from cutplan.geometry.contour import Contour
from cutplan.geometry.flatten import to_shapely
from cutplan.geometry.vector import Box, Point
from cutplan.opening.model import DatumLine, DatumPlan, DatumPoint
from cutplan.opening.thinning import pitches, thinned
from cutplan.pattern.brace_designs import braces_of
from cutplan.pattern.job import Job
from cutplan.survey.equations import Floats, foreseen
from cutplan.survey.network import TAPE_MM

#: Distance of the punch marks outside the line [mm]. Common practice: clear of the weld's heat.
MARK_OUT_MM = 30.0
#: Marks lie at least so far out [mm], and so far from the bend of the skin (common practice) [mm].
LEAST_OUT_MM, BEND_MM = 5.0, 8.0
#: So far from a lapped plate's edge a mark is clear of the weld's heat [mm]. Our own.
HEAT_MM = 20.0
#: Marks lie apart by a multiple of this where there is room [mm].
ROUND_MM = 10.0
#: Under a bar so high a tape can still be laid [mm]. Our own.
TAPE_UNDER_MM = 40.0


def datum_plan(job: Job, line: Contour, reading_mm: float = TAPE_MM) -> DatumPlan:
    """Return the distances to measure before cutting, after tacking and after welding.

    Parameters
    ----------
    job : Job
        For pads and walls.
    line : Contour
        Net line of the opening [mm].
    reading_mm : float
        Standard error of one tape reading [mm].

    Notes
    -----
    Marks M1 to M4 are punched outside the corners of the opening's box, as far out as the walls allow up to 30 mm, at
    distances of whole centimetres where there is room, and clear of the brace. A lapped plate must not cover them: they lie
    outside it on two opposite sides. Lines that its feet block are left out. The
    marks' four sides and two diagonals are measured, and from each pad the four marks; between pads all pitches, of more
    than twelve pads those to the nearest four. Then lines that least worsen the worst pad error are dropped one by one, as long as the rank stays full, every point
    keeps a check and the worst error grows by less than a fifth.
    """
    low = _standing(job, line)
    points = _points(job, line, low)
    marks = [k for k, p in enumerate(points) if p.kind == "mark"]
    pads = [k for k, p in enumerate(points) if p.kind == "pad"]
    at = [p.at for p in points]
    between = [(a, b) for i, a in enumerate(marks) for b in marks[i + 1 :]]
    lines = [*between, *((p, m) for p in pads for m in marks)]
    lines += pitches(at, pads)
    # a tape cannot be laid through what stands on the skin
    free = [(a, b) for a, b in lines if not _blocked(low, at[a], at[b])]
    lines = free if foreseen(at, free, reading_mm, marks).full else lines
    keep_first = sum(pair in lines for pair in between)
    lines = thinned(at, lines, keep_first, reading_mm, marks)
    known = foreseen(at, lines, reading_mm, marks)
    cov = known.covariance
    errors = tuple(
        (p.name, float(np.sqrt(cov[2 * k, 2 * k])), float(np.sqrt(cov[2 * k + 1, 2 * k + 1])))
        for k, p in enumerate(points)
    )
    pairs = tuple(
        (f"{points[a].name}-{points[b].name}", _pair_error(at, cov, a, b))
        for i, a in enumerate(pads)
        for b in pads[i + 1 :]
    )
    named = tuple(
        DatumLine(f"{points[a].name}-{points[b].name}", points[a].name, points[b].name, at[a].distance(at[b]))
        for a, b in lines
    )
    spare = len(lines) - known.unknowns
    return DatumPlan(tuple(points), named, known.rank, known.unknowns, reading_mm, errors, pairs, spare)


def marks_under_plate(job: Job, plan: DatumPlan) -> tuple[str, ...]:
    """Return the punch marks that a lapped plate covers, because the walls leave no room beside it.

    Parameters
    ----------
    job : Job
        For plate and joint.
    plan : DatumPlan
        With the marks.
    """
    if job.joint.kind != "lap":
        return ()
    outline = job.plate.outline
    marks = [p for p in plan.points if p.kind == "mark"]
    return tuple(p.name for p in marks if outline.contains(p.at) or outline.nearest(p.at)[1] < LEAST_OUT_MM - 1e-6)


def _pair_error(at: list[Point], cov: Floats, a: int, b: int) -> float:
    """Standard error of an adjusted distance [mm]."""
    u = at[b].minus(at[a]).unit()
    which = np.array([2 * a, 2 * a + 1, 2 * b, 2 * b + 1])
    g = np.array((-u.x, -u.y, u.x, u.y))
    return float(np.sqrt(g @ cov[which[:, None], which] @ g))


def _standing(job: Job, line: Contour) -> list[Contour]:
    """What stands on the skin from the brace on, and stops a tape."""
    out: list[Contour] = []
    for bar in (bar for b in braces_of(job, line) if b.on == "marked" for bar in b.bars):
        out += [bar.footprint()] if bar.underside_mm < TAPE_UNDER_MM else list(bar.foot_contours())
    return out


def _blocked(low: Sequence[Contour], a: Point, b: Point) -> bool:
    """Whether something stands on the straight line between two points."""
    if not low:
        return False
    from shapely import LineString

    tape = LineString([a, b])
    return any(to_shapely(c).distance(tape) < 1.0 for c in low)


def _margins(job: Job, line: Contour, low: Sequence[Contour]) -> tuple[float, float, float, float]:
    """How far out of the opening's box the marks lie: left, right, low, high [mm]."""
    box, walls = line.box, job.skin.walls
    room = [max(LEAST_OUT_MM, w - BEND_MM) for w in (walls.left_mm, walls.right_mm, walls.bottom_mm, walls.top_mm)]
    past = _covered(job, line, room)

    def pair(extent: float, first: float, second: float, least: float) -> tuple[float, float]:
        total = floor((extent + first + second) / ROUND_MM) * ROUND_MM - extent
        less = first + second - total
        return (first, second - less) if second - less >= least else (first, second)

    def blocked(made: tuple[float, float, float, float]) -> int:
        """What stands over a mark counts ten, what stands between two of them one."""
        spots = _corners(box, *made)
        over = sum(c.contains(p) or c.nearest(p)[1] < 4.0 for c in low for p in spots)
        pairs = [(a, b) for k, a in enumerate(spots) for b in spots[k + 1 :]]
        return 10 * over + sum(_blocked(low, a, b) for a, b in pairs)

    best: tuple[int, int, tuple[float, float, float, float]] | None = None
    # nearest to the usual distance first; farther out or nearer where the brace is in the way
    for off in sorted(range(-25, 46), key=lambda v: (abs(v), v)):
        left, right, bottom, top = (
            p + max(LEAST_OUT_MM, min(MARK_OUT_MM + off, r - p)) for p, r in zip(past, room, strict=True)
        )
        made = (
            *pair(box.width, left, right, past[1] + LEAST_OUT_MM),
            *pair(box.height, bottom, top, past[3] + LEAST_OUT_MM),
        )
        found = (blocked(made), abs(off), made)
        if best is None or found[0] < best[0]:
            best = found
        if found[0] == 0:
            break
    assert best is not None
    return best[2]


def _covered(job: Job, line: Contour, room: Sequence[float]) -> tuple[float, float, float, float]:
    """How far a lapped plate covers the skin where its marks must lie outside it: left, right, low, high [mm].

    Marks clear the plate on two opposite sides: the longer ones, which takes the least paper, where the walls leave room
    for the weld's heat there, else those with more room. All 0 where there is no room on either.
    """
    if job.joint.kind != "lap":
        return (0.0, 0.0, 0.0, 0.0)
    inner, outer = line.box, job.plate.outline.box
    across = (inner.xmin - outer.xmin, outer.xmax - inner.xmax, 0.0, 0.0)
    along = (0.0, 0.0, inner.ymin - outer.ymin, outer.ymax - inner.ymax)
    sides = (along, across) if outer.width >= outer.height else (across, along)
    left = [min((r - p for p, r in zip(s, room, strict=True) if p > 0.0), default=MARK_OUT_MM) for s in sides]
    best = 0 if left[0] >= HEAT_MM or left[0] >= left[1] else 1
    return sides[best] if left[best] >= LEAST_OUT_MM else (0.0, 0.0, 0.0, 0.0)


def _corners(box: Box, left: float, right: float, low: float, high: float) -> tuple[Point, Point, Point, Point]:
    return (
        Point(box.xmin - left, box.ymin - low),
        Point(box.xmax + right, box.ymin - low),
        Point(box.xmax + right, box.ymax + high),
        Point(box.xmin - left, box.ymax + high),
    )


def held_places(job: Job) -> list[tuple[str, Point]]:
    """Return the places that must stay where they are [mm]: the pads, without pads the first six holes that locate."""
    if job.pads:
        return [(pad.name, pad.centre) for pad in job.pads]
    return [(h.name, h.centre) for h in job.plate.holes if h.purpose in ("bolt", "locating", "sleeve")][:6]


def _points(job: Job, line: Contour, low: Sequence[Contour]) -> list[DatumPoint]:
    corners = _corners(line.box, *_margins(job, line, low))
    points = [DatumPoint(f"M{k + 1}", p, "mark") for k, p in enumerate(corners)]
    seen = list(corners)
    for name, centre in held_places(job):
        if all(centre.distance(q) > 1.0 for q in seen):
            points.append(DatumPoint(name, centre, "pad"))
            seen.append(centre)
    return points
