"""Typed outlines and holes: corners with radii, arcs through a point, slots, bolt circles, mirror and pattern."""

from __future__ import annotations

from math import atan2, cos, pi, radians, sin, tan

from cutplan.errors import GeometryError
from cutplan.files.job.keys import Keys
from cutplan.geometry.contour import Contour, circle_contour, mirrored_segment, rectangle
from cutplan.geometry.segment import Arc, Line, Segment, arc_from_centre, arc_through
from cutplan.geometry.vector import Point
from cutplan.texts import code, every, mm, say
from cutplan.texts import name as named


def typed_outline(plate: Keys, surveyed: dict[str, Point]) -> Contour | None:
    """Return the outline typed in ``[plate]``, or None (with the problem reported).

    ``shape = "rectangle"`` takes width, height and corner_radius; ``shape = "round"`` takes diameter;
    ``outline = [{ at = [x, y], fillet = r, through = [x, y] }, ...]`` takes corners in order (``point = "P1"`` for a
    surveyed one). ``mirror = "x"`` or
    ``"y"`` completes a half outline about that axis through its first and last point.
    """
    try:
        if plate.has("shape"):
            return _shape(plate)
        return _corners(plate, surveyed)
    except GeometryError as error:
        plate.wrong("outline", error.message, error.hint)
        return None


def _shape(plate: Keys) -> Contour:
    kind = plate.take("shape")
    if kind == "round":
        plate.need("diameter", say("the diameter of the round plate"))
        return circle_contour(Point(0.0, 0.0), 0.5 * plate.take("diameter"))
    for key in ("width", "height"):
        plate.need(key, say("the size of the rectangle"))
    return rectangle(
        0.0,
        0.0,
        plate.take("width"),
        plate.take("height"),
        plate.take("corner_radius"),
    )


def _place(entry: Keys, surveyed: dict[str, Point]) -> Point:
    """Return the place that an entry names: ``at = [x, y]``, or ``point = "P1"`` of the tape survey."""
    if entry.has("point"):
        name = entry.take("point")
        if name not in surveyed:
            entry.wrong(
                "point",
                say("the survey has no point {point}", point=named(name)),
                say("points there: {points}", points=every(list(surveyed)[:20])),
            )
        return surveyed.get(name, Point(0.0, 0.0))
    entry.need(
        "at",
        say("the place: {this}, or {that} of the tape survey", this=code("at = [x, y]"), that=code('point = "P1"')),
    )
    at: Point = entry.take("at") or Point(0.0, 0.0)
    return at


def _corners(plate: Keys, surveyed: dict[str, Point]) -> Contour | None:
    corners = plate.take("outline")
    read: list[tuple[Point, float, Point | None]] = []
    for corner in corners:
        read.append((_place(corner, surveyed), corner.take("fillet"), corner.take("through")))
        corner.close()
    mirror = plate.take("mirror")
    if len(read) < (2 if mirror else 3) and not any(through for _, _, through in read):
        plate.wrong("outline", say("has too few corners"), say("give at least three corners, in order round the plate"))
        return None
    segments: list[Segment] = []
    last = len(read) - 1 if mirror else len(read)
    for i in range(last):
        here, there = read[i][0], read[(i + 1) % len(read)][0]
        via = read[(i + 1) % len(read)][2]
        if here.distance(there) < 1e-9:
            raise GeometryError(
                say("corners {i} and {k} are the same point", i=i, k=(i + 1) % len(read)),
                hint=say("remove one of them"),
            )
        segments.append(arc_through(here, via, there) if via else Line(here, there))
    fillets = [r for _, r, _ in read]
    if mirror:
        segments, fillets = _mirrored_half(segments, fillets, mirror)
    return Contour(tuple(_without_straight_joints(_filleted(segments, fillets))))


def _without_straight_joints(segments: list[Segment]) -> list[Segment]:
    """Join neighbouring lines that go on in the same direction, as at a mirror line."""
    out: list[Segment] = []
    for segment in segments:
        if out and _straight_on(out[-1], segment):
            out[-1] = Line(out[-1].start, segment.end)
        else:
            out.append(segment)
    if len(out) > 3 and _straight_on(out[-1], out[0]):
        out[0] = Line(out.pop().start, out[0].end)
    return out


def _straight_on(a: Segment, b: Segment) -> bool:
    if not isinstance(a, Line) or not isinstance(b, Line):
        return False
    u, v = a.end_direction, b.start_direction
    return abs(u.cross(v)) < 1e-12 and u.dot(v) > 0.0


def _mirrored_half(segments: list[Segment], fillets: list[float], axis: str) -> tuple[list[Segment], list[float]]:
    """Complete a half outline: the axis runs through its first point (mirror x: horizontal, y: vertical)."""
    first, end = segments[0].start, segments[-1].end
    gap = abs(first.x - end.x) if axis == "y" else abs(first.y - end.y)
    if gap > 1e-6:
        raise GeometryError(
            say("the half outline starts and ends {gap} apart across the mirror line", gap=mm(gap, None)),
            hint=say("start and end it on the same mirror line"),
        )
    shift = (2.0 * first.x, 0.0) if axis == "y" else (0.0, 2.0 * first.y)
    other = [mirrored_segment(s, axis).moved(*shift).reversed() for s in reversed(segments)]
    return [*segments, *other], [*fillets, *reversed(fillets[1:-1])]


def _filleted(segments: list[Segment], fillets: list[float]) -> list[Segment]:
    """Round the corner at the start of each segment by its radius; both neighbours must be straight."""
    count = len(segments)
    cut: list[Segment] = list(segments)
    corner_arcs: dict[int, Arc] = {}
    for i, radius in enumerate(fillets):
        if radius <= 0.0:
            continue
        before, after = cut[i - 1], cut[i]
        if not isinstance(before, Line) or not isinstance(after, Line):
            raise GeometryError(
                say("corner {i} has an arc beside it and cannot take a fillet", i=i), hint=say("draw the arc instead")
            )
        arc = _corner_arc(before, after, radius, i)
        cut[i - 1] = Line(before.start, arc.start)
        cut[i] = Line(arc.end, after.end)
        corner_arcs[i] = arc
    out: list[Segment] = []
    for i in range(count):
        if i in corner_arcs:
            out.append(corner_arcs[i])
        if cut[i].length > 1e-9:
            out.append(cut[i])
    return out


def _corner_arc(before: Line, after: Line, radius: float, index: int) -> Arc:
    u, v = before.end_direction, after.start_direction
    turn = atan2(u.cross(v), u.dot(v))
    if abs(turn) < 1e-9 or abs(abs(turn) - pi) < 1e-9:
        raise GeometryError(
            say("corner {i} does not turn and cannot take a fillet", i=index), hint=say("remove its fillet")
        )
    back = radius * tan(0.5 * abs(turn))
    if back > before.length + 1e-9 or back > after.length + 1e-9:
        raise GeometryError(
            say(
                "the fillet of {radius} at corner {i} needs {back} of each side, more than is there",
                radius=mm(radius, None),
                i=index,
                back=mm(back),
            ),
            hint=say("use a smaller fillet"),
        )
    corner = before.end
    start, end = corner.minus(u.times(back)), corner.plus(v.times(back))
    side = u.left().times(radius if turn > 0.0 else -radius)
    return Arc(start, end, start.plus(side), radius, turn)


def typed_hole(hole: Keys, surveyed: dict[str, Point]) -> list[Contour]:
    """Return the contours of one ``[[plate.hole]]`` entry: a round hole, slot or rectangle, repeated as asked.

    ``at = [x, y]`` places it, or ``point = "P1"`` at a point of the tape survey.
    ``diameter`` gives a round hole; ``slot_length`` with ``slot_width`` a slot along ``angle_deg``; ``width`` with
    ``height`` and ``corner_radius`` a rectangle about ``at``. ``circle_diameter`` with ``count`` repeats it on a bolt
    circle; ``step = [dx, dy]`` with ``count`` repeats it in a row; ``mirror_x`` / ``mirror_y`` add the mirror image
    about that coordinate.
    """
    at = _place(hole, surveyed)
    try:
        shape = _hole_shape(hole)
    except GeometryError as error:
        hole.wrong("width", error.message, error.hint)
        return []
    if shape is None:
        return []
    count = hole.take("count")
    places = [at]
    circle_diameter = hole.take("circle_diameter")
    start = radians(hole.take("start_deg"))
    step = hole.take("step")
    if circle_diameter is not None:
        r = 0.5 * circle_diameter
        angles = [start + 2.0 * pi * k / count for k in range(count)]
        places = [Point(at.x + r * cos(a), at.y + r * sin(a)) for a in angles]
    elif step is not None:
        places = [Point(at.x + step.x * k, at.y + step.y * k) for k in range(count)]
    elif count > 1:
        hole.wrong(
            "count",
            say("needs {this} or {that} beside it", this=code("circle_diameter"), that=code("step = [dx, dy]")),
            say("say how the holes repeat"),
        )
    contours = [shape.moved(p.x, p.y) for p in places]
    for key, axis in (("mirror_x", "y"), ("mirror_y", "x")):
        if hole.has(key):
            line = hole.take(key)
            shift = (2.0 * line, 0.0) if axis == "y" else (0.0, 2.0 * line)
            contours += [c.mirrored(axis).moved(*shift) for c in contours]
    return contours


def _hole_shape(hole: Keys) -> Contour | None:
    turn = radians(hole.take("angle_deg"))
    if hole.has("diameter"):
        return circle_contour(Point(0.0, 0.0), 0.5 * hole.take("diameter"))
    if hole.has("slot_length"):
        length, width = hole.take("slot_length"), hole.take("slot_width")
        if length < width:
            hole.wrong(
                "slot_length",
                say("is shorter than {this}", this=code("slot_width")),
                say("the length is measured over the round ends"),
            )
            return None
        if length == width:
            return circle_contour(Point(0.0, 0.0), 0.5 * width)
        return _slot(length, width).turned(turn)
    if hole.has("width"):
        width, height = hole.take("width"), hole.take("height")
        return rectangle(-width / 2, -height / 2, width, height, hole.take("corner_radius")).turned(turn)
    hole.wrong("diameter", say("is missing"), say("give diameter, or slot_length and slot_width, or width and height"))
    return None


def _slot(length: float, width: float) -> Contour:
    r = 0.5 * width
    half = 0.5 * length - r
    right = arc_from_centre(Point(half, 0.0), r, -0.5 * pi, pi)
    left = arc_from_centre(Point(-half, 0.0), r, 0.5 * pi, pi)
    a, b, c, d = Point(-half, -r), Point(half, -r), Point(half, r), Point(-half, r)
    return Contour(
        (
            Line(a, b),
            Arc(b, c, right.centre, r, pi),
            Line(c, d),
            Arc(d, a, left.centre, r, pi),
        )
    )
