"""SVG path data as runs: all commands, absolute and relative, with smooth curves and elliptical arcs."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from math import atan2, cos, pi, radians, sin, sqrt

import numpy as np

from cutplan.errors import LimitError
from cutplan.files.limits import MAX_ATTRIBUTE, MAX_VERTICES
from cutplan.files.svg.numbers import BadNumber, finite
from cutplan.files.traces import Cubics, Ellipse, Run, straight
from cutplan.texts import Message, plural, say
from cutplan.texts import name as named

_NUMBER = r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?"
_TOKEN = re.compile(rf"([MmZzLlHhVvCcSsQqTtAa])|({_NUMBER})|([^\s,])")
_FLAG = re.compile(r"[\s,]*([01])")
_NEXT = re.compile(rf"[\s,]*({_NUMBER})")
_SPLIT = re.compile(r"([MmZzLlHhVvCcSsQqTtAa])([^MmZzLlHhVvCcSsQqTtAa]*)")
_FIND = re.compile(_NUMBER)
_COUNT = {"M": 2, "L": 2, "H": 1, "V": 1, "C": 6, "S": 4, "Q": 4, "T": 2, "A": 7, "Z": 0}


@dataclass(slots=True)
class Subpath:
    """One stretch of a path: runs in order and whether it was closed by the file."""

    runs: list[Run] = field(default_factory=list)
    closed: bool = False


class _Pen:
    """Builds runs: straight pieces and cubics are gathered while they follow each other."""

    def __init__(self) -> None:
        self.done: list[Subpath] = []
        self.now = Subpath()
        self.line: list[tuple[float, float]] = []
        self.cubic: list[list[tuple[float, float]]] = []
        self.at = (0.0, 0.0)
        self.start = (0.0, 0.0)

    def flush(self) -> None:
        if len(self.line) > 1:
            self.now.runs.append(straight(np.array(self.line)))
        if self.cubic:
            self.now.runs.append(Cubics(np.array(self.cubic)))
        self.line, self.cubic = [], []

    def end(self) -> None:
        self.flush()
        if self.now.runs:
            self.done.append(self.now)
        self.now = Subpath()

    def move(self, p: tuple[float, float]) -> None:
        self.end()
        self.at = self.start = p

    def to(self, p: tuple[float, float]) -> None:
        if not self.line:
            self.flush()
            self.line = [self.at]
        self.line.append(p)
        self.at = p

    def curve(self, a: tuple[float, float], b: tuple[float, float], p: tuple[float, float]) -> None:
        if self.line:
            self.flush()
        self.cubic.append([self.at, a, b, p])
        self.at = p

    def arc(self, run: Ellipse | None, p: tuple[float, float]) -> None:
        if run is None:
            self.to(p)
            return
        self.flush()
        self.now.runs.append(run)
        self.at = p

    def close(self) -> None:
        if self.at != self.start:
            self.to(self.start)
        self.now.closed = True
        self.end()
        self.at = self.start


def parse_path(text: str) -> tuple[list[Subpath], Message]:
    """Return the subpaths of path data, and what was wrong where reading stopped (empty when nothing was).

    As the SVG standard asks, everything before a fault is kept.
    """
    pen = _Pen()
    fault = Message("")
    if len(text) > MAX_ATTRIBUTE:
        raise LimitError(
            say("an attribute of an SVG element has more than {max_attribute} characters", max_attribute=MAX_ATTRIBUTE)
        )
    before = text[:1000].lstrip(" \t\r\n,")
    if not before:
        return [], fault
    if before[0] not in "Mm":
        return [], say("path data does not start with a move")
    try:
        _draw(text, pen)
    except BadNumber as bad:
        fault = bad.why
    pen.end()
    return pen.done, fault


def _draw(text: str, pen: _Pen) -> None:
    control: tuple[float, float] | None = None
    kind = ""
    drawn = 0
    for match in _SPLIT.finditer(text):
        letter, body = match.groups()
        command = letter.upper()
        if command == "Z":
            pen.close()
            control = None
            if body.strip(" \t\r\n,"):
                raise BadNumber(say("numbers follow the closing of a path"))
            continue
        numbers = _arc_numbers(body) if command == "A" else _plain_numbers(body)
        size = _COUNT[command]
        rows, spare = divmod(len(numbers), size)
        if rows == 0:
            raise BadNumber(say("command {letter} has too few numbers", letter=named(letter)))
        drawn += rows
        if drawn > MAX_VERTICES:
            raise LimitError(say("a path holds more than {max_vertices} vertices", max_vertices=MAX_VERTICES))
        for k in range(rows):
            n = numbers[k * size : (k + 1) * size]
            control = _draw_row(command if k == 0 or command != "M" else "L", n, letter.islower(), pen, kind, control)
            kind = "C" if command in "CS" else "Q" if command in "QT" else ""
        if spare:
            raise BadNumber(
                plural(
                    "command {letter} has {count} number too many",
                    "command {letter} has {count} numbers too many",
                    spare,
                    letter=named(letter),
                )
            )


def _draw_row(
    command: str, n: list[float], relative: bool, pen: _Pen, kind: str, control: tuple[float, float] | None
) -> tuple[float, float] | None:
    """Draw one command's row of numbers; return the control point that the next smooth curve mirrors."""
    ox, oy = pen.at if relative else (0.0, 0.0)
    if command == "M":
        pen.move((ox + n[0], oy + n[1]))
    elif command == "L":
        pen.to((ox + n[0], oy + n[1]))
    elif command == "H":
        pen.to((ox + n[0], pen.at[1]))
    elif command == "V":
        pen.to((pen.at[0], oy + n[0]))
    elif command in "CS":
        if command == "S":
            first = _mirrored(pen.at, control) if kind == "C" else pen.at
            n = [first[0] - ox, first[1] - oy, *n]
        control = (ox + n[2], oy + n[3])
        pen.curve((ox + n[0], oy + n[1]), control, (ox + n[4], oy + n[5]))
    elif command in "QT":
        if command == "T":
            control = _mirrored(pen.at, control) if kind == "Q" else pen.at
            p = (ox + n[0], oy + n[1])
        else:
            control, p = (ox + n[0], oy + n[1]), (ox + n[2], oy + n[3])
        pen.curve(_third(pen.at, control), _third(p, control), p)
    else:
        p = (ox + n[5], oy + n[6])
        pen.arc(arc_run(pen.at, p, n[0], n[1], n[2], n[3] != 0.0, n[4] != 0.0), p)
    return control


def _mirrored(at: tuple[float, float], control: tuple[float, float] | None) -> tuple[float, float]:
    if control is None:
        return at
    return (2.0 * at[0] - control[0], 2.0 * at[1] - control[1])


def _third(end: tuple[float, float], middle: tuple[float, float]) -> tuple[float, float]:
    """Return the cubic control point of a quadratic curve, seen from one end."""
    return (end[0] + 2.0 / 3.0 * (middle[0] - end[0]), end[1] + 2.0 / 3.0 * (middle[1] - end[1]))


def _plain_numbers(body: str) -> list[float]:
    if sum(map(body.count, "., -+\n\t")) > 6 * MAX_VERTICES:
        raise LimitError(say("a path holds more than {max_vertices} vertices", max_vertices=MAX_VERTICES))
    found = _FIND.findall(body)
    if _FIND.sub("", body).strip(" \t\r\n,\f"):
        raise BadNumber(say("'{text}' is not a list of numbers", text=named(body.strip()[:24])))
    return [finite(t) for t in found]


def _arc_numbers(body: str) -> list[float]:
    """Return the numbers of arc commands, whose two flags may be written without blanks."""
    numbers: list[float] = []
    i = 0
    stop = len(body.rstrip(" \t\r\n,\f"))
    while i < stop:
        for k in range(7):
            match = (_FLAG if k in (3, 4) else _NEXT).match(body, i)
            if match is None:
                raise BadNumber(say("'{text}' does not go on an arc command", text=named(body[i:].strip()[:24])))
            numbers.append(finite(match.group(1)))
            i = match.end()
    return numbers


def arc_run(
    p: tuple[float, float], q: tuple[float, float], rx: float, ry: float, turn_deg: float, large: bool, sweep: bool
) -> Ellipse | None:
    """Return the elliptical arc between two points, or None where it is a straight line.

    References
    ----------
    .. [1] W3C, Scalable Vector Graphics 1.1, appendix F.6.5, conversion from endpoint to centre parameters (formula
       from memory, checked by test).
    """
    rx, ry = abs(rx), abs(ry)
    if rx == 0.0 or ry == 0.0 or p == q:
        return None
    k, s = cos(radians(turn_deg)), sin(radians(turn_deg))
    hx, hy = 0.5 * (p[0] - q[0]), 0.5 * (p[1] - q[1])
    x, y = (k * hx + s * hy) / rx, (-s * hx + k * hy) / ry
    square = x * x + y * y
    if square == 0.0:
        return None
    if square > 1.0:
        grow = sqrt(square)
        rx, ry, x, y, square = rx * grow, ry * grow, x / grow, y / grow, 1.0
    reach = sqrt(max(0.0, 1.0 / square - 1.0)) * (-1.0 if large == sweep else 1.0)
    cx, cy = reach * y, -reach * x
    mx, my = rx * cx, ry * cy
    centre = (k * mx - s * my + 0.5 * (p[0] + q[0]), s * mx + k * my + 0.5 * (p[1] + q[1]))
    t0 = atan2(y - cy, x - cx)
    t1 = atan2(-y - cy, -x - cx)
    span = t1 - t0
    if sweep and span <= 0.0:
        span += 2.0 * pi
    elif not sweep and span >= 0.0:
        span -= 2.0 * pi
    return Ellipse(centre, (k * rx, s * rx), (-s * ry, k * ry), t0, t0 + span)
