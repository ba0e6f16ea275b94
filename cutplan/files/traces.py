"""What a drawing's entities become first: traces made of straight, bulged and curved runs, still in file units.

Every run survives any affine move exactly (a squeezed arc is a piece of an ellipse), so blocks and SVG groups can be
expanded before the unit is known; only then are true curves turned into arcs within a tolerance in millimetres.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, hypot, pi, sin
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from cutplan.files.where import Where
from cutplan.texts import Message

Floats: TypeAlias = NDArray[np.float64]
Ints: TypeAlias = NDArray[np.int64]
TAU = 2.0 * pi


@dataclass(frozen=True, slots=True)
class Affine:
    """The move (x, y) -> (a x + c y + e, b x + d y + f)."""

    a: float = 1.0
    b: float = 0.0
    c: float = 0.0
    d: float = 1.0
    e: float = 0.0
    f: float = 0.0

    def after(self, first: Affine) -> Affine:
        """Return the move that does ``first`` and then this one."""
        return Affine(
            self.a * first.a + self.c * first.b,
            self.b * first.a + self.d * first.b,
            self.a * first.c + self.c * first.d,
            self.b * first.c + self.d * first.d,
            self.a * first.e + self.c * first.f + self.e,
            self.b * first.e + self.d * first.f + self.f,
        )

    @property
    def determinant(self) -> float:
        return self.a * self.d - self.b * self.c

    @property
    def is_even(self) -> bool:
        """Whether circles stay circles (turn, mirror, even scale)."""
        size = max(abs(self.a), abs(self.b), abs(self.c), abs(self.d))
        if self.determinant >= 0.0:
            return max(abs(self.a - self.d), abs(self.b + self.c)) <= 1e-9 * size
        return max(abs(self.a + self.d), abs(self.b - self.c)) <= 1e-9 * size

    @property
    def is_identity(self) -> bool:
        return (self.a, self.b, self.c, self.d, self.e, self.f) == (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)

    def points(self, xy: Floats) -> Floats:
        """Return moved points, an array (n, 2)."""
        moved: Floats = xy @ np.array([[self.a, self.b], [self.c, self.d]]) + np.array([self.e, self.f])
        return moved


@dataclass(frozen=True, slots=True)
class Bulged:
    """Straight and circular pieces through points (n, 2); ``bulge[i]`` leads from point i to i + 1."""

    xy: Floats
    bulge: Floats

    def moved(self, m: Affine) -> tuple[Run, ...]:
        if m.is_even or not self.bulge.any():
            return (Bulged(m.points(self.xy), self.bulge if m.determinant >= 0.0 else -self.bulge),)
        runs: list[Run] = []
        for i in range(len(self.xy) - 1):
            piece: Run = Bulged(self.xy[i : i + 2], self.bulge[i : i + 1])
            if self.bulge[i] != 0.0:
                piece = _arc_of(self.xy[i], self.xy[i + 1], float(self.bulge[i]))
            runs.extend(piece.moved(m))
        return tuple(runs)

    def extent(self) -> Floats:
        return self.xy


@dataclass(frozen=True, slots=True)
class Ellipse:
    """Points c + u cos t + v sin t from t0 to t1; a circle where u and v are square and of one length."""

    c: tuple[float, float]
    u: tuple[float, float]
    v: tuple[float, float]
    t0: float = 0.0
    t1: float = TAU

    @property
    def radius(self) -> float | None:
        """Radius if it is a piece of a circle, else None."""
        lu, lv = hypot(*self.u), hypot(*self.v)
        square = abs(self.u[0] * self.v[0] + self.u[1] * self.v[1])
        if abs(lu - lv) <= 1e-9 * max(lu, lv) and square <= 1e-9 * lu * lv:
            return 0.5 * (lu + lv)
        return None

    @property
    def is_full(self) -> bool:
        return abs(self.t1 - self.t0) >= TAU - 1e-9

    @property
    def ccw(self) -> bool:
        """Whether growing t turns counter-clockwise."""
        return self.u[0] * self.v[1] - self.u[1] * self.v[0] > 0.0

    def moved(self, m: Affine) -> tuple[Run, ...]:
        cx, cy = self.c
        (ux, uy), (vx, vy) = self.u, self.v
        return (
            Ellipse(
                (m.a * cx + m.c * cy + m.e, m.b * cx + m.d * cy + m.f),
                (m.a * ux + m.c * uy, m.b * ux + m.d * uy),
                (m.a * vx + m.c * vy, m.b * vx + m.d * vy),
                self.t0,
                self.t1,
            ),
        )

    def at(self, t: float) -> tuple[float, float]:
        """Return the point at parameter t [rad]."""
        k, s = cos(t), sin(t)
        return (self.c[0] + self.u[0] * k + self.v[0] * s, self.c[1] + self.u[1] * k + self.v[1] * s)

    def extent(self) -> Floats:
        if self.is_full:
            wide = (hypot(self.u[0], self.v[0]), hypot(self.u[1], self.v[1]))
            return np.array([[self.c[0] - wide[0], self.c[1] - wide[1]], [self.c[0] + wide[0], self.c[1] + wide[1]]])
        t = np.linspace(self.t0, self.t1, 17)
        k, s = np.cos(t), np.sin(t)
        return np.column_stack([self.c[0] + self.u[0] * k + self.v[0] * s, self.c[1] + self.u[1] * k + self.v[1] * s])


@dataclass(frozen=True, slots=True)
class Cubics:
    """Cubic Bezier pieces: control points (n, 4, 2)."""

    ctrl: Floats

    def moved(self, m: Affine) -> tuple[Run, ...]:
        return (Cubics(m.points(self.ctrl.reshape(-1, 2)).reshape(-1, 4, 2)),)

    def extent(self) -> Floats:
        return self.ctrl.reshape(-1, 2)


@dataclass(frozen=True, slots=True)
class Spline:
    """A rational B-spline: control points (n, 2), weights (n), knots (n + degree + 1)."""

    ctrl: Floats
    weights: Floats
    knots: Floats
    degree: int

    def moved(self, m: Affine) -> tuple[Run, ...]:
        return (Spline(m.points(self.ctrl), self.weights, self.knots, self.degree),)

    def extent(self) -> Floats:
        return self.ctrl


Run: TypeAlias = Bulged | Ellipse | Cubics | Spline


@dataclass(frozen=True, slots=True)
class Trace:
    """One drawn thing: runs in order, each starting where the one before ends.

    ``where`` names the entity for the shop floor, ``closed`` says that the file calls it closed, ``filled`` that the
    file fills it, so that an open end is closed in the picture; ``beside`` tells why it is likely no edge of the plate,
    ``never`` that it surely is none (hidden, a dimension) and only counts in the account.
    """

    where: Where
    layer: str
    runs: tuple[Run, ...]
    closed: bool = False
    filled: bool = False
    beside: Message = Message("")
    never: bool = False

    def moved(self, m: Affine) -> Trace:
        if m.is_identity:
            return self
        runs = tuple(r for run in self.runs for r in run.moved(m))
        return Trace(self.where, self.layer, runs, self.closed, self.filled, self.beside, self.never)


def _arc_of(p: Floats, q: Floats, bulge: float) -> Ellipse:
    """Return the arc between two points with a bulge as a piece of a circle."""
    dx, dy = float(q[0] - p[0]), float(q[1] - p[1])
    rise = (1.0 - bulge * bulge) / (4.0 * bulge)
    cx, cy = float(p[0]) + 0.5 * dx - dy * rise, float(p[1]) + 0.5 * dy + dx * rise
    ux, uy = float(p[0]) - cx, float(p[1]) - cy
    sweep = 4.0 * np.arctan(bulge)
    sign = 1.0 if sweep > 0.0 else -1.0
    return Ellipse((cx, cy), (ux, uy), (-uy * sign, ux * sign), 0.0, abs(float(sweep)))


def straight(xy: Floats) -> Bulged:
    """Return a run of straight pieces through points (n, 2)."""
    return Bulged(xy, _STRAIGHT if len(xy) == 2 else np.zeros(max(0, len(xy) - 1)))


#: The bulge of a single line, one for all of them.
_STRAIGHT = np.zeros(1)
_STRAIGHT.flags.writeable = False
