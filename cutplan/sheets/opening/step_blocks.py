"""One step of the opening on the sheet: picture left, box to tick and words right; what is said often is said once, before."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import TYPE_CHECKING

from cutplan.drawing.layout import frame, paragraph, wrap_text
from cutplan.drawing.model import Figure, Page, Pen, moved
from cutplan.drawing.recorder import overlaps
from cutplan.geometry.vector import Box
from cutplan.report.figure import figure_page
from cutplan.sheets.page import CELL, SMALL, Builder
from cutplan.texts import say

if TYPE_CHECKING:
    from cutplan.opening.model import Step

#: Widths of a step's picture, the first that its texts allow; gap to its words, size of its title and text, and air between paragraphs and steps [mm].
PICTURES_MM, _GAP, _TITLE, _TEXT, _AIR, _BETWEEN = (56.0, 62.0, 74.0, 86.0), 4.0, 4.0, 3.45, 0.6, 1.6
#: More names than this have a larger picture: they are found on it at a glance; which of the widths it begins with.
_MANY_NAMES, _LARGER = 6, 2
#: Air round a picture in its frame [mm].
_EDGE_MM = 1.0
#: What stands in at least so many steps is said once for all.
_OFTEN = 3


def said_often(b: Builder, steps: Sequence[Step]) -> tuple[str, ...]:
    """Return the sentences that several steps share, in the order of their first step."""
    counts = Counter(t for s in steps for t in dict.fromkeys(b.read(t) for t in s.text))
    return tuple(t for t, n in counts.items() if n >= _OFTEN)


def often_box(b: Builder, often: Sequence[str]) -> None:
    """Write what holds for every section, before the first of these steps."""
    if often:
        b.box(" ".join((b.say(say("For every section, unless its step says otherwise:")), *often)), CELL, bold=True)


def step_block(b: Builder, step: Step, figure: Figure, often: Sequence[str]) -> None:
    """Write one step whole; what holds what stands under the shorter of picture and words."""
    page = _picture(figure, b.lang, _names(step))
    x = b.left + page.width_mm + _GAP
    room = b.right - x
    title = f"{step.number}. {b.read(step.title)}"
    said, held = [t for t in map(b.read, step.text) if t not in often], [b.read(t) for t in step.holds]
    words = max(_height((title,), room - 8.0, _TITLE, bold=True), 6.0) + 0.8 + _height(said, room, _TEXT)
    under = page.height_mm + 1.5
    left, right = _height(held, page.width_mm, SMALL), _height(held, room, SMALL)
    below = max(under + left, words) < max(under, words + right)
    tall = max(under + left, words) if below else max(under, words + right)
    b.need(tall)
    top = b.y
    box = Box(b.left, top - page.height_mm, b.left + page.width_mm, top)
    b.add(*(moved(i, 1.0, box.xmin, box.ymin) for i in page.items))
    b.add(frame(box, Pen(0.25, "#888888"), "picture"))
    b.add(frame(Box(x, top - 5.5, x + 5.5, top), Pen(0.5), "tick"))
    text, y = paragraph(title, x + 8.0, top, room - 8.0, _TITLE, bold=True, tag="step-title")
    b.add(*text)
    y = _written(b, said, x, min(y - _AIR, top - 6.0) - 0.8, room, _TEXT)
    if below:
        _written(b, held, b.left, top - under, page.width_mm, SMALL)
    else:
        _written(b, held, x, y, room, SMALL)
    b.y = top - tall - _BETWEEN


def _names(step: Step) -> int:
    """How many things a step's picture names [1]."""
    return len(step.cuts) + len(step.drills) + len(step.parts) + len(step.leave)


def _picture(figure: Figure, lang: str, names: int) -> Page:
    """The picture as small as its texts allow: where they would meet, or are many, it is larger."""
    for width in PICTURES_MM[_LARGER if names > _MANY_NAMES else 0 : -1]:
        page = figure_page(figure, width, lang=lang, edge_mm=_EDGE_MM)
        if not any(c.kind == "text on text" for c in overlaps(page, margin_mm=0.0, clear_of=(), smallest_mm=0.0)):
            return page
    return figure_page(figure, PICTURES_MM[-1], lang=lang, edge_mm=_EDGE_MM)


def _height(texts: Sequence[str], width_mm: float, size: float, *, bold: bool = False) -> float:
    """Height of texts one below the other [mm]."""
    return sum(1.3 * size * len(wrap_text(t, width_mm, size, bold=bold)) + _AIR for t in texts)


def _written(b: Builder, texts: Sequence[str], x: float, y: float, width_mm: float, size: float) -> float:
    """Write texts one below the other and return where they end [mm]."""
    for t in texts:
        items, y = paragraph(t, x, y, width_mm, size)
        b.add(*items)
        y -= _AIR
    return y
