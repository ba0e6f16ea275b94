"""What the elements of an SVG file are for: which draw, which hold others, how each is moved and called."""

from __future__ import annotations

import re

from cutplan.files.svg.numbers import BadNumber, parse_transform, user_length
from cutplan.files.svg.style import Style
from cutplan.files.svg.tree import Node
from cutplan.files.traces import Affine
from cutplan.texts import name as named
from cutplan.texts import say

#: Elements that hold things to be used elsewhere, or nothing drawn.
SKIPPED = frozenset(
    {
        "defs",
        "clipPath",
        "mask",
        "pattern",
        "marker",
        "symbol",
        "linearGradient",
        "radialGradient",
        "filter",
        "style",
        "script",
        "title",
        "desc",
        "metadata",
        "namedview",
        "sodipodi:namedview",
        "font",
        "color-profile",
        "cursor",
        "view",
        "animate",
        "animateTransform",
        "animateMotion",
        "set",
        "solidcolor",
        "meshgradient",
        "hatch",
        "font-face",
    }
)
COUNTED = {
    "text": say("text"),
    "tspan": say("text"),
    "textPath": say("text"),
    "flowRoot": say("text"),
    "image": say("picture"),
    "foreignObject": say("foreign object"),
    "video": say("picture"),
    "audio": say("picture"),
    "iframe": say("foreign object"),
}
#: Longest name of a group that is kept [characters].
_LONGEST_NAME = 200
CONTAINERS = frozenset({"svg", "g", "a", "switch"})
#: Names that programs give to the letters of a text which they draw as shapes.
GLYPH = re.compile(r"glyph[-_]?\d|font_\d|DejaVu\w*-", re.IGNORECASE)
WHITE = frozenset({"white", "#fff", "#ffffff", "rgb(255,255,255)", "rgb(255, 255, 255)", "rgb(100%,100%,100%)"})


def moved_by(node: Node, style: Style) -> Affine:
    """Return the move of an element by its transform, stated as style or attribute."""
    transform = style.get("transform", "") or node.attrib.get("transform", "")
    if not transform:
        return Affine()
    move = parse_transform(transform)
    origin = style.get("transform-origin", "") or node.attrib.get("transform-origin", "")
    if not origin or move.is_identity:
        return move
    words = [*origin.replace(",", " ").split(), "0"][:2]
    if any("%" in w or w.isalpha() for w in words):
        raise BadNumber(
            say("the origin of its transform, '{origin}', is not given in numbers", origin=named(origin[:24]))
        )
    x, y = user_length(words[0], 0.0), user_length(words[1], 0.0)
    return Affine(e=x, f=y).after(move).after(Affine(e=-x, f=-y))


def chosen(node: Node) -> list[Node]:
    """Return the child of a switch that is shown: the first one without a condition that a program must fulfil."""
    fit = [c for c in node.children if not c.attrib.get("requiredExtensions") and c.tag not in COUNTED]
    free = [c for c in fit if "systemLanguage" not in c.attrib]
    return (free or fit)[:1]


def labels(node: Node) -> list[str]:
    """Return the names under which a group can be asked for, the best first."""
    if node.tag not in CONTAINERS:
        return []
    label = next((v for k, v in node.attrib.items() if k.endswith(":label") or k == "label"), "")
    names = [v[:_LONGEST_NAME].strip().lower() for v in (label, node.attrib.get("id", ""))]
    return [name for name in names if name]
