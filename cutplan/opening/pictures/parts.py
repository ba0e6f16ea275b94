"""Pieces that the opening's pictures are put together from: skin, ribs, sections, cuts, holes, brace, arrows."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise
from math import atan2, degrees
from typing import TYPE_CHECKING

from cutplan.drawing.model import Item, Pen, Stroke, Text, line, outline, ring
from cutplan.geometry.contour import Contour, polygon
from cutplan.geometry.flatten import flatten_array, to_shapely
from cutplan.geometry.segment import Line, Segment
from cutplan.geometry.vector import Box, Point
from cutplan.opening.brace.stiffness import brace_ends
from cutplan.opening.cuts.standing import brace_feet, foot_contours
from cutplan.opening.model import Cut, Drill, OpeningPlan, RibPart, Section
from cutplan.opening.words import TEMPLATES, say
from cutplan.pattern.job import Job
from cutplan.pattern.skin import Rib
from cutplan.tables.phrases import translated
from cutplan.units import format_length

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

NOW = "#c8102e"
DARK = "#1f2933"
MID = "#6b7785"
PALE = "#e8ebee"
WASTE = "#d3d9df"
WORK = "#ffe8a3"
RIB = "#1d4e89"
BRACE = "#7a5c00"
WHITE = "#ffffff"

#: Dash of a rib by how well it is known [mm on paper]: the less known, the more broken.
RIB_DASH = {"known": (5.0, 1.5), "suspected": (2.5, 1.8), "unknown": (0.8, 1.6)}


def skin_box(job: Job, plan_line: Contour) -> Box:
    """Return the skin round the line that the pictures show [mm]: to its walls, within what shows the marks well.

    The feet of a brace stand on it.
    """
    b, w = plan_line.box, job.skin.walls
    least = min(40.0, 14.0 + 0.12 * b.diagonal)
    left, right, low, high = (min(max(v, least), least + 8.0) for v in (w.left_mm, w.right_mm, w.bottom_mm, w.top_mm))
    box = Box(b.xmin - left, b.ymin - low, b.xmax + right, b.ymax + high)
    for foot in foot_contours(job, plan_line):
        box = box.joined(foot.box.grown(4.0))
    return box


def paper_unit(box: Box, width_mm: float = 170.0, height_mm: float = 140.0) -> float:
    """Return part millimetres per paper millimetre when a box is drawn into a room of that size."""
    return max(box.width / width_mm, box.height / height_mm)


def skin_items(box: Box, plan_line: Contour) -> list[Item]:
    """The skin, its walls and the net line."""
    border = polygon([(box.xmin, box.ymin), (box.xmax, box.ymin), (box.xmax, box.ymax), (box.xmin, box.ymax)])
    return [outline(border, Pen(0.25, MID), PALE, "skin"), outline(plan_line, Pen(0.25, DARK), WASTE, "waste")]


def gone_items(sections: Iterable[Section], u: float, named: bool = True) -> list[Item]:
    """Sections that are out: white, hatched, marked OUT."""
    from shapely import LineString, get_parts

    items: list[Item] = []
    for s in sections:
        items.append(outline(s.contour, Pen(0.2, MID), WHITE, f"out {s.number}"))
        shape = to_shapely(s.contour, 0.05).buffer(-0.5)
        b, step = s.contour.box, 4.0 * u
        run = b.xmin - b.height
        while run < b.xmax and not shape.is_empty:
            ruler = LineString([(run, b.ymin), (run + b.height, b.ymax)])
            for part in get_parts(ruler.intersection(shape)):
                if part.geom_type == "LineString" and part.length > u:
                    (x0, y0), (x1, y1) = part.coords[0], part.coords[-1]
                    items.append(line((x0, y0), (x1, y1), Pen(0.12, "#9aa5b1"), "hatch"))
            run += step
        items += [] if not named else boxed_text(TEMPLATES["figure.out"], s.label_at, 3.2, u, colour=MID)
    return items


def boxed_text(
    text: str,
    at: Point,
    height_mm: float,
    u: float,
    *,
    colour: str = DARK,
    bold: bool = False,
    fill: str = WHITE,
    tag: str = "label",
) -> list[Item]:
    """A text on a plain patch so that it can be read over anything, centred on a point."""
    half_w, half_h = (0.30 * height_mm * len(text) + 0.6) * u, 0.55 * height_mm * u
    patch = polygon(
        [
            (at.x - half_w, at.y - half_h),
            (at.x + half_w, at.y - half_h),
            (at.x + half_w, at.y + half_h),
            (at.x - half_w, at.y + half_h),
        ]
    )
    return [
        Stroke(patch.segments, None, fill, True, "patch"),
        Text(text, Point(at.x, at.y - 0.34 * height_mm * u), height_mm, "middle", 0.0, bold, colour, tag),
    ]


def number_items(section: Section, u: float, now: bool) -> list[Item]:
    """A section's number in a circle, smaller where the section is narrow, so that it covers no cut."""
    room = section.contour.nearest(section.label_at)[1] / u
    r = min(3.4 if now else 2.8, max(1.7, 0.7 * room))
    colour = NOW if now else DARK
    text = str(section.number)
    size = 1.45 * r
    return [
        ring(section.label_at, r * u, Pen(0.5 if now else 0.3, colour), WHITE, f"section {section.number}"),
        Text(
            text,
            Point(section.label_at.x, section.label_at.y - 0.34 * size * u),
            size,
            "middle",
            0.0,
            now,
            colour,
            f"section {section.number}",
        ),
    ]


def rib_items(
    job: Job, plan: OpeningPlan, box: Box, gone: Sequence[int], parted: Sequence[RibPart], u: float, labels: bool = True
) -> list[Item]:
    """Ribs as broken lines, left out where a section with its rib piece is out; parted places as gaps with a cross."""
    from shapely import LineString, get_parts, union_all
    from shapely import box as rectangle

    items: list[Item] = []
    frame = rectangle(*box)
    away = union_all([to_shapely(plan.sections[_index(plan, n)].contour, 0.05) for n in gone]) if gone else None
    taken: list[BaseGeometry] = [to_shapely(plan.line, 0.5), *brace_feet(job, plan.line)]
    for rib in job.skin.ribs:
        path = LineString(rib.path).intersection(frame)
        shown = path.difference(away) if away is not None else path
        pen = Pen(0.7 if rib.joined else 0.4, RIB, RIB_DASH[rib.knowledge])
        for part in get_parts(shown):
            if part.geom_type == "LineString" and part.length > 0.5:
                pts = [Point(x, y) for x, y in part.coords]
                items.append(Stroke(tuple(Line(a, b) for a, b in pairwise(pts)), pen, tag=f"rib {rib.name}"))
        if labels and not path.is_empty:
            items += _rib_label(job, rib, path.geoms[0] if hasattr(path, "geoms") else path, taken, box, u)
    for part in parted:
        items += cross(part.at, 1.6 * u, Pen(0.35, DARK), f"parted {part.rib}")
    return items


def _index(plan: OpeningPlan, number: int) -> int:
    return next(k for k, s in enumerate(plan.sections) if s.number == number)


def rib_words(job: Job, rib: Rib) -> str:
    """Return a rib's label in the language of the job: how well it is known and how deep it is."""
    return translated(_rib_words(job, rib), job.language)


def _rib_words(job: Job, rib: Rib) -> str:
    if rib.knowledge != "known" or rib.depth_mm is None:
        key = "figure.unknown" if rib.knowledge == "unknown" or rib.knowledge == "known" else "figure.suspected"
        return say(key, name=rib.name).text
    if not rib.joined:
        return say("figure.known.free", name=rib.name).text
    return say("figure.known", name=rib.name, depth=format_length(rib.depth_mm, job.display, 0)).text


#: Letters of a picture on the job sheet over those of the picture by itself, about [1].
_SHEET_TEXT = 1.8


#: Share of a label's place over waste, feet or other labels beyond which a rib's ends have no room for it [1].
_NO_ROOM = 0.6


def _rib_label(job: Job, rib: Rib, path: object, taken: list[BaseGeometry], box: Box, u: float) -> list[Item]:
    """A rib's label near one of its ends, off the waste and off other labels as far as that goes."""
    from shapely import LineString
    from shapely import box as rectangle

    assert isinstance(path, LineString)
    text = rib_words(job, rib)
    # the job sheet prints the pictures small and writes as large: room is kept for that
    half_w, half_h = _SHEET_TEXT * (0.30 * 2.8 * len(text) + 0.6) * u, _SHEET_TEXT * 0.55 * 2.8 * u
    ends = [Point(*path.coords[0]), Point(*path.coords[-1])]
    best: tuple[float, Point, BaseGeometry] | None = None
    for k, (end, other) in enumerate((ends, ends[::-1])):
        run = other.minus(end)
        for far, aside in ((f, d) for f in (2.2, 5.4, 8.6) for d in (0.0, 1.0, -1.0, 2.0, -2.0)):
            at = end.plus(run.unit().times(min(far * u, 0.4 * run.length()))) if run.length() > 0.0 else end
            x = at.x + aside * (0.5 * half_w + 1.2 * u)
            x = min(max(x, box.xmin + half_w), max(box.xmax - half_w, box.xmin + half_w))
            patch = rectangle(x - half_w, at.y - half_h, x + half_w, at.y + half_h)
            over = sum(float(t.intersection(patch).area) * (1.0 if t is taken[0] else 3.0) for t in taken)
            cost = over / float(patch.area) + 0.02 * far + 0.01 * k + 0.05 * abs(aside)
            if best is None or cost < best[0] - 1e-9:
                best = (cost, Point(x, at.y), patch)
    assert best is not None
    if best[0] > _NO_ROOM:
        # no room at the ends: beside the middle of the rib, clear of numbers that stand on it
        x, y = path.interpolate(0.5, normalized=True).coords[0]
        y -= half_h + 7.0 * u
        best = (0.0, Point(x, y), rectangle(x - half_w, y - half_h, x + half_w, y + half_h))
    taken.append(best[2])
    return boxed_text(text, best[1], 2.8, u, colour=RIB, fill=PALE, tag=f"rib {rib.name}")


def cross(at: Point, r: float, pen: Pen, tag: str) -> list[Item]:
    """An oblique cross."""
    return [
        line((at.x - r, at.y - r), (at.x + r, at.y + r), pen, tag),
        line((at.x - r, at.y + r), (at.x + r, at.y - r), pen, tag),
    ]


def done_items(cuts: Iterable[Cut]) -> list[Item]:
    """Cuts made in earlier steps: plain thin lines."""
    return [Stroke(c.path, Pen(0.35, DARK), tag=f"done {c.name}") for c in cuts]


def now_items(cuts: Sequence[Cut], inside: Point | None, u: float, *, labels: bool = True) -> list[Item]:
    """Cuts to make now: bold red, run-out as a thin red line beyond, a name beside each."""
    items: list[Item] = []
    for c in cuts:
        if c.run_out_mm > 0.0:
            items.append(Stroke(c.reach, Pen(0.3, NOW), tag=f"run-out {c.name}"))
    for c in cuts:
        items.append(Stroke(c.path, Pen(1.1, NOW), tag=f"now {c.name}"))
    spots: list[Point] = []
    for c in cuts if labels else ():
        # inside first, then farther in, then outside; the freest place where all are taken
        places = [
            _label_spot(c.path, inside, off * u, t)
            for off in (4.2, -4.2, 8.0, -8.0)
            for t in (0.5, 0.3, 0.7, 0.15, 0.85)
        ]
        free = [min((p.distance(q) for q in spots), default=1e9) for p in places]
        at = places[next((k for k, f in enumerate(free) if f > 6.0 * u), max(range(len(free)), key=free.__getitem__))]
        spots.append(at)
        items += boxed_text(c.name, at, 3.0, u, colour=NOW, bold=True, fill=WHITE)
    return items


def _label_spot(run: Sequence[Segment], inside: Point | None, off: float, t: float) -> Point:
    longest = max(run, key=lambda s: s.length)
    mid, along = longest.point_at(t), longest.direction_at(t)
    side = along.left()
    if inside is not None and side.dot(inside.minus(mid)) < 0.0:
        side = side.times(-1.0)
    return mid.plus(side.times(off))


def bridge_items(bridges: Sequence[Cut], u: float, line_box: Contour) -> list[Item]:
    """Bridges left standing: two short bars across the kerf and the name outside."""
    items: list[Item] = []
    for b in bridges:
        length = b.length_mm
        mid, along = _middle(b.path)
        side = along.left()
        half = max(0.5 * length - b.run_out_mm, 0.25 * length)
        block = [
            mid.plus(along.times(x)).plus(side.times(y))
            for x, y in ((-half, -1.0 * u), (half, -1.0 * u), (half, 1.0 * u), (-half, 1.0 * u))
        ]
        patch = polygon([(p.x, p.y) for p in block])
        items.append(Stroke(patch.segments, Pen(0.25, "#0b6e2e"), "#35a35a", True, f"bridge {b.name}"))
        out = side if not line_box.contains(mid.plus(side.times(6.0 * u))) else side.times(-1.0)
        items += boxed_text(b.name, mid.plus(out.times(4.4 * u)), 3.2, u, colour="#0b6e2e", bold=True, fill=PALE)
    return items


def _middle(run: Sequence[Segment]) -> tuple[Point, Point]:
    left = 0.5 * sum(s.length for s in run)
    for s in run:
        if left <= s.length:
            t = left / s.length
            return s.point_at(t), s.direction_at(t)
        left -= s.length
    return run[-1].end, run[-1].end_direction


def drilled_items(drills: Iterable[Drill]) -> list[Item]:
    """Holes already there."""
    return [ring(d.centre, d.radius_mm, Pen(0.25, DARK), WHITE, f"hole {d.name}") for d in drills]


def drill_now_items(job: Job, drills: Sequence[Drill], plan_line: Contour, box: Box, u: float) -> list[Item]:
    """Holes to drill now: bold red, a centre cross, name and diameter outside the line."""
    items: list[Item] = []
    taken: list[Point] = []
    for d in drills:
        items.append(ring(d.centre, d.radius_mm, Pen(0.7, NOW), WHITE, f"now {d.name}"))
        r = max(0.45 * d.radius_mm, 1.2 * u)
        items += [
            line((d.centre.x - r, d.centre.y), (d.centre.x + r, d.centre.y), Pen(0.25, NOW), "centre"),
            line((d.centre.x, d.centre.y - r), (d.centre.x, d.centre.y + r), Pen(0.25, NOW), "centre"),
        ]
        label = f"{d.name} {format_length(d.diameter_mm, job.display, 0)}"
        at = _free_spot(d, plan_line, box, taken, u, 0.32 * 3.0 * len(label) * u)
        taken.append(at)
        items += boxed_text(label, at, 3.0, u, colour=NOW, bold=True)
    return items


def _free_spot(d: Drill, plan_line: Contour, box: Box, taken: Sequence[Point], u: float, half_w: float) -> Point:
    """A place for a hole's label: outside the line if possible, away from other labels."""
    best, best_cost = d.centre, 1e18
    for step in (1.0, 1.7, 2.4):
        for dx, dy in ((0, 1), (0, -1), (1, 0), (-1, 0), (1, 1), (-1, 1), (1, -1), (-1, -1)):
            at = Point(
                d.centre.x + dx * (d.radius_mm + half_w + 1.5 * u) * (1.0 if dy == 0 else 0.8),
                d.centre.y + dy * (d.radius_mm + 3.0 * u) * step,
            )
            near = [q for q in taken if abs(q.x - at.x) < 2.0 * half_w and abs(q.y - at.y) < 3.6 * u]
            cost = 100.0 * len(near) + 20.0 * plan_line.contains(at) + 5.0 * step + 2.0 * (dx != 0)
            if d.purpose in ("window", "blade"):
                cost = 100.0 * len(near) + 5.0 * step
            if at.x - half_w < box.xmin or at.x + half_w > box.xmax or not box.holds(at):
                cost += 1000.0
            if cost < best_cost:
                best, best_cost = at, cost
    return best


def brace_items(job: Job, plan_line: Contour, u: float, now: bool) -> list[Item]:
    """The brace as a bar over the opening: filled when it goes on now, else two thin broken lines."""
    a, b = brace_ends(job, plan_line)
    width = job.brace.size_mm if job.brace else 38.1
    along = b.minus(a).unit()
    side = along.left().times(0.5 * width)
    corners = [a.plus(side), b.plus(side), b.minus(side), a.minus(side)]
    bar = polygon([(p.x, p.y) for p in corners])
    if now:
        items: list[Item] = [Stroke(bar.segments, Pen(0.8, NOW), "#f3e3b0", True, "now brace")]
        angle = degrees(atan2(along.y, along.x))
        angle = angle - 180.0 if angle > 90.0 else angle + 180.0 if angle <= -90.0 else angle
        mid = Point(0.5 * (a.x + b.x), 0.5 * (a.y + b.y))
        drop = Point(0.0, -0.34 * 5.0 * u).turned(angle * 3.141592653589793 / 180.0)
        items.append(Text(TEMPLATES["figure.brace"], mid.plus(drop), 5.0, "middle", angle, True, NOW, "now brace"))
        for p in (a, b):
            items += cross(p, 1.5 * u, Pen(0.5, NOW), "tack")
        return items
    dash = Pen(0.25, BRACE, (1.2, 1.2))
    feet: list[Item] = [
        Stroke(foot.segments, Pen(0.3, BRACE), "#dedede", True, "brace foot") for foot in foot_contours(job, plan_line)
    ]
    return [*feet, line(corners[0], corners[1], dash, "brace"), line(corners[3], corners[2], dash, "brace")]


def arrow(tail: Point, tip: Point, u: float, pen: Pen, tag: str) -> list[Item]:
    """A straight arrow with a filled head."""
    run = tip.minus(tail)
    if run.length() < 1e-9:
        return []
    d = run.unit()
    base = tip.minus(d.times(3.2 * u))
    side = d.left().times(1.5 * u)
    head = polygon([(tip.x, tip.y), (base.x + side.x, base.y + side.y), (base.x - side.x, base.y - side.y)])
    return [line(tail, base, pen, tag), Stroke(head.segments, None, pen.colour, True, tag)]


def outline_points(contour: Contour) -> list[tuple[float, float]]:
    """Vertices of a contour's flattened form [mm]."""
    return [(float(x), float(y)) for x, y in flatten_array(contour, 0.1)]
