"""Pictures of the weld plan: where heat goes, how warm each start is, the shape after welding, and the trial piece."""

from __future__ import annotations

from math import cos, pi, sin

import numpy as np

from cutplan.drawing.model import Figure, Item, Pen, Stroke, Text, line, outline, placed, ring
from cutplan.geometry.contour import rectangle
from cutplan.geometry.segment import Line, Segment
from cutplan.geometry.vector import Box, Point
from cutplan.pattern.job import Job
from cutplan.welding.coupon import LINE_FROM_EDGE_MM, WeldCoupon
from cutplan.welding.result import ShapeAfter, WeldPlan

_EDGE, _THIN = Pen(0.35, "#555555"), Pen(0.2, "#777777")
#: Label size [mm].
LABEL_MM = 3.6
#: Bands of heat, coolest first.
_WARM = ("#f6e3d7", "#efc9b0", "#e3a57f", "#cf7a49", "#b24618")
#: Down, flat, up: dark hatch prints apart from light in grey too.
_DOWN, _FLAT, _UP = (33, 84, 138), (247, 247, 245), (178, 70, 24)


def heat_figure(job: Job, plan: WeldPlan, width_mm: float = 180.0) -> Figure:
    """Return the metal beside the weld that gets too hot for each thing to keep away, with a key.

    Parameters
    ----------
    job : Job
        The job
    plan : WeldPlan
        Its weld plan
    width_mm : float
        Width of the picture [mm]

    Returns
    -------
    Figure
        In paper millimetres: widest band below, hottest on top; the key says thing, distance and limit.
    """
    steps = sorted(plan.keep_away, key=lambda k: -k.distance_mm.mid)
    colours = _WARM[-len(steps):]
    items: list[Item] = []
    for k, colour in zip(steps, colours, strict=True):
        items += [
            _band(s, k.distance_mm.mid, colour, f"heat {k.thing}") for bead in plan.stitches for s in bead.path
        ]
    items.append(outline(job.plate.outline, _EDGE, tag="net"))
    items += [outline(h.contour, _EDGE, "#ffffff", f"hole {h.name}") for h in job.plate.holes]
    reach = max((k.distance_mm.mid for k in steps), default=0.0)
    part = job.plate.outline.box.grown(reach)
    tall = part.height * width_mm / part.width
    row = 1.7 * LABEL_MM
    low = row * len(steps) + 2.0
    map_items, _ = placed(Figure(tuple(items), part), Box(0.0, low, width_mm, low + tall))
    key: list[Item] = []
    for i, (k, colour) in enumerate(zip(steps, colours, strict=True)):
        y = low - 2.0 - row * (i + 1)
        key.append(Stroke(rectangle(0.0, y, 8.0, 0.75 * row).segments, _THIN, colour, closed=True, tag="key"))
        d = k.distance_mm
        words = f"{k.thing}: {d.mid:.0f} mm ({d.low:.0f} to {d.high:.0f}) to stay below {k.limit_C:.0f} °C"
        key.append(Text(words, Point(11.0, y + 0.2 * row), LABEL_MM, tag="key"))
    return Figure((*map_items, *key), Box(0.0, -2.0, width_mm, low + tall))


def _band(segment: Segment, reach_mm: float, colour: str, tag: str) -> Stroke:
    """A filled stadium about one line or short arc, as a polygon."""
    pieces = 1 if isinstance(segment, Line) else 8
    hull = _round_hull([segment.point_at(i / pieces) for i in range(pieces + 1)], reach_mm)
    sides = tuple(Line(a, b) for a, b in zip(hull, [*hull[1:], hull[0]], strict=True))
    return Stroke(sides, None, colour, closed=True, tag=tag)


def _round_hull(points: list[Point], reach: float) -> list[Point]:
    """Convex hull of discs about points; a bead turns little, so its hull is its own band."""
    ring_ = [(reach * cos(2 * pi * i / 24), reach * sin(2 * pi * i / 24)) for i in range(24)]
    cloud = sorted({(p.x + dx, p.y + dy) for p in points for dx, dy in ring_})

    def half(run: list[tuple[float, float]]) -> list[tuple[float, float]]:
        out: list[tuple[float, float]] = []
        for p in run:
            while len(out) >= 2 and (out[-1][0] - out[-2][0]) * (p[1] - out[-2][1]) - (out[-1][1] - out[-2][1]) * (
                p[0] - out[-2][0]
            ) <= 0.0:
                out.pop()
            out.append(p)
        return out[:-1]

    return [Point(*p) for p in half(cloud) + half(cloud[::-1])]


def wait_figure(plan: WeldPlan, width_mm: float = 180.0) -> Figure:
    """Return the time line of the plan: each bead as a bar, and how warm its place is before the arc.

    Parameters
    ----------
    plan : WeldPlan
        The weld plan
    width_mm : float
        Width of the chart [mm]

    Returns
    -------
    Figure
        In paper millimetres.
    """
    beads = sorted((*plan.tacks, *plan.stitches), key=lambda b: b.start_s)
    total = max(plan.total_time_s, 1.0)
    x0, x1, y0, tall = 14.0, width_mm - 4.0, 14.0, 46.0
    per = (x1 - x0) / total
    top_C = max(plan.interpass_C * 1.15, max((b.before_C.mid for b in beads), default=100.0) * 1.05)
    up = tall / top_C
    items: list[Item] = []
    for t in _ticks(total / 60.0):
        x = x0 + t * 60.0 * per
        items.append(line((x, y0 - 6.0), (x, y0 + tall), Pen(0.15, "#bbbbbb"), "grid"))
        items.append(Text(f"{t:g}", Point(x, y0 - 10.0), LABEL_MM, "middle", tag="axis"))
    items.append(Text("minutes from the first arc", Point(0.5 * (x0 + x1), 0.0), LABEL_MM, "middle", tag="axis"))
    for c in _ticks(top_C):
        y = y0 + c * up
        items.append(line((x0, y), (x1, y), Pen(0.15, "#bbbbbb"), "grid"))
        items.append(Text(f"{c:g}", Point(x0 - 1.5, y - 1.2), LABEL_MM, "right", tag="axis"))
    items.append(Text("°C before the arc", Point(x0, y0 + tall + 3.0), LABEL_MM, tag="axis"))
    limit = y0 + plan.interpass_C * up
    items.append(line((x0, limit), (x1, limit), Pen(0.5, "#000000", (2.0, 1.2)), "limit"))
    words = f"dashed: limit {plan.interpass_C:.0f} °C; hollow: tacks"
    items.append(Text(words, Point(x1, y0 + tall + 3.0), LABEL_MM, "right", tag="limit"))
    speed = plan.settings.speed_mm_per_s.mid
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


def shape_figure(job: Job, shape: ShapeAfter, step: int = -1) -> Figure:
    """Return a map of how far plate and skin stand up or down after one step of the chosen order.

    Parameters
    ----------
    job : Job
        The job
    shape : ShapeAfter
        Displaced shapes of the plan
    step : int
        Row of the shapes; the last is after the brace is off

    Returns
    -------
    Figure
        Triangles coloured from down to up, plate drawn over skin, scale beside it.
    """
    lift = shape.lift_mm[step]
    top = max(float(np.abs(lift).max()), 1e-6)
    items: list[Item] = []
    order = np.argsort(shape.is_plate[shape.triangles[:, 0]], kind="stable")
    for triangle in shape.triangles[order]:
        corners = [Point(float(x), float(y)) for x, y in shape.points[triangle]]
        sides = tuple(Line(a, b) for a, b in zip(corners, [*corners[1:], corners[0]], strict=True))
        items.append(Stroke(sides, None, shade(float(lift[triangle].mean()) / top), closed=True, tag="lift"))
    items.append(outline(job.plate.outline, _EDGE, tag="net"))
    items += [ring(p.centre, 0.5 * p.diameter_mm, Pen(0.35, "#000000", (2.0, 1.2)), tag="pad") for p in job.pads]
    xs, ys = shape.points[:, 0], shape.points[:, 1]
    box = Box(float(xs.min()), float(ys.min()), float(xs.max()), float(ys.max()))
    side, wide = box.xmax + 0.04 * box.width, 0.03 * box.width
    for i in range(21):
        part = -1.0 + 0.1 * i
        y = box.ymin + i / 21.0 * box.height
        bar = rectangle(side, y, wide, box.height / 21.0)
        items.append(Stroke(bar.segments, None, shade(part), closed=True, tag="scale"))
    for part, at in ((-1.0, box.ymin), (0.0, box.centre.y), (1.0, box.ymax)):
        items.append(Text(f"{part * top:+.2f} mm", Point(side + 1.4 * wide, at - 1.0), LABEL_MM, tag="scale"))
    above = Point(box.xmin, box.ymax + 0.03 * box.height)
    items.append(Text(f"after {shape.labels[step]}", above, LABEL_MM, bold=True, tag="label"))
    return Figure(tuple(items), Box(box.xmin, box.ymin, side + 0.2 * box.width, box.ymax + 0.09 * box.height))


def shade(part: float) -> str:
    """Return the colour of a share of the largest lift, -1 (down) to 1 (up), as ``#rrggbb``."""
    end, share = (_UP, part) if part >= 0.0 else (_DOWN, -part)
    share = min(share, 1.0)
    rgb = [round(f + share * (e - f)) for f, e in zip(_FLAT, end, strict=True)]
    return "#" + "".join(f"{v:02x}" for v in rgb)


def coupon_figure(coupon: WeldCoupon) -> Figure:
    """Return the weld trial piece: two strips, scribed lines, stations to measure at.

    Parameters
    ----------
    coupon : WeldCoupon
        The trial piece

    Returns
    -------
    Figure
        In the piece's own millimetres, looked at from the torch side.
    """
    long, wide = coupon.strip_mm
    gap = coupon.joint.gap_mm
    low = wide - coupon.overlap_mm if coupon.overlap_mm else wide + gap
    thick, thin = coupon.thicknesses_mm
    lower, upper = rectangle(0.0, 0.0, long, wide), rectangle(0.0, low, long, wide)
    items: list[Item] = [outline(lower, Pen(0.5), "#e9e9e9", "strip skin")]
    items.append(outline(upper, Pen(0.5), "#f7f7f7", "strip plate"))
    weld_y = low if coupon.overlap_mm else wide + 0.5 * gap
    items.append(line((0.0, weld_y), (long, weld_y), Pen(1.6, "#000000"), "weld"))
    edges = (wide - coupon.overlap_mm - LINE_FROM_EDGE_MM, low + coupon.overlap_mm + LINE_FROM_EDGE_MM)
    scribed = (edges[0], edges[0] + coupon.lines_apart_mm)
    for y in scribed:
        items.append(line((0.0, y), (long, y), Pen(0.2, "#000000", (4.0, 1.5)), "scribed"))
    for i, x in enumerate(coupon.stations_mm):
        items.append(line((x, scribed[0]), (x, scribed[1]), Pen(0.25), f"station {i + 1}"))
        for y, way in ((scribed[0], 1.0), (scribed[1], -1.0)):
            for dx in (-1.5, 1.5):
                items.append(line((x, y), (x + dx, y + 4.0 * way), Pen(0.25), f"station {i + 1}"))
        items.append(Text(str(i + 1), Point(x + 2.0, scribed[1] + 2.0), LABEL_MM, bold=True, tag="station"))
    items.append(Text(f"{thin:g} mm (skin)", Point(3.0, 3.0), LABEL_MM, tag="strip"))
    items.append(Text(f"{thick:g} mm (plate)", Point(3.0, low + wide - 6.0), LABEL_MM, tag="strip"))
    items.append(Text(
        f"lines {coupon.lines_apart_mm:g} mm apart", Point(long - 3.0, scribed[0] - 4.5), LABEL_MM, "right",
        tag="scribed",
    ))
    return Figure(tuple(items), Box(-4.0, -4.0, long + 4.0, low + wide + 4.0))
