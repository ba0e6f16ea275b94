"""Pieces that the opening's pictures are put together from: skin, ribs, sections, cuts, holes, brace, arrows."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from cutplan.drawing.model import Item, Pen, Stroke, Text, centred, line, outline, tied
from cutplan.geometry.contour import Contour, polygon
from cutplan.geometry.flatten import to_shapely
from cutplan.geometry.segment import Segment
from cutplan.geometry.vector import Box, Point
from cutplan.opening.model import Cut, Section
from cutplan.pattern.brace import FittedBrace
from cutplan.pattern.job import Job
from cutplan.texts import Reader, say

NOW = "#c8102e"
DARK = "#1f2933"
MID = "#6b7785"
PALE = "#e8ebee"
WASTE = "#d3d9df"
WORK = "#ffe8a3"
RIB = "#1d4e89"
BRACE = "#7a5c00"
WHITE = "#ffffff"


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
        items += [centred(read(say("OUT")), s.label_at, 3.2, colour=MID, tag="label", patch=WHITE)] if named else []
    return items


def number_items(sections: Iterable[Section], whole: Contour, current: Section | None = None) -> list[Text]:
    """The numbers of sections, largest first: a small one gives way, out of the opening, and takes the place of none."""
    heavy = sorted(sections, key=lambda s: (s is not current, -s.mass_kg))
    return [_number_item(s, s is current, s.label_at.minus(whole.box.centre)) for s in heavy]


def _number_item(section: Section, now: bool, away: Point) -> Text:
    """A section's number in a circle; of one too small for it beside the section, with a line to it."""
    size, colour = (4.6, NOW) if now else (4.0, DARK)
    tag = f"section {section.number}"
    return centred(str(section.number), section.label_at, size, bold=now, colour=colour, tag=tag, ring=True, away=away)


def cross(at: Point, r: float, pen: Pen, tag: str) -> list[Item]:
    """An oblique cross of half width ``r`` [mm]."""
    return [
        line((at.x - r, at.y - r), (at.x + r, at.y + r), pen, tag),
        line((at.x - r, at.y + r), (at.x + r, at.y - r), pen, tag),
    ]


def done_items(cuts: Iterable[Cut]) -> list[Item]:
    """Cuts made in earlier steps: plain thin lines."""
    return [Stroke(c.path, Pen(0.35, DARK), tag=f"done {c.name}") for c in cuts]


def now_items(cuts: Sequence[Cut], inside: Point | None, u: float) -> list[Item]:
    """Cuts to make now: bold red, run-out as a thin red line beyond, a name beside each; ``u`` part mm to one of paper [1]."""
    items: list[Item] = []
    for c in cuts:
        if c.run_out_mm > 0.0:
            items.append(Stroke(c.reach, Pen(0.3, NOW), tag=f"run-out {c.name}"))
    for c in cuts:
        items.append(Stroke(c.path, Pen(1.1, NOW), tag=f"now {c.name}"))
    for c in cuts:
        longest = max(c.path, key=lambda s: s.length)
        at = longest.point_at(0.5)
        away = inside.minus(at) if inside is not None else None
        items.append(
            tied(c.name, at, 3.0, radius_mm=0.6 * u, away=away, bold=True, colour=NOW, tag="label", patch=WHITE)
        )
    return items


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
        items.append(
            tied(b.name, mid, 3.2, radius_mm=u, away=out, bold=True, colour="#0b6e2e", tag="label", patch=PALE)
        )
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
