"""An SVG file as traces: shapes seen on the page, with groups, symbols and uses expanded."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

import numpy as np

from cutplan.errors import LimitError
from cutplan.files.drawing_units import SvgScale
from cutplan.files.layer_words import beside_the_plate
from cutplan.files.limits import MAX_BYTES, MAX_ENTITIES, MAX_LISTED, MAX_TRANSFORMS, MAX_USES, MAX_VERTICES
from cutplan.files.svg.clips import seen, windows
from cutplan.files.svg.elements import CONTAINERS, COUNTED, GLYPH, SKIPPED, WHITE, chosen, labels, moved_by
from cutplan.files.svg.notes import clipped, left_out, stretched, unpainted, unreadable
from cutplan.files.svg.numbers import BadNumber, fit_view, user_length, view_box
from cutplan.files.svg.scale import scale_of
from cutplan.files.svg.shapes import SHAPES
from cutplan.files.svg.style import GEOMETRY, Sheet, Style, declarations, style_of
from cutplan.files.svg.tree import Node, looks_like_svg, parse_svg
from cutplan.files.traces import Affine, Bulged, Cubics, Trace
from cutplan.files.where import Where
from cutplan.findings import Finding
from cutplan.texts import Message, code, say
from cutplan.texts import name as named

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

__all__ = ["SvgContent", "looks_like_svg", "read_svg"]

_DEEPEST_USE = 16
#: Why shapes that are there are not cut.
_PAGE = say("white page behind the drawing")
_UNPAINTED = say("shape without line and fill")
_HIDDEN = say("hidden element")
_NOT_ASKED = say("element on layers not asked for")
_CLIPPED = say("outside of its clip or mask")


@dataclass(slots=True)
class SvgContent:
    """What an SVG file draws, in user units with the y axis up."""

    scale: SvgScale
    traces: list[Trace] = field(default_factory=list)
    findings: list[Finding] = field(default_factory=list)
    left_aside: Counter[Message] = field(default_factory=Counter)
    text_places: list[tuple[float, float]] = field(default_factory=list)
    other_layers: dict[str, None] = field(default_factory=dict)
    paints: dict[Where, str] = field(default_factory=dict)
    backs: set[Where] = field(default_factory=set)


@dataclass(frozen=True, slots=True)
class _Place:
    """Where elements are drawn: move, style, layers around, the size percentages refer to, uses entered, windows, why hidden."""

    move: Affine
    style: Style
    layers: tuple[str, ...]
    width: float
    height: float
    uses: tuple[str, ...] = ()
    clips: tuple[BaseGeometry | None, ...] = ()
    hidden: Message = Message("")


def read_svg(data: bytes, wanted: frozenset[str] | None = None) -> SvgContent:
    """Return what an SVG file shows.

    Parameters
    ----------
    data : bytes
        The file.
    wanted : set of str, optional
        Lower-case labels or ids of the only groups to read, hidden or not.

    Raises
    ------
    DrawingError, LimitError
        As :func:`cutplan.files.svg.tree.parse_svg`.
    """
    document = parse_svg(data)
    for name, value in declarations(document.root.attrib.get("style", "")).items():
        if name in ("width", "height") and name not in document.root.attrib and not value.endswith(("%", "auto")):
            document.root.attrib[name] = value
    try:
        scale, stretch = scale_of(document)
        box = view_box(document.root.attrib.get("viewBox"))
    except BadNumber as fault:
        from cutplan.errors import DrawingError

        raise DrawingError(
            say("the size of the page makes no sense: {fault}", fault=fault.why),
            say("{keys}", keys=code("width, height, viewBox")),
        ) from None
    reader = _Reader(document.root, wanted, SvgContent(scale))
    width, height = (box[2], box[3]) if box else _page(document.root)
    top = (box[1] if box else 0.0) + height
    flip = Affine(1.0, 0.0, 0.0, -stretch, 0.0, top * stretch)
    if stretch != 1.0:
        reader.out.findings.append(stretched(stretch))
    reader.page = (width, height * stretch)
    root = document.root
    place = _Place(flip, style_of(root, Style(), reader.sheet), (), width, height)
    try:
        place = _Place(flip.after(moved_by(root, place.style)), place.style, (), width, height)
    except BadNumber as fault:
        reader.fault(root, fault.why)
    reader.children(root, place)
    reader.finish()
    return reader.out


def _page(root: Node) -> tuple[float, float]:
    """Return the page in user units when there is no viewBox; 300 x 150 where nothing is stated, as browsers do."""
    try:
        return user_length(root.attrib.get("width"), 300.0, 300.0), user_length(root.attrib.get("height"), 150.0, 150.0)
    except BadNumber:
        return 300.0, 150.0


class _Reader:
    """Walks the elements and collects traces."""

    def __init__(self, root: Node, wanted: frozenset[str] | None, out: SvgContent) -> None:
        self.out = out
        self.wanted = wanted
        self.sheet = Sheet()
        self.by_id: dict[str, Node] = {}
        self.drawn = 0
        self.uses = 0
        self.moves = 0
        self.letters = 0
        self.vertices = 0
        self.faults = 0
        self.unpainted: list[Trace] = []
        self.clipped = 0
        self.shown = 0
        self.page = (np.inf, np.inf)
        self.background: list[Trace] = []
        todo = [root]
        while todo:
            node = todo.pop()
            if node.tag == "style":
                self.sheet.add(node.text)
            key = node.attrib.get("id")
            if key and key not in self.by_id:
                self.by_id[key] = node
            todo.extend(reversed(node.children))
        self.sheet.relate(root)

    def children(self, node: Node, place: _Place) -> None:
        for child in node.children:
            self.element(child, place)

    def element(self, node: Node, place: _Place) -> None:
        """Draw one element and what is in it."""
        tag = node.tag
        self.drawn += 1
        if self.drawn > MAX_ENTITIES:
            raise LimitError(
                say(
                    "the drawing holds more than {max_entities} elements with its uses expanded",
                    max_entities=MAX_ENTITIES,
                ),
                say("line {line}", line=node.line),
                say("keep only the layer of the plate"),
            )
        self.letters += sum(map(len, node.attrib.values()))
        if self.letters > MAX_BYTES:
            raise LimitError(
                say("elements used again hold more than {max_bytes} characters", max_bytes=MAX_BYTES),
                say("line {line}", line=node.line),
                say("export it again"),
            )
        if tag in SKIPPED or ":" in tag:
            return
        if tag in COUNTED:
            self._text(node, place)
            return
        shape = SHAPES.get(tag)
        if shape is None and tag not in CONTAINERS and tag != "use":
            self.out.left_aside[say("unknown element {kind}", kind=named(tag[:24]))] += 1
            return
        style = style_of(node, place.style, self.sheet)
        if style.hidden and self.wanted is None and not place.hidden:
            place = replace(place, hidden=_HIDDEN)
        try:
            self.moves += len(node.attrib.get("transform", ""))
            if self.moves > MAX_TRANSFORMS:
                raise LimitError(
                    say("the transforms have more than {max_transforms} characters", max_transforms=MAX_TRANSFORMS),
                    say("line {line}", line=node.line),
                )
            move = place.move.after(moved_by(node, style))
            layers = place.layers + tuple(labels(node))
            clips = (*place.clips, *windows(node, style, self.by_id, self.sheet, move))
            here = replace(place, move=move, style=style, layers=layers, clips=clips)
            if shape is not None:
                self._shape(node, here, shape)
            else:
                self._inner(node, here)
        except BadNumber as fault:
            if not place.hidden:
                self.fault(node, fault.why)

    def _inner(self, node: Node, place: _Place) -> None:
        """Draw what an element holds or uses."""
        if node.tag == "use":
            self._use(node, place)
        elif node.tag == "svg":
            self.children(node, self._viewport(node, place, node.attrib.get("width"), node.attrib.get("height")))
        elif node.tag == "switch":
            for child in chosen(node):
                self.element(child, place)
        else:
            self.children(node, place)

    def _viewport(self, node: Node, place: _Place, width: str | None, height: str | None) -> _Place:
        """Return the place inside a nested svg or a used symbol."""
        x = user_length(node.attrib.get("x"), place.width) if node.tag == "svg" else 0.0
        y = user_length(node.attrib.get("y"), place.height) if node.tag == "svg" else 0.0
        w, h = user_length(width, place.width, place.width), user_length(height, place.height, place.height)
        move = place.move.after(Affine(e=x, f=y))
        box = view_box(node.attrib.get("viewBox"))
        if box is not None and w > 0.0 and h > 0.0:
            move = move.after(fit_view(box, w, h, node.attrib.get("preserveAspectRatio", "")))
            w, h = box[2], box[3]
        return replace(place, move=move, width=w, height=h)

    def _use(self, node: Node, place: _Place) -> None:
        """Draw the element that a use refers to."""
        self.uses += 1
        if self.uses > MAX_USES:
            raise LimitError(
                say("the drawing uses elements more than {max_uses} times", max_uses=MAX_USES),
                say("line {line}", line=node.line),
            )
        href = next((v for k, v in node.attrib.items() if k == "href" or k.endswith(":href")), "").strip()
        if place.hidden and (not href.startswith("#") or href[1:] not in self.by_id or href[1:] in place.uses):
            return
        if not href.startswith("#"):
            self.fault(node, say("it uses something outside the file") if href else say("it does not say what it uses"))
            return
        key = href[1:]
        if GLYPH.match(key):
            self.out.left_aside[say("text")] += 1
            return
        target = self.by_id.get(key)
        if target is None:
            self.fault(node, say("what it uses ('{element}') is not in the file", element=named(key[:40])))
            return
        if key in place.uses:
            self.fault(node, say("'{element}' uses itself", element=named(key[:40])))
            return
        if len(place.uses) >= _DEEPEST_USE:
            raise LimitError(
                say("uses are nested deeper than {deepest_use}", deepest_use=_DEEPEST_USE),
                say("line {line}", line=node.line),
            )
        x, y = user_length(node.attrib.get("x"), place.width), user_length(node.attrib.get("y"), place.height)
        move = place.move.after(Affine(e=x, f=y))
        inner = replace(place, move=move, uses=(*place.uses, key))
        if target.tag == "symbol":
            style = style_of(target, place.style, self.sheet)
            framed = replace(inner, style=style)
            self.children(target, self._viewport(target, framed, node.attrib.get("width"), node.attrib.get("height")))
        else:
            self.element(target, inner)

    def _shape(
        self, node: Node, place: _Place, shape: Callable[[Node, float, float], tuple[list[Trace], Message]]
    ) -> None:
        style = place.style
        unseen = place.hidden
        if self.wanted is not None and not self.wanted.intersection(place.layers):
            unseen = _NOT_ASKED
            self.out.other_layers.update(dict.fromkeys(place.layers))
        elif not style.visible and self.wanted is None:
            unseen = unseen or _HIDDEN
        stated = {k: v for k, v in style.values.items() if k in GEOMETRY}
        if stated:
            node = Node(node.tag, node.attrib | stated, node.line)
        traces, fault = shape(node, place.width, place.height)
        if fault and not unseen:
            self.fault(node, fault)
        name = node.attrib.get("id", "")
        where = Where(f"{node.tag} {name[:40]}" if name else node.tag, node.line, self.drawn)  # no two are alike
        layer = place.layers[0] if place.layers else ""
        beside = Message("")
        if self.wanted is None:
            beside = beside_the_plate(layer, "DASHED" if style.dashed and not style.filled else "")
        for trace in traces:
            made = Trace(where, layer, trace.runs, trace.closed, style.filled, beside).moved(place.move)
            self._count(made)
            if not all(np.isfinite(run.extent()).all() for run in made.runs):
                if not unseen:
                    self.fault(node, say("its place is beyond any drawing"))
                return
            self._take(node, made, place, unseen)

    def _count(self, made: Trace) -> None:
        """Stop at a drawing of too many vertices."""
        self.vertices += sum(
            len(r.xy) if isinstance(r, Bulged) else 4 * len(r.ctrl) if isinstance(r, Cubics) else 8 for r in made.runs
        )
        if self.vertices > MAX_VERTICES:
            raise LimitError(
                say("the drawing holds more than {max_vertices} vertices", max_vertices=MAX_VERTICES), made.where.said()
            )

    def _take(self, node: Node, made: Trace, place: _Place, unseen: Message) -> None:
        """Put a trace where it belongs: seen, hidden, behind all, or not painted."""
        style = place.style
        if not unseen and place.clips and self.wanted is None:
            much = seen(made, list(place.clips))
            self.clipped += much == "part"
            unseen = _CLIPPED if much == "none" else unseen
        if unseen:
            self.out.left_aside[unseen] += 1
            self.out.traces.append(replace(made, beside=unseen, never=True))
            return
        if style.filled and not style.stroked and style.get("fill", ""):
            self.out.paints[made.where] = style.get("fill", "")
        if self._is_background(made, style):
            if style.get("fill", "") in WHITE:
                self.background.append(made)
                return
            self.out.backs.add(made.where)
        if style.filled or style.stroked or self.wanted is not None:
            self.shown += 1
            self.out.traces.append(made)
        else:
            self.unpainted.append(made)

    def _is_background(self, trace: Trace, style: Style) -> bool:
        """Return whether a shape is a painted sheet as large as the page: white, or any colour behind all others."""
        paint = style.get("fill", "")
        if self.wanted is not None or style.stroked or not style.filled or (paint not in WHITE and self.shown):
            return False
        low, high = (
            np.vstack([r.extent().min(axis=0) for r in trace.runs]),
            np.vstack([r.extent().max(axis=0) for r in trace.runs]),
        )
        width, height = (high.max(axis=0) - low.min(axis=0)).tolist()
        return bool(width >= 0.999 * self.page[0] and height >= 0.999 * self.page[1])

    def _text(self, node: Node, place: _Place) -> None:
        if place.hidden:
            self.out.left_aside[_HIDDEN] += 1
            return
        self.out.left_aside[COUNTED[node.tag]] += 1
        try:
            x, y = user_length(node.attrib.get("x", "0").split(",")[0].split()[0], place.width), 0.0
            y = user_length(node.attrib.get("y", "0").split(",")[0].split()[0], place.height)
            m = place.move
            self.out.text_places.append((m.a * x + m.c * y + m.e, m.b * x + m.d * y + m.f))
        except (BadNumber, IndexError):
            pass

    def fault(self, node: Node, why: Message) -> None:
        """Note that an element cannot be drawn as written."""
        self.faults += 1
        if self.faults <= MAX_LISTED:
            self.out.findings.append(unreadable(node, why))

    def finish(self) -> None:
        """Turn counts into findings; take unpainted shapes when nothing else is drawn."""
        out = self.out
        if self.background and self.shown:
            out.left_aside[_PAGE] += len(self.background)
            out.traces += [replace(t, beside=_PAGE, never=True) for t in self.background]
        else:
            out.traces += self.background
        if self.unpainted and not self.shown and not self.background:
            out.traces += self.unpainted
            out.findings.append(unpainted())
        elif self.unpainted:
            out.left_aside[_UNPAINTED] += len(self.unpainted)
            out.traces += [replace(t, beside=_UNPAINTED, never=True) for t in self.unpainted]
        out.findings += left_out(self.sheet.left_out, self.wanted is not None) + clipped(self.clipped)
