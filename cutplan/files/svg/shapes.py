"""The basic shapes of SVG as traces in user units."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from cutplan.files.svg.numbers import BadNumber, parse_numbers, user_length
from cutplan.files.svg.path import parse_path
from cutplan.files.svg.tree import Node
from cutplan.files.traces import Affine, Bulged, Ellipse, Run, Trace, straight
from cutplan.files.where import Where
from cutplan.texts import Message, say

_QUARTER = 0.41421356237309503  # tan(90 deg / 4), exact

#: Nothing is wrong.
_FINE = Message("")


def rect(node: Node, width: float, height: float) -> tuple[list[Trace], Message]:
    """Return the trace [px] of a rect, corners rounded by rx and ry, and what is wrong with it."""
    x, y = user_length(node.attrib.get("x"), width), user_length(node.attrib.get("y"), height)
    w, h = user_length(node.attrib.get("width"), width), user_length(node.attrib.get("height"), height)
    if w <= 0.0 or h <= 0.0:
        return [], _FINE if min(w, h) == 0.0 else say("a negative width or height")
    rx, ry = _radii(node, w, h)
    if rx <= 0.0 or ry <= 0.0:
        xy = np.array([[x, y], [x + w, y], [x + w, y + h], [x, y + h], [x, y]])
        return [_one(node, (straight(xy),), True)], _FINE
    # drawn with round corners on a squeezed page, then stretched, so that rx and ry may differ
    s = ry / rx
    hs, ys = h / s, y / s
    x1, y1 = x + w, ys + hs
    corners = [
        (x + rx, ys, 0.0),
        (x1 - rx, ys, _QUARTER),
        (x1, ys + rx, 0.0),
        (x1, y1 - rx, _QUARTER),
        (x1 - rx, y1, 0.0),
        (x + rx, y1, _QUARTER),
        (x, y1 - rx, 0.0),
        (x, ys + rx, _QUARTER),
    ]
    points = np.array(corners + corners[:1])
    run: Run = Bulged(points[:, :2].copy(), points[:-1, 2].copy())
    runs = (run,) if s == 1.0 else run.moved(Affine(d=s))
    return [_one(node, runs, True)], _FINE


def _radii(node: Node, w: float, h: float) -> tuple[float, float]:
    """Return the corner radii: one stands for both, each at most half the side."""
    found = [node.attrib.get(k) for k in ("rx", "ry")]
    values = [
        None if v is None or v.strip() == "auto" else user_length(v, side)
        for v, side in zip(found, (w, h), strict=True)
    ]
    rx = values[0] if values[0] is not None else values[1] if values[1] is not None else 0.0
    ry = values[1] if values[1] is not None else rx
    return min(rx, 0.5 * w), min(ry, 0.5 * h)


def circle(node: Node, width: float, height: float) -> tuple[list[Trace], Message]:
    """Return the trace [px] of a circle, and what is wrong with it."""
    cx, cy = user_length(node.attrib.get("cx"), width), user_length(node.attrib.get("cy"), height)
    r = user_length(node.attrib.get("r"), ((width**2 + height**2) / 2.0) ** 0.5)
    if r <= 0.0:
        return [], _FINE if r == 0.0 else say("a negative radius")
    return [_one(node, (Ellipse((cx, cy), (r, 0.0), (0.0, r)),), True)], _FINE


def ellipse(node: Node, width: float, height: float) -> tuple[list[Trace], Message]:
    """Return the trace [px] of an ellipse, and what is wrong with it."""
    cx, cy = user_length(node.attrib.get("cx"), width), user_length(node.attrib.get("cy"), height)
    rx, ry = user_length(node.attrib.get("rx"), width), user_length(node.attrib.get("ry"), height)
    if rx <= 0.0 or ry <= 0.0:
        return [], _FINE if min(rx, ry) == 0.0 else say("a negative radius")
    return [_one(node, (Ellipse((cx, cy), (rx, 0.0), (0.0, ry)),), True)], _FINE


def line(node: Node, width: float, height: float) -> tuple[list[Trace], Message]:
    """Return the trace [px] of a line, and what is wrong with it."""
    p = [
        user_length(node.attrib.get(k), side)
        for k, side in (("x1", width), ("y1", height), ("x2", width), ("y2", height))
    ]
    return [_one(node, (straight(np.array([[p[0], p[1]], [p[2], p[3]]])),), False)], _FINE


def polyline(node: Node, width: float, height: float) -> tuple[list[Trace], Message]:
    """Return the trace [px] of a polyline, open as drawn, and what is wrong with it."""
    return _points(node, False)


def polygon(node: Node, width: float, height: float) -> tuple[list[Trace], Message]:
    """Return the trace [px] of a polygon, closed, and what is wrong with it."""
    return _points(node, True)


def _points(node: Node, closed: bool) -> tuple[list[Trace], Message]:
    text = node.attrib.get("points", "")
    numbers = parse_numbers(text)
    fault = say("an odd count of coordinates") if len(numbers) % 2 else _FINE
    xy = np.array(numbers[: len(numbers) // 2 * 2], dtype=np.float64).reshape(-1, 2)
    if len(xy) < 2:
        return [], fault
    if closed:
        xy = np.vstack([xy, xy[:1]])
    return [_one(node, (straight(xy),), closed)], fault


def path(node: Node, width: float, height: float) -> tuple[list[Trace], Message]:
    """Return the traces [px] of a path, one for each subpath, and what is wrong with it."""
    subpaths, fault = parse_path(node.attrib.get("d", ""))
    return [_one(node, tuple(s.runs), s.closed) for s in subpaths], fault


def _one(node: Node, runs: tuple[Run, ...], closed: bool) -> Trace:
    return Trace(Where(), "", runs, closed)


#: Element names that draw, each giving traces and what was wrong with the element (empty when nothing was).
SHAPES: dict[str, Callable[[Node, float, float], tuple[list[Trace], Message]]] = {
    "path": path,
    "rect": rect,
    "circle": circle,
    "ellipse": ellipse,
    "line": line,
    "polyline": polyline,
    "polygon": polygon,
}

__all__ = ["SHAPES", "BadNumber"]
