"""How SVG elements are styled, as far as it tells what is seen: display, visibility, fill, stroke and opacity."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache

from cutplan.files.svg.tree import Node

_WATCHED = frozenset(
    {
        "display",
        "visibility",
        "fill",
        "stroke",
        "opacity",
        "fill-opacity",
        "stroke-opacity",
        "clip-path",
        "mask",
        "stroke-dasharray",
    }
)
#: Properties that place or size an element, which a rule or a style attribute may state as well as an attribute.
GEOMETRY = frozenset({"x", "y", "cx", "cy", "r", "rx", "ry", "width", "height"})
_STATED = _WATCHED | GEOMETRY | {"transform", "transform-origin"}
_INHERITED = frozenset({"visibility", "fill", "stroke", "fill-opacity", "stroke-opacity", "stroke-dasharray"})
#: Patterns are written so that no text, however odd, is gone through more than once or twice.
_RULE = re.compile(r"(?<![^{}])([^{}]++)\{([^{}]*+)\}")
_AT_RULE = re.compile(r"@([\w-]++)([^{};@]*+)([{;])")
#: Longest list of classes that is looked at [characters].
_LONGEST_CLASS = 1000
#: Longest value of a property, as all that is drawn in a group may ask for it again [characters].
_LONGEST_VALUE = 200
_HIDING = ("display", "visibility")
#: Rules about elements within others that are looked at, and how they are written.
_MOST_RELATED = 100
_RELATED = re.compile(r"[\w.#*-]+(?:(?:\s*>\s*|\s+)[\w.#*-]+){1,6}$")
_SIMPLE = re.compile(r"^([A-Za-z][\w-]*|\*)?((?:[.#][\w-]+)*)$")


@dataclass(slots=True)
class Sheet:
    """Style rules by class, id and element name, each with declarations; later and more precise ones win."""

    by_key: dict[str, dict[str, str]] = field(default_factory=dict)
    related: list[tuple[str, dict[str, str]]] = field(default_factory=list)
    by_node: dict[int, dict[str, str]] = field(default_factory=dict)
    left_out: list[str] = field(default_factory=list)

    def add(self, text: str) -> None:
        """Add the rules of a style element; what no element can be asked for is only noted."""
        text = _for_screen(re.sub("<!--|-->", " ", _without_comments(text)))
        for selectors, body in _RULE.findall(text):
            declared = declarations(body)
            if not declared:
                continue
            for selector in selectors.split(","):
                key = selector.strip()
                if _SIMPLE.match(key):
                    self.by_key.setdefault(key, {}).update(declared)
                elif _RELATED.match(key) and len(self.related) < _MOST_RELATED:
                    self.related.append((key, declared))
                elif ":" not in key and any(declared.get(k) in ("none", "hidden", "collapse") for k in _HIDING):
                    self.left_out.append(key)

    def relate(self, root: Node) -> None:
        """Find the elements that rules about descendants and children speak of."""
        if not self.related:
            return
        todo: list[tuple[Node, tuple[Node, ...]]] = [(root, ())]
        while todo:
            node, around = todo.pop()
            for key, declared in self.related:
                if _fits(_links(key), node, around):
                    self.by_node.setdefault(id(node), {}).update(declared)
            inner = (*around, node)
            todo += [(child, inner) for child in node.children]

    def of(self, node: Node) -> dict[str, str]:
        """Return the declarations that apply to an element from rules."""
        if not self.by_key:
            return self.by_node.get(id(node), {})
        out: dict[str, str] = {}
        classes = [f".{c}" for c in node.attrib.get("class", "")[:_LONGEST_CLASS].split()]
        keys = ["*", node.tag, *classes, *(node.tag + c for c in classes)]
        if "id" in node.attrib:
            keys += [f"#{node.attrib['id']}", f"{node.tag}#{node.attrib['id']}"]
        for key in keys:
            out.update(self.by_key.get(key, {}))
        out.update(self.by_node.get(id(node), {}))
        return out


@lru_cache(maxsize=256)
def _links(selector: str) -> tuple[str, ...]:
    """Return the parts of a selector, the last first, with the signs of children between them."""
    return tuple(reversed(selector.replace(">", " > ").split()))


def _fits(links: tuple[str, ...], node: Node, around: tuple[Node, ...]) -> bool:
    """Return whether an element within others (outermost first) is one that a selector speaks of."""
    if not _is(links[0], node):
        return False
    at, k = len(around) - 1, 1
    while k < len(links):
        child = links[k] == ">"
        k += child
        while at >= 0 and not _is(links[k], around[at]):
            if child:
                return False
            at -= 1
        if at < 0:
            return False
        at, k = at - 1, k + 1
    return True


def _is(simple: str, node: Node) -> bool:
    """Return whether an element has the name, classes and id of a simple selector."""
    found = _SIMPLE.match(simple)
    if found is None or (found.group(1) not in (None, "*") and found.group(1) != node.tag):
        return False
    marks = re.findall(r"[.#][\w-]+", found.group(2))
    classes = node.attrib.get("class", "")[:_LONGEST_CLASS].split()
    return all(m[1:] in classes if m[0] == "." else m[1:] == node.attrib.get("id") for m in marks)


def _without_comments(text: str) -> str:
    """Return style rules without what stands between comment marks."""
    first, *rest = text.split("/*")
    out, inside = [first], False
    for piece in rest:
        _, mark, after = piece.partition("*/")
        if inside and not mark:
            continue
        inside = not mark
        out.append(after)
    return " ".join(out)


def _for_screen(text: str) -> str:
    """Return style rules with those in blocks for other media, and at-rules of other kinds, taken out."""
    out: list[str] = []
    at = 0
    for match in _AT_RULE.finditer(text):
        if match.start() < at:
            continue
        out.append(text[at : match.start()])
        if match.group(3) == ";":
            at = match.end()
            continue
        depth, end = 1, match.end()
        while end < len(text) and depth:
            depth += {"{": 1, "}": -1}.get(text[end], 0)
            end += 1
        words = match.group(2).lower()
        if match.group(1).lower() == "media" and ("print" not in words or "screen" in words or "all" in words):
            out.append(text[match.end() : end - 1])
        at = end
    out.append(text[at:])
    return "".join(out)


def declarations(text: str) -> dict[str, str]:
    """Return the watched properties of a list of declarations."""
    out: dict[str, str] = {}
    for item in text.split(";"):
        name, colon, value = item.partition(":")
        name = name.strip().lower()
        if colon and name in _STATED:
            out[name] = value[:_LONGEST_VALUE].replace("!important", "").strip().lower()
    return out


@dataclass(frozen=True, slots=True)
class Style:
    """The style an element ends up with."""

    values: Mapping[str, str] = field(default_factory=dict)

    def get(self, name: str, default: str) -> str:
        return self.values.get(name, default)

    @property
    def hidden(self) -> bool:
        """Whether the element and all in it is not shown."""
        return self.get("display", "") == "none" or _zero(self.get("opacity", "1"))

    @property
    def visible(self) -> bool:
        return self.get("visibility", "visible") not in ("hidden", "collapse")

    @property
    def filled(self) -> bool:
        return _paints(self.get("fill", "black")) and not _zero(self.get("fill-opacity", "1"))

    @property
    def stroked(self) -> bool:
        return _paints(self.get("stroke", "none")) and not _zero(self.get("stroke-opacity", "1"))

    @property
    def dashed(self) -> bool:
        """Whether the line is drawn dashed."""
        numbers = [n for n in re.split(r"[\s,]+", self.get("stroke-dasharray", "none")) if n]
        return self.stroked and numbers not in ([], ["none"], ["null"]) and not all(_zero(n) for n in numbers)


def style_of(node: Node, parent: Style, sheet: Sheet) -> Style:
    """Return an element's style from its parent's, the rules, its attributes and its style attribute."""
    values = {k: v for k, v in parent.values.items() if k in _INHERITED}
    values.update({k: v[:_LONGEST_VALUE].strip().lower() for k, v in node.attrib.items() if k in _WATCHED})
    values.update(sheet.of(node))
    values.update(declarations(node.attrib.get("style", "")))
    for name in [k for k, v in values.items() if v == "inherit"]:
        if name in parent.values:
            values[name] = parent.values[name]
        else:
            del values[name]
    return Style(values)


def _paints(value: str) -> bool:
    return value not in ("none", "transparent", "")


def _zero(value: str) -> bool:
    try:
        return float(value.rstrip("%")) == 0.0
    except ValueError:
        return False
