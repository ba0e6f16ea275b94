"""The ``[plate]`` of a random job: outlines of every kind the job file takes, and holes of every shape and purpose."""

from __future__ import annotations

import random
from dataclasses import dataclass
from math import cos, hypot, pi, sin

from disguises import shuffled
from random_plates import random_plate

PURPOSES = ("bolt", "sleeve", "plug weld", "access", "locating")
KINDS = (
    "rectangle", "rectangle", "rectangle", "round", "obround", "corners", "star", "star", "bulged", "half", "survey",
    "drawing",
)  # fmt: skip


@dataclass(frozen=True)
class Drawn:
    """Lines of the job file for the plate, other files, the plate's box [mm] and whether its frame starts elsewhere."""

    lines: list[str]
    files: dict[str, bytes]
    wide: float
    high: float
    x: float = 0.0
    y: float = 0.0
    after: tuple[str, ...] = ()


class Writer:
    """Lengths and points in the unit of a job file."""

    def __init__(self, unit: str) -> None:
        self.k = 1.0 if unit == "mm" else 1.0 / 25.4

    def length(self, mm: float) -> str:
        return f"{mm * self.k:.6f}"

    def point(self, x: float, y: float) -> str:
        return f"[{self.length(x)}, {self.length(y)}]"


def outline(r: random.Random, w: Writer, wide: float, high: float) -> Drawn:
    """Return an outline of about this size [mm]."""
    kind = r.choice(KINDS)
    if kind == "round":
        d = min(wide, high)
        return Drawn(['shape = "round"', f"diameter = {w.length(d)}"], {}, d, d, -0.5 * d, -0.5 * d)
    if kind in ("rectangle", "obround"):
        radius = min(r.choice((0.0, 3.0, 12.0, 40.0)) if kind == "rectangle" else 1e9, 0.499 * min(wide, high))
        size = [f"width = {w.length(wide)}", f"height = {w.length(high)}", f"corner_radius = {w.length(radius)}"]
        return Drawn(['shape = "rectangle"', *size], {}, wide, high)
    if kind == "survey":
        return _survey(r, w, wide, high)
    if kind == "drawing":
        return _drawing(r)
    corners = {"corners": _steps, "star": _star, "bulged": _star, "half": _half}[kind](r, wide, high)
    entries = []
    for i, (x, y) in enumerate(corners):
        near = [hypot(x - corners[j][0], y - corners[j][1]) for j in (i - 1, (i + 1) % len(corners))]
        fillet = r.choice((0.0, min(15.0, 0.1 * min(near)), min(60.0, 0.2 * min(near))))
        extra = ""
        if kind == "bulged" and i and i % 3 == 0:
            extra = f", through = {w.point(*_bulge(r, corners[i - 1], (x, y)))}"
        elif kind == "bulged":
            fillet = 0.0
        if fillet and not extra and not (kind == "half" and i in (0, len(corners) - 1)):
            extra = f", fillet = {w.length(fillet)}"
        entries.append(f"{{ at = {w.point(x, y)}{extra} }}")
    lines = ["outline = [" + ", ".join(entries) + "]"]
    return Drawn([*lines, 'mirror = "y"'] if kind == "half" else lines, {}, wide, high)


def _steps(r: random.Random, wide: float, high: float) -> list[tuple[float, float]]:
    """An L, a T or a U."""
    a, b = r.uniform(0.25, 0.75) * wide, r.uniform(0.25, 0.75) * high
    if r.random() < 0.5:
        return [(0.0, 0.0), (wide, 0.0), (wide, b), (a, b), (a, high), (0.0, high)]
    c = a + r.uniform(0.3, 0.8) * (wide - a)
    u = [(0.0, 0.0), (wide, 0.0), (wide, high), (c, high), (c, b), (a, b), (a, high), (0.0, high)]
    t = [(a, 0.0), (c, 0.0), (c, b), (wide, b), (wide, high), (0.0, high), (0.0, b), (a, b)]
    return r.choice((u, t))


def _star(r: random.Random, wide: float, high: float) -> list[tuple[float, float]]:
    """An irregular outline within the box, once round."""
    n = r.randint(3, 14)
    corners = []
    for i in range(n):
        angle, reach = 2.0 * pi * (i + r.uniform(-0.3, 0.3)) / n, r.uniform(0.6, 1.0)
        corners.append((0.5 * wide * (1.0 + reach * cos(angle)), 0.5 * high * (1.0 + reach * sin(angle))))
    return corners


def _half(r: random.Random, wide: float, high: float) -> list[tuple[float, float]]:
    """The right half of a symmetrical outline about its left edge's line, which ``mirror`` completes."""
    x = 0.5 * wide
    waist = x + r.uniform(0.15, 0.4) * wide
    return [(x, 0.0), (wide, 0.0), (waist, r.uniform(0.3, 0.7) * high), (x + 0.4 * wide, high), (x, high)]


def _bulge(r: random.Random, a: tuple[float, float], b: tuple[float, float]) -> tuple[float, float]:
    share = r.choice((-0.12, 0.05, 0.12, 0.25))
    return 0.5 * (a[0] + b[0]) + share * (b[1] - a[1]), 0.5 * (a[1] + b[1]) - share * (b[0] - a[0])


def _survey(r: random.Random, w: Writer, wide: float, high: float) -> Drawn:
    """Four or five corners measured with a tape, with the errors of a tape."""
    places = {"A": (0.0, 0.0), "B": (wide, 0.0), "C": (r.uniform(0.7, 1.0) * wide, high), "D": (0.0, 0.9 * high)}
    if r.random() < 0.4:
        places["E"] = (0.5 * wide, 1.1 * high)
    names = list(places)
    after = ["[survey]", 'base = ["A", "B"]', "outline = " + str([*"ABC", *names[4:], "D"]).replace("'", '"')]
    for i, a in enumerate(names):
        for b in names[i + 1 :]:
            d = hypot(places[a][0] - places[b][0], places[a][1] - places[b][1]) + r.gauss(0.0, 0.4)
            after += ["[[survey.tape]]", f'from = "{a}"', f'to = "{b}"', f"length = {w.length(d)}"]
    for p in names[2:]:
        after += ["[[survey.side]]", f'point = "{p}"', 'of = ["A", "B"]', 'side = "left"']
    return Drawn([], {}, wide, high, after=tuple(after))


def _drawing(r: random.Random) -> Drawn:
    """A drawing of loose lines and arcs with holes of its own."""
    seed = r.randrange(10**6)
    plate = random_plate(seed, 4)
    box = plate.outer.box
    files = {"plate.dxf": shuffled(plate, random.Random(seed)).encode()}
    return Drawn(['drawing = "plate.dxf"'], files, box.width, box.height, box.xmin, box.ymin)


def holes(r: random.Random, w: Writer, drawn: Drawn, tidy: bool) -> list[str]:
    """Return ``[[plate.hole]]`` entries: tidy ones apart from each other in the middle, or anywhere."""
    lines: list[str] = []
    count = r.choice((0, 0, 1, 2, 4, 9))
    across = r.choice((4.0, 8.0, 11.0, 13.0, 22.0, 40.0))
    if tidy:
        across = min(across, 0.04 * min(drawn.wide, drawn.high))
        if across < 2.0 or 'drawing = "plate.dxf"' in drawn.lines:
            return lines
    for i in range(count):
        if tidy:
            angle, reach = 2.0 * pi * i / count, 0.18
            x, y = drawn.wide * (0.5 + reach * cos(angle)), drawn.high * (0.5 + reach * sin(angle))
        else:
            x, y = r.uniform(0.1, 0.9) * drawn.wide, r.uniform(0.1, 0.9) * drawn.high
        lines += ["[[plate.hole]]", f"at = {w.point(drawn.x + x, drawn.y + y)}", *_shape(r, w, across)]
        if r.random() < 0.7:
            lines.append(f'purpose = "{r.choice(PURPOSES)}"')
        if r.random() < 0.15:
            lines.append("in_skin = true")
        if not tidy and r.random() < 0.15:
            lines += [f"count = {r.randint(2, 6)}", f"step = {w.point(r.uniform(-40.0, 40.0), r.uniform(-40.0, 40.0))}"]
        elif not tidy and r.random() < 0.15:
            lines += [f"count = {r.randint(2, 8)}", f"circle_diameter = {w.length(r.uniform(20.0, 120.0))}"]
    return lines


def _shape(r: random.Random, w: Writer, across: float) -> list[str]:
    kind = r.choice(("round", "round", "round", "slot", "rectangle"))
    if kind == "round":
        return [f"diameter = {w.length(across)}"]
    turn = f"angle_deg = {r.choice((0, 30, 90, -45))}"
    if kind == "slot":
        return [f"slot_length = {w.length(across)}", f"slot_width = {w.length(0.6 * across)}", turn]
    radius = r.choice((0.0, 0.1)) * across
    return [f"width = {w.length(0.7 * across)}", f"height = {w.length(0.6 * across)}", turn,
            f"corner_radius = {w.length(radius)}"]  # fmt: skip
