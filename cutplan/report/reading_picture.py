"""The picture of a reading: the plate filled, its holes named, what was left aside in another style, doubts circled.

Styles differ in width and dash as well as in colour, so that they are told apart in black and white and by every eye.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from cutplan.drawing.layout import wrap_text
from cutplan.drawing.model import Item, Page, Pen, Stroke, Text, Tie, line, moved, ring, tied
from cutplan.drawing.placer.picture import set_texts
from cutplan.files.drawing_in import Drawing
from cutplan.files.outline.account import Aside
from cutplan.findings import Finding
from cutplan.geometry.segment import arc_from_bulge
from cutplan.geometry.vector import Box, Point
from cutplan.texts import ENGLISH, Message, Reader, mm, number, plural, say, size
from cutplan.texts import name as named
from cutplan.texts.values import Listing, Place

#: Size of the picture and of its margin [mm].
_WIDE, _TALL, _EDGE = 297.0, 210.0, 8.0
#: Height of texts [mm].
_SMALL, _MIDDLE, _LARGE = 3.2, 3.8, 5.0
_CUT = Pen(0.5, "#000000")
_FILL, _HOLE = "#d5e3ef", "#ffffff"
_ASIDE = Pen(0.3, "#b45309", (2.0, 1.2))
_OPEN = Pen(0.8, "#a3195b", (0.8, 0.8))
_MARK = Pen(0.6, "#000000")
#: Radius of the ring around a doubt [mm].
_RING = 4.0
#: Most things left aside, doubts and holes that are drawn and named one by one.
_MOST_ASIDE, _MOST_DOUBTS, _MOST_NAMES = 3000, 40, 60
_WORTH = ("error", "warning")


@dataclass(frozen=True, slots=True)
class _Doubt:
    """A finding with its number in the list of all findings, and the places that it names [mm]."""

    number: int
    finding: Finding
    places: tuple[Point, ...]


def reading_picture(
    drawing: Drawing, before: Drawing | None = None, *, svg: bool = False, reader: Reader = ENGLISH
) -> bytes:
    """Return the picture of a reading as a PNG or SVG file; with ``before``, both readings beside each other."""
    page = reading_page(drawing, before, reader)
    if svg:
        from cutplan.drawing.svg import render_svg

        return render_svg(page, title=drawing.file).encode()
    from cutplan.drawing.png import render_png

    return render_png(page, 130.0)


def reading_page(drawing: Drawing, before: Drawing | None = None, reader: Reader = ENGLISH) -> Page:
    """Return the page of a reading: picture, scale bar with the unit, what the styles mean, and the doubts."""
    shown = [(drawing, say("as read"))]
    if before is not None:
        shown = [(before, say("before repair")), (drawing, say("after repair"))]
    items: list[Item] = [
        Text(
            reader(say("Reading of {file}", file=named(drawing.file))),
            Point(_EDGE, _TALL - _EDGE - 4.0),
            _LARGE,
            bold=True,
        )
    ]
    bottom = 62.0
    wide = (_WIDE - 2 * _EDGE - 6.0 * (len(shown) - 1)) / len(shown)
    for k, (read, title) in enumerate(shown):
        left = _EDGE + k * (wide + 6.0)
        room = Box(left, bottom, left + wide, _TALL - _EDGE - 14.0)
        items.append(Text(reader(title), Point(left, _TALL - _EDGE - 10.5), _MIDDLE))
        found = _doubts(read)
        items += _panel(read, found, room, reader)
        low = _EDGE if before is None else _EDGE + 6.0
        start = left if before is not None else left + 88.0
        items += _list(found, Box(start, low, left + wide, bottom - 12.0), reader)
    items += _styles(drawing, Box(_EDGE, _EDGE, _WIDE - _EDGE, bottom - 12.0), before is not None, reader)
    return Page(_WIDE, _TALL, tuple(items))


def _doubts(drawing: Drawing) -> list[_Doubt]:
    out = []
    for i, finding in enumerate(drawing.findings, 1):
        if finding.severity in _WORTH or finding.code == "gap-bridged":
            out.append(_Doubt(i, finding, tuple(_places(finding.where))[:8]))
    return out[:_MOST_DOUBTS]


def _places(value: object) -> Iterator[Point]:
    """Yield the places that a message names [mm]."""
    if isinstance(value, Place):
        yield Point(value.x_mm, value.y_mm)
    elif isinstance(value, Listing):
        for item in value.items:
            yield from _places(item)
    elif isinstance(value, Message):
        for _, item in value.values:
            yield from _places(item)


def _panel(drawing: Drawing, doubts: list[_Doubt], room: Box, reader: Reader) -> list[Item]:
    """Return one reading drawn into a room of the page, with its scale bar below."""
    box = _extent(drawing, doubts)
    if box is None:
        return [Text(reader(say("nothing to show")), room.centre, _MIDDLE, "middle")]
    inner = room.grown(-_RING)
    scale = min(inner.width / max(box.width, 1e-9), inner.height / max(box.height, 1e-9))
    dx, dy = inner.centre.x - scale * box.centre.x, inner.centre.y - scale * box.centre.y
    items = [moved(item, scale, dx, dy) for item in _shapes(drawing)]
    at = [(d, p) for d in doubts for p in _apart(Point(scale * q.x + dx, scale * q.y + dy) for q in d.places)]
    for doubt, p in at:
        items.append(ring(p, _RING, _MARK))
        items.append(tied(str(doubt.number), p, _SMALL, radius_mm=_RING, bold=True, patch="#ffffff"))
    items += [moved(item, scale, dx, dy) for item in _names(drawing, reader)]
    return [*set_texts(items, room), *_bar(drawing, scale, room, reader)]


def _apart(places: Iterable[Point]) -> list[Point]:
    """Return places on the page that need a ring each: the ends of one gap share one."""
    out: list[Point] = []
    for p in places:
        if all(p.distance(other) > 1.5 * _RING for other in out):
            out.append(p)
    return out


def _extent(drawing: Drawing, doubts: list[_Doubt]) -> Box | None:
    boxes = [part.region.box for part in drawing.parts]
    for aside in drawing.asides[:_MOST_ASIDE]:
        (x0, y0), (x1, y1) = aside.xy.min(axis=0).tolist(), aside.xy.max(axis=0).tolist()
        boxes.append(Box(x0, y0, x1, y1))
    boxes += [Box(p.x, p.y, p.x, p.y) for d in doubts for p in d.places]
    if not boxes:
        return None
    whole = boxes[0]
    for b in boxes[1:]:
        whole = whole.joined(b)
    return whole


def _shapes(drawing: Drawing) -> list[Item]:
    """Return parts, holes and what was left aside, in the drawing's own coordinates [mm]."""
    items: list[Item] = []
    for part in drawing.parts:
        items.append(Stroke(part.region.outer.segments, _CUT, _FILL, closed=True, tag="cut"))
        items += [Stroke(hole.segments, _CUT, _HOLE, closed=True, tag="cut") for hole in part.region.holes]
    items += [_aside_stroke(aside) for aside in drawing.asides[:_MOST_ASIDE]]
    return items


def _aside_stroke(aside: Aside) -> Stroke:
    points = [Point(x, y) for x, y in aside.xy.tolist()]
    pieces = zip(points, points[1:], aside.bulge.tolist(), strict=False)
    segments = tuple(arc_from_bulge(a, b, bulge) for a, b, bulge in pieces if a != b)
    open_ = aside.column == "unexplained"
    return Stroke(segments, _OPEN if open_ else _ASIDE, tag="unexplained" if open_ else "aside")


def _names(drawing: Drawing, reader: Reader) -> list[Item]:
    """Return the names of the largest part's holes with their sizes, where there is room."""
    if not drawing.parts:
        return []
    holes = sorted(drawing.parts[0].region.holes, key=lambda c: (round(c.centroid.y, 3), round(c.centroid.x, 3)))
    items: list[Item] = []
    for i, hole in enumerate(holes[:_MOST_NAMES], 1):
        circle = hole.as_circle()
        named_ = say("H{index}", index=i)
        if circle:
            named_ = say("H{index} Ø {diameter}", index=i, diameter=mm(round(2.0 * circle[1], 3), None))
        c, radius = hole.centroid, 0.5 * min(hole.box.width, hole.box.height)
        tie = Tie(c, radius, Point(0.0, -1.0), optional=True)
        items.append(Text(reader(named_), c, _SMALL, "middle", patch="#ffffff", tie=tie))
    return items


def _bar(drawing: Drawing, scale: float, room: Box, reader: Reader) -> list[Item]:
    """Return a scale bar with a round length, and the unit decided on."""
    length = 1.0
    while length * scale > 60.0:
        length /= 10.0
    while length * scale < 6.0:
        length *= 10.0
    length *= next(k for k in (5.0, 2.0, 1.0) if length * k * scale <= 60.0)
    y = room.ymin - 6.0
    a, b = Point(room.xmin, y), Point(room.xmin + length * scale, y)
    ticks = [line(Point(p.x, y - 1.2), Point(p.x, y + 1.2), _MARK) for p in (a, b)]
    unit = drawing.units
    told = say(
        "{length}; unit {unit}, {size} mm each: {reason}",
        length=mm(length, None),
        unit=named(unit.name),
        size=number(unit.mm_per_unit),
        reason=unit.reason,
    )
    lines = wrap_text(reader(told), room.width - (b.x - a.x) - 3.0, _SMALL)[:2]
    texts = [Text(t, Point(b.x + 3.0, y - 1.0 - 3.8 * k), _SMALL) for k, t in enumerate(lines)]
    return [line(a, b, _MARK), *ticks, *texts]


def _styles(drawing: Drawing, room: Box, in_a_row: bool, reader: Reader) -> list[Item]:
    """Return what the styles mean, with the lengths drawn in each; in a row below two readings."""
    items: list[Item] = []
    account = drawing.account
    rows: list[tuple[Pen, Message]] = [
        (_CUT, say("cut as outline or hole: {length}", length=mm(account.cut_mm))),
        (_ASIDE, say("left aside: {length}", length=mm(account.left_aside_mm))),
        (_OPEN, say("unexplained: {length}", length=mm(account.unexplained_mm))),
    ]
    x, y = room.xmin, room.ymin if in_a_row else room.ymax - 3.0
    for pen, text in rows:
        items += [line(Point(x, y), Point(x + 12.0, y), pen), Text(reader(text), Point(x + 14.0, y - 1.0), _SMALL)]
        x, y = (x + 92.0, y) if in_a_row else (x, y - 4.6)
    if in_a_row:
        return items
    lines: list[Message] = []
    if drawing.parts:
        box = drawing.parts[0].region.box
        over_all = size(box.width, box.height, digits=2)
        lines.append(plural("{size}, one part", "largest of {count} parts: {size}", len(drawing.parts), size=over_all))
    reasons = list(dict.fromkeys(a.reason for a in drawing.asides))
    lines += [say("aside: {reason}", reason=reason) for reason in reasons[:5]]
    for k, said in enumerate(lines):
        items.append(Text(reader(said), Point(x, y - 1.0 - 4.2 * k), _SMALL))
    return items


def _list(doubts: list[_Doubt], room: Box, reader: Reader) -> list[Item]:
    """Return the numbered doubts in a room of the page."""
    items: list[Item] = []
    y = room.ymax - 4.0
    for doubt in doubts:
        said = say("{what}: {message}", what=_SEVERITY[doubt.finding.severity], message=_message(doubt.finding.message))
        lines = wrap_text(reader(said), room.width - 8.0, _SMALL)
        if y - 4.0 * len(lines) < room.ymin - 2.0:
            items.append(Text(reader(say("more doubts: see the list of findings")), Point(room.xmin + 8.0, y), _SMALL))
            break
        items.append(Text(str(doubt.number), Point(room.xmin, y), _SMALL, bold=True))
        for text in lines:
            items.append(Text(text, Point(room.xmin + 8.0, y), _SMALL))
            y -= 4.0
    return items


def _message(text: Message | str) -> Message:
    return text if isinstance(text, Message) else say("{text}", text=named(text))


_SEVERITY = {"error": say("error"), "warning": say("warning"), "note": say("note")}
