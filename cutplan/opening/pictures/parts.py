"""Pieces that the opening's pictures are put together from: skin, ribs, sections, cuts, holes, brace, arrows."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import pi
from typing import TYPE_CHECKING

from cutplan.drawing.model import Item, Pen, Stroke, Text, line, outline, ring
from cutplan.geometry.contour import Contour, polygon
from cutplan.geometry.flatten import to_shapely
from cutplan.geometry.segment import Segment
from cutplan.geometry.vector import Box, Point
from cutplan.opening.model import Cut, Section
from cutplan.pattern.brace import FittedBrace
from cutplan.pattern.job import Job
from cutplan.texts import Reader, say

if TYPE_CHECKING:
    pass

NOW = "#c8102e"
DARK = "#1f2933"
MID = "#6b7785"
PALE = "#e8ebee"
WASTE = "#d3d9df"
WORK = "#ffe8a3"
RIB = "#1d4e89"
BRACE = "#7a5c00"
WHITE = "#ffffff"
#: A section with less room round its number than this [mm of the picture] has its number beside the opening.
_SMALL_MM = 3.4


def skin_box(job: Job, plan_line: Contour, braces: Sequence[FittedBrace] = ()) -> Box:
    """Return the skin round the line that the pictures show [mm]: to its walls, within what shows the marks well.

    A brace stands on it.
    """
    b, w = plan_line.box, job.skin.walls
    least = min(40.0, 14.0 + 0.12 * b.diagonal)
    left, right, low, high = (min(max(v, least), least + 8.0) for v in (w.left_mm, w.right_mm, w.bottom_mm, w.top_mm))
    box = Box(b.xmin - left, b.ymin - low, b.xmax + right, b.ymax + high)
    for brace in braces:
        for bar in brace.bars if brace.on == "marked" else ():
            box = box.joined(bar.footprint().box.grown(4.0))
    return box


def paper_unit(box: Box, width_mm: float = 170.0, height_mm: float = 140.0) -> float:
    """Return part millimetres per paper millimetre [1] when a box is drawn into a room of that size."""
    return max(box.width / width_mm, box.height / height_mm)


def skin_items(box: Box, plan_line: Contour) -> list[Item]:
    """The skin, its walls and the net line."""
    border = polygon([(box.xmin, box.ymin), (box.xmax, box.ymin), (box.xmax, box.ymax), (box.xmin, box.ymax)])
    return [outline(border, Pen(0.25, MID), PALE, "skin"), outline(plan_line, Pen(0.25, DARK), WASTE, "waste")]


def gone_items(sections: Iterable[Section], u: float, read: Reader, named: bool = True) -> list[Item]:
    """Sections that are out: white, hatched, marked OUT; ``u`` part mm to one of paper [1]."""
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
        items += [] if not named else boxed_text(read(say("OUT")), s.label_at, 3.2, u, colour=MID)
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
    """A text on a plain patch so that it can be read over anything, centred on a point; ``u`` part mm to one of paper [1]."""
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


def number_items(section: Section, u: float, now: bool, opening: Contour) -> list[Item]:
    """A section's number in a circle, smaller where the section is narrow, so that it covers no cut; of one too small for it
    beside the opening, with a line to it. ``u`` is part mm to one of paper [1]."""
    room = section.contour.nearest(section.label_at)[1] / u
    r = min(3.4 if now else 2.8, max(1.7, 0.7 * room))
    colour = NOW if now else DARK
    tag = f"section {section.number}"
    at, items = section.label_at, []
    if room < _SMALL_MM:
        out = _outward(section.label_at, opening)
        at = opening_edge(section.label_at, out, opening).plus(out.times((r + 6.0) * u))
        items.append(line(section.label_at, at, Pen(0.25, colour), tag))
    size = 1.45 * r
    return [
        *items,
        ring(at, r * u, Pen(0.5 if now else 0.3, colour), WHITE, tag),
        Text(str(section.number), Point(at.x, at.y - 0.34 * size * u), size, "middle", 0.0, now, colour, tag),
    ]


def _outward(at: Point, opening: Contour) -> Point:
    """The way out of the opening that is shortest from a place, as a unit vector."""
    ways = [Point(1.0, 0.0).turned(k * pi / 8.0) for k in range(16)]
    return min(ways, key=lambda w: round(opening_edge(at, w, opening).distance(at), 3))


def opening_edge(at: Point, way: Point, opening: Contour) -> Point:
    """Where a ray from a place inside last leaves the opening [mm]."""
    box = opening.box
    far = box.diagonal
    steps = (far * k / 200.0 for k in range(200, -1, -1))
    # from without: the first place inside is the last one along the ray
    low = next((s for s in steps if _inside(at.plus(way.times(s)), box, opening)), 0.0)
    high = low + far / 200.0
    for _ in range(12):
        mid = 0.5 * (low + high)
        low, high = (mid, high) if _inside(at.plus(way.times(mid)), box, opening) else (low, mid)
    return at.plus(way.times(low))


def _inside(at: Point, box: Box, opening: Contour) -> bool:
    """Whether a place lies in the opening; its box is asked first, since most places lie beyond it."""
    return box.xmin <= at.x <= box.xmax and box.ymin <= at.y <= box.ymax and opening.contains(at)


def cross(at: Point, r: float, pen: Pen, tag: str) -> list[Item]:
    """An oblique cross of half width ``r`` [mm]."""
    return [
        line((at.x - r, at.y - r), (at.x + r, at.y + r), pen, tag),
        line((at.x - r, at.y + r), (at.x + r, at.y - r), pen, tag),
    ]


def done_items(cuts: Iterable[Cut]) -> list[Item]:
    """Cuts made in earlier steps: plain thin lines."""
    return [Stroke(c.path, Pen(0.35, DARK), tag=f"done {c.name}") for c in cuts]


def now_items(cuts: Sequence[Cut], inside: Point | None, u: float, *, labels: bool = True) -> list[Item]:
    """Cuts to make now: bold red, run-out as a thin red line beyond, a name beside each; ``u`` part mm to one of paper [1]."""
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
    """Bridges left standing: two short bars across the kerf and the name outside; ``u`` part mm to one of paper [1]."""
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


def arrow(tail: Point, tip: Point, u: float, pen: Pen, tag: str) -> list[Item]:
    """A straight arrow with a filled head; ``u`` part mm to one of paper [1]."""
    run = tip.minus(tail)
    if run.length() < 1e-9:
        return []
    d = run.unit()
    base = tip.minus(d.times(3.2 * u))
    side = d.left().times(1.5 * u)
    head = polygon([(tip.x, tip.y), (base.x + side.x, base.y + side.y), (base.x - side.x, base.y - side.y)])
    return [line(tail, base, pen, tag), Stroke(head.segments, None, pen.colour, True, tag)]
