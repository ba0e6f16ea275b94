"""What clips and masks of an SVG file leave to be seen: the whole of a shape, nothing of it, or a part."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import TYPE_CHECKING, Literal

import numpy as np

from cutplan.files.svg.elements import WHITE, moved_by
from cutplan.files.svg.numbers import BadNumber
from cutplan.files.svg.shapes import SHAPES
from cutplan.files.svg.style import Sheet, Style, style_of
from cutplan.files.svg.tree import Node
from cutplan.files.traces import Affine, Floats, Trace

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

_URL = re.compile(r"url\(\s*['\"]?#([^)'\"]+)['\"]?\s*\)\s*$")
#: Points on each curved run, and share of the shape by which it may stand out of its clip unseen [-].
_POINTS, _SLACK = 48, 1e-4
#: Shapes in one clip that are looked at.
_MOST = 200


def windows(
    node: Node, style: Style, by_id: Mapping[str, Node], sheet: Sheet, move: Affine
) -> list[BaseGeometry | None]:
    """Return the windows through which an element is seen, in the units of the page; None: one that is not understood."""
    out: list[BaseGeometry | None] = []
    for key in ("clip-path", "mask"):
        value = style.get(key, "none")
        if value in ("none", ""):
            continue
        raw = _as_written(node, key) or value
        found = _URL.match(raw.strip())
        target = _by_name(by_id, found.group(1)) if found else None
        if found and target is None:
            continue  # a browser shows the whole when the clip is not there
        out.append(_window(target, key == "mask", by_id, sheet, move) if target is not None else None)
    return out


def _by_name(by_id: Mapping[str, Node], key: str) -> Node | None:
    """Return an element by its id; a rule's own letters are not kept, so capitals may differ."""
    return by_id.get(key) or next((node for name, node in by_id.items() if name.lower() == key.lower()), None)


def _as_written(node: Node, key: str) -> str:
    """Return a property in its own letters: names of elements keep capitals."""
    for item in node.attrib.get("style", "").split(";"):
        name, colon, value = item.partition(":")
        if colon and name.strip().lower() == key:
            return value.replace("!important", "")
    return node.attrib.get(key, "")


def _window(target: Node, mask: bool, by_id: Mapping[str, Node], sheet: Sheet, move: Affine) -> BaseGeometry | None:
    from shapely import unary_union

    if target.tag != ("mask" if mask else "clipPath"):
        return None
    if target.attrib.get("clipPathUnits" if not mask else "maskContentUnits", "userSpaceOnUse") != "userSpaceOnUse":
        return None
    try:
        move = move.after(moved_by(target, Style()))
        shapes: list[BaseGeometry] = []
        todo = [(child, move, Style(), 0) for child in target.children]
        while todo:
            if len(shapes) > _MOST:
                return None
            node, at, parent, depth = todo.pop()
            style = style_of(node, parent, sheet)
            here = at.after(moved_by(node, style))
            if node.tag in ("g", "use") and depth < 8:
                inner = node.children
                if node.tag == "use":
                    href = next((v for k, v in node.attrib.items() if k == "href" or k.endswith(":href")), "")
                    used = by_id.get(href.strip().lstrip("#"))
                    inner = [used] if used is not None else []
                    here = here.after(Affine(e=float(node.attrib.get("x", 0)), f=float(node.attrib.get("y", 0))))
                todo += [(child, here, style, depth + 1) for child in inner]
                continue
            shape = SHAPES.get(node.tag)
            if shape is None:
                if node.tag in ("title", "desc", "metadata"):
                    continue
                return None
            if mask and (style.get("fill", "black") not in WHITE or style.stroked or style.hidden):
                return None  # a mask shows by its brightness: anything but plain white is beyond this
            traces, fault = shape(node, 0.0, 0.0)
            if fault:
                return None
            shapes += [_polygon(t.moved(here)) for t in traces]
    except (BadNumber, ValueError):
        return None
    return unary_union(shapes)


def _polygon(trace: Trace) -> BaseGeometry:
    from shapely import Polygon
    from shapely.validation import make_valid

    points = np.vstack([_points(r) for r in trace.runs])
    return make_valid(Polygon(points)) if len(points) >= 3 else Polygon()


def _points(run: object) -> Floats:
    """Return points on a run of any kind."""
    from cutplan.files.traces import Bulged, Cubics, Ellipse

    if isinstance(run, Ellipse):
        return np.array([run.at(t) for t in np.linspace(run.t0, run.t1, _POINTS)])
    if isinstance(run, Cubics):
        t = np.linspace(0.0, 1.0, _POINTS)[:, None]
        weights = ((1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3)
        return np.vstack([sum(w * c for w, c in zip(weights, ctrl, strict=True)) for ctrl in run.ctrl])
    if isinstance(run, Bulged) and run.bulge.any():
        out = [run.xy[:1]]
        for p, q, b in zip(run.xy[:-1], run.xy[1:], run.bulge.tolist(), strict=True):
            out.append(_points(_arc(p, q, b)) if b else q[None, :])
        return np.vstack(out)
    return run.extent()  # type: ignore[attr-defined,no-any-return]


def _arc(p: Floats, q: Floats, bulge: float) -> object:
    from cutplan.files.traces import _arc_of

    return _arc_of(p, q, bulge)


def seen(trace: Trace, through: list[BaseGeometry | None]) -> Literal["whole", "none", "part"]:
    """Return how much of a trace is seen through windows."""
    from shapely import MultiPoint, box

    if not through:
        return "whole"
    points = np.vstack([_points(r) for r in trace.runs])
    low, high = points.min(axis=0), points.max(axis=0)
    slack = _SLACK * float(np.hypot(*(high - low)))
    area = box(*low, *high)
    for window in through:
        if window is not None and not window.intersects(area):
            return "none"
    if all(w is not None and w.buffer(slack).covers(MultiPoint(points)) for w in through):
        return "whole"
    return "part"
