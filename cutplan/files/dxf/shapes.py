"""DXF entities as traces: lines, arcs, circles, polylines, ellipses and splines seen from above."""

from __future__ import annotations

import re
from collections.abc import Callable
from math import cos, hypot, isfinite, pi, radians, sin

import numpy as np

from cutplan.errors import LimitError
from cutplan.files.curves.pieces import as_cubics, through_points
from cutplan.files.dxf.sections import Entity
from cutplan.files.dxf.space import ABOVE, LEANS, Vector, View, leans, own_axes
from cutplan.files.dxf.tags import Tags
from cutplan.files.limits import MAX_COORDINATE, MAX_SPLINE_DEGREE, MAX_SPLINE_POINTS, MAX_VALUE
from cutplan.files.traces import TAU, Affine, Bulged, Ellipse, Floats, Run, Spline, straight
from cutplan.texts import Message, number, say
from cutplan.texts import name as named

_COMMA = re.compile(r"\s*[-+]?\d*,\d+([eE][-+]?\d+)?\s*$")
MIRROR_X = Affine(-1.0, 0.0, 0.0, 1.0)


class Unreadable(Exception):
    """An entity whose values make no shape; ``why`` says it in words."""

    def __init__(self, why: Message) -> None:
        super().__init__(str(why))
        self.why = why


class Facts:
    """The values of one entity by group code."""

    __slots__ = ("commas", "entity", "first", "leaning", "points", "tags", "view")

    def __init__(self, tags: Tags, entity: Entity, view: View = ABOVE) -> None:
        self.tags = tags
        self.entity = entity
        self.view = view
        self.commas = False
        self.leaning = False
        self.points: Floats | None = None
        first: dict[int, str] = {}
        codes, values = tags.codes, tags.values
        for i in range(entity.start + 1, entity.stop):
            code = codes[i]
            if code not in first:
                first[code] = values[i]
            if code >= 1000:
                break
        self.first = first

    def text(self, code: int, default: str = "") -> str:
        value = self.first.get(code)
        return default if value is None else value[:MAX_VALUE].strip()

    def number(self, code: int, default: float | None = None) -> float:
        """Return a value as a finite number; a missing one without default is Unreadable."""
        value = self.first.get(code)
        if value is None:
            if default is None:
                raise Unreadable(say("group code {code} is missing", code=code))
            return default
        return self._number(value)

    def _number(self, value: str) -> float:
        if len(value) > MAX_VALUE:
            raise Unreadable(say("a number of {value} characters is beyond any drawing", value=len(value)))
        try:
            result = float(value)
            if "_" in value:
                raise ValueError
        except ValueError:
            if not _COMMA.match(value):
                raise Unreadable(say("'{value}' is not a number", value=named(value.strip()[:20]))) from None
            self.commas = True
            result = float(value.replace(",", "."))
        if not isfinite(result) or abs(result) > MAX_COORDINATE:
            raise Unreadable(say("the value {value} is beyond any drawing", value=named(value.strip()[:24])))
        return result

    def whole(self, code: int, default: int = 0) -> int:
        value = self.first.get(code)
        if value is None:
            return default
        try:
            return int(float(value[:MAX_VALUE]))
        except (ValueError, OverflowError):
            return default

    def all(self, code: int) -> list[float]:
        """Return every value with a group code, in order."""
        codes, values = self.tags.codes, self.tags.values
        start, stop = self.entity.start + 1, self.entity.stop
        texts = [values[i] for i in range(start, stop) if codes[i] == code]
        try:
            numbers = np.array(texts, dtype=np.float64) if texts else np.zeros(0)
            if numbers.size and (not np.isfinite(numbers).all() or np.abs(numbers).max() > MAX_COORDINATE):
                raise ValueError
            return numbers.tolist()  # type: ignore[no-any-return]
        except ValueError:
            return [self._number(t) for t in texts]

    def normal(self) -> Vector:
        """Return the extrusion direction; straight up where it is missing or nothing."""
        if 230 not in self.first and 220 not in self.first and 210 not in self.first:
            return (0.0, 0.0, 1.0)
        n = (self.number(210, 0.0), self.number(220, 0.0), self.number(230, 1.0))
        return n if hypot(*n) > 0.0 else (0.0, 0.0, 1.0)

    def tilt(self) -> str:
        """Return 'up', 'down' or 'tilted' from the extrusion direction."""
        nx, ny, nz = self.normal()
        if hypot(nx, ny) > LEANS * abs(nz):
            return "tilted"
        return "up" if nz > 0.0 else "down"

    def seen(self, points: Floats) -> Floats:
        """Return points in space (n, 3) as seen on the paper (n, 2), and note whether they lean."""
        self.points = points
        self.leaning |= leans(points)
        return self.view.seen(points)


def line(facts: Facts) -> tuple[Run, ...]:
    """Return the run of a LINE, in drawing units."""
    a = (facts.number(10), facts.number(20), facts.number(30, 0.0))
    b = (facts.number(11), facts.number(21), facts.number(31, 0.0))
    return (straight(facts.seen(np.array([a, b], dtype=np.float64))),)


def circle(facts: Facts) -> tuple[Run, ...]:
    """Return the run of a CIRCLE; a radius of zero or less is unreadable."""
    radius = facts.number(40)
    if radius == 0.0:
        return ()
    if radius < 0.0:
        raise Unreadable(say("its radius is {radius}", radius=number(radius)))
    runs = (Ellipse((facts.number(10), facts.number(20)), (radius, 0.0), (0.0, radius)),)
    return _seen(facts, runs, facts.number(30, 0.0))


def arc(facts: Facts) -> tuple[Run, ...]:
    """Return the run of an ARC, counter-clockwise about its extrusion."""
    radius = facts.number(40)
    if radius == 0.0:
        return ()
    if radius < 0.0:
        raise Unreadable(say("its radius is {radius}", radius=number(radius)))
    first, last = facts.number(50, 0.0), facts.number(51, 360.0)
    sweep = (last - first) % 360.0
    if sweep <= 1e-9 or sweep >= 360.0 - 1e-9:
        sweep = 360.0
    t0 = radians(first % 360.0)
    ellipse = Ellipse((facts.number(10), facts.number(20)), (radius, 0.0), (0.0, radius), t0, t0 + radians(sweep))
    return _seen(facts, (ellipse,), facts.number(30, 0.0))


def ellipse(facts: Facts) -> tuple[Run, ...]:
    """Return the run of an ELLIPSE, which is given in the drawing's own space; its minor axis follows from its normal."""
    u = np.array([facts.number(11), facts.number(21), facts.number(31, 0.0)])
    ratio = facts.number(40)
    if float(np.linalg.norm(u)) == 0.0 or ratio == 0.0:
        raise Unreadable(say("an axis is zero"))
    n = np.array(facts.normal())
    v = np.cross(n / np.linalg.norm(n), u) * ratio
    t0, t1 = facts.number(41, 0.0), facts.number(42, TAU)
    sweep = (t1 - t0) % TAU
    if sweep <= 1e-9 or sweep >= TAU - 1e-9:
        t0, sweep = (t0 if abs(t1 - t0) > 1e-9 else 0.0), TAU
    c = np.array([facts.number(10), facts.number(20), facts.number(30, 0.0)])
    flat = facts.seen(np.vstack([c, c + u, c + v, c - u]))
    if facts.view.from_above and not facts.leaning and facts.tilt() != "tilted":
        v[:2] = np.array([-u[1], u[0]]) * ratio * (1.0 if facts.tilt() == "up" else -1.0)
        flat = np.vstack([c, c + u, c + v])[:, :2]
    (cx, cy), (ux, uy), (vx, vy) = flat[0].tolist(), (flat[1] - flat[0]).tolist(), (flat[2] - flat[0]).tolist()
    if facts.view.from_above and not facts.leaning:
        (ux, uy), (vx, vy) = u[:2].tolist(), v[:2].tolist()
    return (Ellipse((cx, cy), (ux, uy), (vx, vy), t0, t0 + sweep),)


def lwpolyline(facts: Facts) -> tuple[Run, ...]:
    """Return the runs of an LWPOLYLINE, bulges as arcs, the closing one too."""
    codes, values = facts.tags.codes, facts.tags.values
    start, stop = facts.entity.start + 1, facts.entity.stop
    xs, ys = facts.all(10), facts.all(20)
    if len(xs) != len(ys):
        raise Unreadable(say("it has {xs} x values and {ys} y values", xs=len(xs), ys=len(ys)))
    bulges = np.zeros(len(xs))
    if 42 in facts.first:
        k = -1
        for i in range(start, stop):
            code = codes[i]
            if code == 10:
                k += 1
            elif code == 42 and k >= 0:
                bulges[k] = facts._number(values[i])
    return _polyline(facts, np.column_stack([xs, ys]), bulges, bool(facts.whole(70) & 1), facts.number(38, 0.0))


def polyline(facts: Facts, vertices: list[Facts]) -> tuple[Run, ...]:
    """Return the runs of an old-style POLYLINE from its VERTEX entities."""
    flags = facts.whole(70)
    points: list[Vector] = []
    bulges: list[float] = []
    for vertex in vertices:
        kind = vertex.whole(70)
        if flags & 4 and kind & 16:  # control frame of a smoothed polyline, not drawn
            continue
        points.append((vertex.number(10), vertex.number(20), vertex.number(30, 0.0)))
        bulges.append(0.0 if flags & 8 else vertex.number(42, 0.0))
    xyz = np.array(points, dtype=np.float64).reshape(-1, 3)
    if flags & 8:
        return _closing(facts.seen(xyz), np.array(bulges), bool(flags & 1))
    return _polyline(facts, xyz[:, :2], np.array(bulges), bool(flags & 1), facts.number(30, 0.0))


def _polyline(facts: Facts, xy: Floats, bulges: Floats, closed: bool, height: float) -> tuple[Run, ...]:
    return _seen(facts, _closing(xy, bulges, closed), height)


def _closing(xy: Floats, bulges: Floats, closed: bool) -> tuple[Run, ...]:
    """Return the run of a polyline, with the closing piece if it is closed; repeated points fall out later."""
    if len(xy) < 2:
        return ()
    # a bulge this small bends a metre by less than a millionth of a millimetre, one this large has no arc
    bulges = np.where((np.abs(bulges) < 1e-9) | (np.abs(bulges) > 1e6), 0.0, bulges)
    if closed:
        return (Bulged(np.vstack([xy, xy[:1]]), bulges),)
    return (Bulged(xy, bulges[:-1]),)


def spline(facts: Facts) -> tuple[Run, ...]:
    """Return the runs of a SPLINE; one knot too few is completed."""
    degree = facts.whole(71, 3)
    if not 1 <= degree <= MAX_SPLINE_DEGREE:
        raise Unreadable(say("its degree is {degree}", degree=degree))
    xs, ys = facts.all(10), facts.all(20)
    fit_x, fit_y = facts.all(11), facts.all(21)
    if max(len(xs), len(fit_x)) > MAX_SPLINE_POINTS:
        raise LimitError(
            say("a spline has more than {max_spline_points} points", max_spline_points=MAX_SPLINE_POINTS),
            facts.tags.place(facts.entity.start),
        )
    if len(xs) != len(ys) or len(fit_x) != len(fit_y):
        raise Unreadable(say("it has not as many x values as y values"))
    closed = bool(facts.whole(70) & 1)
    if len(xs) <= degree:
        if len(fit_x) >= 2:
            return (_through(facts.seen(_in_space(fit_x, fit_y, facts.all(31))), closed, facts),)
        raise Unreadable(
            say("it has too few control points for its degree: {xs} for {degree}", xs=len(xs), degree=degree)
        )
    ctrl = facts.seen(_in_space(xs, ys, facts.all(30)))
    weights = np.array(facts.all(41), dtype=np.float64)
    if len(weights) != len(ctrl) or (weights <= 0.0).any():
        weights = np.ones(len(ctrl))
    knots = _knots(np.array(facts.all(40), dtype=np.float64), len(ctrl), degree)
    if closed and knots is None:
        ctrl, weights = np.vstack([ctrl, ctrl[:degree]]), np.concatenate([weights, weights[:degree]])
        knots = np.arange(len(ctrl) + degree + 1, dtype=np.float64)
    if knots is None:
        inner = np.arange(1, len(ctrl) - degree, dtype=np.float64)
        knots = np.concatenate([np.zeros(degree + 1), inner, np.full(degree + 1, len(ctrl) - degree)])
    return (as_cubics(Spline(ctrl, weights, knots, degree)),)


def _in_space(xs: list[float], ys: list[float], zs: list[float]) -> Floats:
    return np.column_stack([xs, ys, zs if len(zs) == len(xs) else np.zeros(len(xs))])


def _knots(knots: Floats, n_ctrl: int, degree: int) -> Floats | None:
    """Return a usable knot vector; one knot short at either end is made up, worse gives None."""
    need = n_ctrl + degree + 1
    if len(knots) == need - 2:
        knots = np.concatenate([knots[:1], knots, knots[-1:]])
    elif len(knots) == need - 1:
        first = int((knots == knots[0]).sum())
        last = int((knots == knots[-1]).sum())
        knots = np.insert(knots, 0, knots[0]) if first < last else np.append(knots, knots[-1])
    if len(knots) != need or (np.diff(knots) < 0.0).any() or knots[degree] >= knots[n_ctrl]:
        return None
    return knots


def _through(points: Floats, closed: bool, facts: Facts) -> Run:
    """Return the cubic spline through fit points (natural ends unless end tangents are given)."""
    tangents: list[Floats | None] = [None, None]
    for k, code in enumerate((12, 13)):
        if code in facts.first and code + 10 in facts.first:
            tangent = np.array([facts.number(code), facts.number(code + 10)])
            tangents[k] = tangent if np.hypot(*tangent) > 0.0 else None
    return through_points(points, closed, tangents[0], tangents[1])


def _seen(facts: Facts, runs: tuple[Run, ...], height: float) -> tuple[Run, ...]:
    """Return runs given in the entity's own plane, at a height over the origin, as seen on the paper."""
    tilt = facts.tilt()
    if facts.view.from_above and tilt == "up":
        return runs
    if facts.view.from_above and tilt == "down":
        return tuple(r for run in runs for r in run.moved(MIRROR_X))
    normal = facts.normal()
    facts.leaning |= tilt == "tilted"
    if runs:
        own = own_axes(normal)
        flat = np.vstack([run.extent() for run in runs])
        facts.points = flat @ own[:2] + own[2] * height
    move = facts.view.move_of(normal, height)
    return tuple(r for run in runs for r in run.moved(move))


#: Entity kinds that draw something a plate is made of, except POLYLINE, which also needs its vertices.
SHAPES: dict[str, Callable[[Facts], tuple[Run, ...]]] = {
    "LINE": line,
    "ARC": arc,
    "CIRCLE": circle,
    "LWPOLYLINE": lwpolyline,
    "ELLIPSE": ellipse,
    "SPLINE": spline,
}


def placement(facts: Facts, base: tuple[float, float]) -> list[Affine]:
    """Return the moves of an INSERT, one for each place of its array; ``base`` is its block's base point [drawing units].

    Raises
    ------
    Unreadable
        When its scale is zero or it does not lie flat.
    LimitError
        When its array has more places than are read.
    """
    x, y = facts.number(10, 0.0), facts.number(20, 0.0)
    sx, sy = facts.number(41, 1.0), facts.number(42, 1.0)
    angle = facts.number(50, 0.0) * pi / 180.0
    k, s = cos(angle), sin(angle)
    if facts.number(50, 0.0) % 90.0 == 0.0:
        k, s = float(round(k)), float(round(s))
    if sx == 0.0 or sy == 0.0:
        raise Unreadable(say("its scale is zero"))
    columns, rows = max(1, facts.whole(70, 1)), max(1, facts.whole(71, 1))
    dx, dy = facts.number(44, 0.0), facts.number(45, 0.0)
    if columns * rows > 100_000:
        raise LimitError(
            say("an array of {columns} by {rows} blocks is beyond any drawing", columns=columns, rows=rows),
            facts.tags.place(facts.entity.start),
            say("explode the array and keep only the part wanted"),
        )
    if dx == 0.0:
        columns = 1
    if dy == 0.0:
        rows = 1
    tilt = facts.tilt()
    if tilt == "tilted":
        raise Unreadable(say("it does not lie flat in the drawing plane"))
    moves: list[Affine] = []
    for row in range(rows):
        for column in range(columns):
            ox, oy = column * dx, row * dy
            turn = Affine(k * sx, s * sx, -s * sy, k * sy, x + k * ox - s * oy, y + s * ox + k * oy)
            move = turn.after(Affine(e=-base[0], f=-base[1]))
            moves.append(MIRROR_X.after(move) if tilt == "down" else move)
    return moves
