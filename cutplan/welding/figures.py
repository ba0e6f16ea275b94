"""Pictures of the weld plan's heat: how far it reaches, and how warm each bead's place is before the arc."""

from __future__ import annotations

from collections.abc import Sequence
from math import cos, pi, sin

from cutplan.drawing.layout import wrap_text
from cutplan.drawing.model import Figure, Item, Pen, Stroke, Text, line, outline, placed, ring
from cutplan.geometry.contour import rectangle
from cutplan.geometry.segment import Line, Segment
from cutplan.geometry.vector import Box, Point
from cutplan.pattern.job import Job
from cutplan.texts import ENGLISH, Message, Reader, number, say, template
from cutplan.welding.result import KeepAway, WeldPlan
from cutplan.welding.words import as_value, shown

_EDGE, _THIN = Pen(0.35, "#555555"), Pen(0.2, "#777777")
#: Words of the time line.
AXIS, SIDE = template("minutes from the first arc"), template("°C before the arc")
LIMIT = template("dashed: limit; hollow: tacks")
#: Label size [mm].
LABEL_MM = 3.6
#: Segments are taken together into one piece of a band up to this share of its reach: the hull bulges far less.
_RUN_SHARE = 0.4
#: Height of the bands' picture over its width, at most [1].
_TALLEST = 0.6
#: Bands of heat, coolest first.
_WARM = ("#f6e3d7", "#efc9b0", "#e3a57f", "#cf7a49", "#b24618")


def keep_away_words(k: KeepAway) -> Message:
    """Return the key of one band of heat."""
    return say(
        "{thing}: {distance} to stay below {limit}",
        thing=as_value(k.thing),
        distance=shown(k.distance_mm, 0),
        limit=number(k.limit_C, "degC", 0),
    )


def heat_figure(
    job: Job, plan: WeldPlan, width_mm: float = 180.0, read: Reader = ENGLISH, size_mm: float = LABEL_MM
) -> Figure:
    """Return the metal beside the weld that gets too hot for each thing to keep away, with a key.

    Parameters
    ----------
    job : Job
        The job
    plan : WeldPlan
        Its weld plan
    width_mm : float
        Width of the picture [mm]
    read : Reader
        Who reads the key
    size_mm : float
        Font size of the key [mm]

    Returns
    -------
    Figure
        In paper millimetres: widest band below, hottest on top; the key says thing, distance and limit.
    """
    steps = sorted(plan.heat.keep_away, key=lambda k: -k.distance_mm.mid)
    colours = _WARM[-len(steps) :]
    items: list[Item] = []
    along = sorted(plan.stitches, key=lambda b: b.span.start_mm)
    path = [s for b in along for s in (b.path[::-1] if b.backward else b.path)]
    for k, colour in zip(steps, colours, strict=True):
        reach = k.distance_mm.mid
        items += [_band(run, reach, colour, f"heat {k.thing}") for run in _runs(path, _RUN_SHARE * reach)]
    items.append(outline(job.plate.outline, _EDGE, tag="net"))
    items += [outline(h.contour, _EDGE, "#ffffff", f"hole {h.name}") for h in job.plate.holes]
    reach = max((k.distance_mm.mid for k in steps), default=0.0)
    part = job.plate.outline.box.grown(reach)
    wide = min(width_mm, _TALLEST * width_mm * part.width / part.height)
    tall = part.height * wide / part.width
    words = [wrap_text(read(keep_away_words(k)), width_mm - 13.0, size_mm) for k in steps]
    low = sum(1.3 * size_mm * len(lines) + 0.7 * size_mm for lines in words) + 2.0
    map_items, _ = placed(
        Figure(tuple(items), part), Box(0.5 * (width_mm - wide), low, 0.5 * (width_mm + wide), low + tall)
    )
    key: list[Item] = []
    y = low - 2.0
    for lines, colour in zip(words, colours, strict=True):
        y -= 1.3 * size_mm
        key.append(
            Stroke(rectangle(0.0, y - 0.2 * size_mm, 8.0, size_mm).segments, _THIN, colour, closed=True, tag="key")
        )
        for below, text in enumerate(lines):
            key.append(Text(text, Point(11.0, y - 1.3 * size_mm * below), size_mm, tag="key"))
        y -= 1.3 * size_mm * (len(lines) - 1) + 0.7 * size_mm
    return Figure((*map_items, *key), Box(0.0, -2.0, width_mm, low + tall))


def _runs(path: Sequence[Segment], long_mm: float) -> list[list[Segment]]:
    """The path in pieces: short segments that follow each other are taken together up to a length."""
    runs: list[list[Segment]] = []
    so_far = 0.0
    for s in path:
        if runs and so_far + s.length <= long_mm:
            runs[-1].append(s)
            so_far += s.length
        else:
            runs.append([s])
            so_far = s.length
    return runs


def _band(run: Sequence[Segment], reach_mm: float, colour: str, tag: str) -> Stroke:
    """A filled stadium about a line, a short arc or a few of them, as a polygon."""
    points: list[Point] = []
    for s in run:
        pieces = 1 if isinstance(s, Line) else min(8, 1 + int(8.0 * s.length / reach_mm))
        points += [s.point_at(i / pieces) for i in range(pieces + 1)]
    hull = _round_hull(points, reach_mm)
    sides = tuple(Line(a, b) for a, b in zip(hull, [*hull[1:], hull[0]], strict=True))
    return Stroke(sides, None, colour, closed=True, tag=tag)


def _round_hull(points: list[Point], reach: float) -> list[Point]:
    """Convex hull of discs about points; a bead turns little, so its hull is its own band."""
    ring_ = [(reach * cos(2 * pi * i / 24), reach * sin(2 * pi * i / 24)) for i in range(24)]
    cloud = sorted({(p.x + dx, p.y + dy) for p in points for dx, dy in ring_})

    def half(run: list[tuple[float, float]]) -> list[tuple[float, float]]:
        out: list[tuple[float, float]] = []
        for p in run:
            while (
                len(out) >= 2
                and (out[-1][0] - out[-2][0]) * (p[1] - out[-2][1]) - (out[-1][1] - out[-2][1]) * (p[0] - out[-2][0])
                <= 0.0
            ):
                out.pop()
            out.append(p)
        return out[:-1]

    return [Point(*p) for p in half(cloud) + half(cloud[::-1])]


def wait_figure(
    plan: WeldPlan,
    width_mm: float = 180.0,
    read: Reader = ENGLISH,
) -> Figure:
    """Return the time line of the plan: each bead as a bar, and how warm its place is before the arc.

    Parameters
    ----------
    plan : WeldPlan
        The weld plan
    width_mm : float
        Width of the chart [mm]
    read : Reader
        Who reads it

    Returns
    -------
    Figure
        In paper millimetres.
    """
    beads = sorted((*plan.tacks, *plan.stitches), key=lambda b: b.start_s)
    total = max(plan.total_time_s, 1.0)
    x0, x1, y0, tall = 14.0, width_mm - 4.0, 14.0, 46.0
    per = (x1 - x0) / total
    top_C = max(plan.heat.interpass_C * 1.15, max((b.before_C.mid for b in beads), default=100.0) * 1.05)
    up = tall / top_C
    items: list[Item] = []
    for t in _ticks(total / 60.0):
        x = x0 + t * 60.0 * per
        items.append(line((x, y0 - 6.0), (x, y0 + tall), Pen(0.15, "#bbbbbb"), "grid"))
        items.append(Text(f"{t:g}", Point(x, y0 - 10.0), LABEL_MM, "middle", tag="axis"))
    items.append(Text(read(AXIS), Point(0.5 * (x0 + x1), 0.0), LABEL_MM, "middle", tag="axis"))
    for c in _ticks(top_C):
        y = y0 + c * up
        items.append(line((x0, y), (x1, y), Pen(0.15, "#bbbbbb"), "grid"))
        items.append(Text(f"{c:g}", Point(x0 - 1.5, y - 1.2), LABEL_MM, "right", tag="axis"))
    items.append(Text(read(SIDE), Point(x0, y0 + tall + 3.0), LABEL_MM, tag="axis"))
    limit = y0 + plan.heat.interpass_C * up
    items.append(line((x0, limit), (x1, limit), Pen(0.5, "#000000", (2.0, 1.2)), "limit"))
    items.append(Text(read(LIMIT), Point(x1, y0 + tall + 3.0), LABEL_MM, "right", tag="limit"))
    speed = plan.settings.arc.speed_mm_per_s.mid
    for b in beads:
        a, z = x0 + b.start_s * per, x0 + (b.start_s + b.length_mm / speed) * per
        bar = rectangle(a, y0 - 5.0, max(z - a, 0.25), 4.0)
        grey = "#000000" if b.kind == "stitch" else "#888888"
        items.append(Stroke(bar.segments, None, grey, closed=True, tag=b.kind))
        y = y0 + b.before_C.mid * up
        low, high = (y0 + min(v, top_C) * up for v in (b.before_C.low, b.before_C.high))
        items.append(line((a, low), (a, high), Pen(0.25, "#999999"), "band"))
        items.append(ring(Point(a, y), 0.8, Pen(0.2), "#ffffff" if b.kind == "tack" else "#000000", f"before {b.name}"))
    items.append(line((x0, y0), (x1, y0), Pen(0.4), "axis"))
    return Figure(tuple(items), Box(0.0, -2.0, width_mm, y0 + tall + 8.0))


def _ticks(top: float) -> list[float]:
    step = next((s * 10.0**e for e in range(-2, 6) for s in (1.0, 2.0, 5.0) if top / (s * 10.0**e) <= 8.0), top)
    return [i * step for i in range(int(top / step + 1e-9) + 1)]
