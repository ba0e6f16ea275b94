"""The sheets that are printed: strips to cut out with rulers, and a page that tells how to lay them and photograph."""

from __future__ import annotations

from math import floor

from cutplan.drawing.layout import frame, paragraph
from cutplan.drawing.model import Item, Page, Pen, Stroke, Text, line, outline, ring
from cutplan.geometry.contour import polygon, rectangle
from cutplan.geometry.segment import Line
from cutplan.geometry.vector import Box, Point
from cutplan.photo.marking.marks import (
    COLUMNS,
    DOT_MM,
    HOLLOW_MM,
    LENGTH_MM,
    LETTERS,
    ROWS,
    WIDTH_MM,
    cross_places,
    dot_places,
    words,
)
from cutplan.tables.paper import MARGIN_MM, SHEETS
from cutplan.texts import Message, Reader, code, number, say

#: Strips that are printed: enough for a card of a metre.
PRINTED = 10
_INK = "#000000"
_THIN, _CUT = Pen(0.2), Pen(0.15, "#999999")
_READ_MM = 4.2
_HEAD_MM = 16.0
_RULER_MM = 12.0


def marks_pages(paper: str, read: Reader) -> tuple[Page, ...]:
    """Return the instructions and the sheets of strips for a paper size.

    Parameters
    ----------
    paper : str
        Name of the paper, as in :data:`cutplan.tables.paper.SHEETS`.
    read : Reader
        Who reads.
    """
    sheet = SHEETS[paper]
    rows = max(1, floor((sheet.height_mm - 2 * MARGIN_MM - _HEAD_MM - _RULER_MM) / WIDTH_MM))
    columns = max(1, floor((sheet.width_mm - 2 * MARGIN_MM) / LENGTH_MM))
    each = rows * columns
    pages = [_instructions(sheet.width_mm, sheet.height_mm, read)]
    for first in range(0, PRINTED, each):
        pages.append(
            _strips_page(sheet.width_mm, sheet.height_mm, range(first, min(first + each, PRINTED)), columns, read)
        )
    return tuple(pages)


def _strips_page(width: float, height: float, strips: range, columns: int, read: Reader) -> Page:
    items: list[Item] = []
    top = height - MARGIN_MM
    text, _ = paragraph(
        read(
            say(
                "Print at 100 %, never “fit to page”. Cut along the grey lines. Solid and hollow dots spell the letter."
            )
        ),
        MARGIN_MM,
        top,
        width - 2 * MARGIN_MM,
        _READ_MM,
        bold=True,
    )
    items += text
    left = 0.5 * (width - columns * LENGTH_MM)
    for place, strip in enumerate(strips):
        x = left + (place % columns + 0.5) * LENGTH_MM
        y = top - _HEAD_MM + 4.0 - (place // columns + 0.5) * WIDTH_MM
        items += strip_items(strip, x, y)
    room = 10.0 * floor((width - 2 * MARGIN_MM - 2.0) / 10.0)
    items += _ruler(Point(0.5 * (width - room), MARGIN_MM + 1.0), room, False)
    tall = 10.0 * floor((height - 2 * MARGIN_MM - _HEAD_MM - 14.0) / 10.0)
    items += _ruler(Point(max(left - 2.2, 6.0), MARGIN_MM + 10.0), tall, True)
    letters = f"{LETTERS[strips[0]]}-{LETTERS[strips[-1]]}"
    label = read(say("strips {letters}", letters=code(letters)))
    return Page(width, height, tuple(items), label, label)


def strip_items(strip: int, x_mm: float, y_mm: float) -> list[Item]:
    """Return one strip about its middle.

    Parameters
    ----------
    strip : int
        Its number.
    x_mm, y_mm : float
        Its middle on the page [mm].
    """
    box = rectangle(x_mm - 0.5 * LENGTH_MM, y_mm - 0.5 * WIDTH_MM, LENGTH_MM, WIDTH_MM)
    items: list[Item] = [outline(box, _CUT, tag="cut")]
    places, word = dot_places(), words()[strip]
    for r in range(ROWS):
        for c in range(COLUMNS):
            at = Point(x_mm + float(places[r, c, 0]), y_mm + float(places[r, c, 1]))
            items.append(Stroke(ring(at, 0.5 * DOT_MM).segments, None, _INK, True, "dot"))
            if not word[r, c]:
                items.append(Stroke(ring(at, 0.5 * HOLLOW_MM).segments, None, "#ffffff", True, "hollow"))
    for n, (cx, cy) in enumerate(cross_places().tolist(), 1):
        at = Point(x_mm + cx, y_mm + cy)
        items += [
            line((at.x - 4.0, at.y), (at.x + 4.0, at.y), _THIN, "cross"),
            line((at.x, at.y - 4.0), (at.x, at.y + 4.0), _THIN, "cross"),
        ]
        items.append(
            Text(f"{LETTERS[strip]}{n}", Point(at.x, at.y + 10.5), 7.0, "middle", colour="#808080", tag="letter")
        )
    return items


def _ruler(start: Point, length: float, upward: bool) -> list[Item]:
    ticks = []
    texts: list[Item] = []
    for mm in range(0, int(length) + 1):
        size = 3.5 if mm % 10 == 0 else 2.4 if mm % 5 == 0 else 1.4
        a = Point(start.x, start.y + mm) if upward else Point(start.x + mm, start.y)
        b = Point(a.x - size, a.y) if upward else Point(a.x, a.y + size)
        ticks.append(Line(a, b))
        if mm % 50 == 0:
            at = Point(a.x - 0.6, a.y + 1.0) if upward else Point(a.x + 0.8, a.y + 3.2)
            said = f"{mm} mm" if mm else "0"
            texts.append(
                Text(
                    said,
                    Point(at.x - 2.6, at.y) if upward else at,
                    3.0,
                    angle_deg=90.0 if upward else 0.0,
                    tag="ruler figure",
                )
            )
    return [Stroke(tuple(ticks), Pen(0.15), tag="ruler"), *texts]


def _instructions(width: float, height: float, read: Reader) -> Page:
    left, wide = MARGIN_MM + 5.0, width - 2 * MARGIN_MM - 10.0
    items: list[Item] = []
    text, y = paragraph(
        read(say("From a cardboard template to an exact plate: how to photograph it")),
        left,
        height - MARGIN_MM - 2.0,
        wide,
        6.5,
        bold=True,
    )
    items += text
    plan = Box(left, y - 92.0, left + 0.6 * wide, y - 4.0)
    side = Box(plan.xmax + 4.0, plan.ymin, left + wide, plan.ymax)
    items += [frame(plan, Pen(0.2)), frame(side, Pen(0.2)), *_plan(plan, read), *_side(side, read)]
    y = plan.ymin - 6.0
    for n, step in enumerate(_steps(), 1):
        text, y = paragraph(f"{n}  {read(step)}", left, y, wide, _READ_MM)
        items += text
        y -= 1.4
    text, y = paragraph(
        read(
            say(
                "On a flatbed scanner: stick at least two strips on the card itself, clear of its edges and holes, scan at 300 "
                "dots per inch and add {option}. A card larger than the glass takes several scans that share two strips.",
                option=code("--scan"),
            )
        ),
        left,
        y - 1.0,
        wide,
        _READ_MM,
    )
    items += text
    caution, y = paragraph(
        read(
            say(
                "Work on a vehicle's structure can kill. A traced plate is as good as the card it was traced from: check it "
                "against the vehicle, and follow the vehicle maker, local codes and licensed practice."
            )
        ),
        left,
        y - 2.5,
        wide,
        3.6,
    )
    items += caution
    title = read(say("how to photograph the card"))
    return Page(width, height, tuple(items), title, title)


def _steps() -> tuple[Message, ...]:
    """What to do, in order."""
    return (
        say("Print the strips at 100 % on plain paper and cut them out along the grey lines."),
        say(
            "Lay the card flat on a matte sheet of one colour that differs clearly from it: dark under brown cardboard. A dark "
            "sheet hides shadows. Cut fluffs off the card's edges first."
        ),
        say(
            "Stick six or more strips round the card with tape under them, flat on the same sheet, a thumb's width from the "
            "card. They need no known place and no right angle to each other. Nothing may move from now on."
        ),
        say(
            "Measure one long distance between the crosses of two strips with a caliper or a steel rule, such as from {a} to "
            "{b}, to {error} or better, and write it down. Two or three are better.",
            a=code("A1"),
            b=code("D2"),
            error=number(0.2, "mm", 1),
        ),
        say("Measure the thickness of the card with a caliper."),
        say(
            "Take four photographs at one zoom, from four sides, each tilted by about 15 degrees: the whole card and at least "
            "four whole strips in every picture, sharp, no flash. Do not crop or turn the files."
        ),
        say(
            "Then: {command}",
            command=code("cutplan trace 1.jpg 2.jpg 3.jpg 4.jpg --thickness 3 --known A1-D2=295.4 -o plate.dxf"),
        ),
        say(
            "Look at the picture of the outline found, count the holes, and say the number. Never cut from an outline that "
            "nobody looked at."
        ),
    )


def _plan(box: Box, read: Reader) -> list[Item]:
    """The card with strips round it, seen from above, with the four cameras."""
    c = box.centre
    sheet = box.grown(-9.0)
    items: list[Item] = [
        Stroke(
            rectangle(sheet.xmin, sheet.ymin, sheet.width, sheet.height).segments, Pen(0.2), "#d8d8d8", True, "sheet"
        )
    ]
    card = polygon(
        [(c.x - 24, c.y - 13), (c.x + 24, c.y - 13), (c.x + 24, c.y + 6), (c.x + 14, c.y + 13), (c.x - 24, c.y + 13)]
    )
    items.append(Stroke(card.segments, Pen(0.35), "#c9a06c", True, "card"))
    for x, y, r in ((-17, -7, 2.0), (16, -6, 2.0), (0, 2, 5.0)):
        items.append(ring(Point(c.x + x, c.y + y), r, Pen(0.3), "#d8d8d8"))
    places = ((-14, 21, 2.0), (15, 22, -3.0), (34, 6, 92.0), (14, -21, 4.0), (-16, -22, -2.0), (-34, -2, 86.0))
    crosses = []
    for n, (x, y, angle) in enumerate(places):
        at = Point(c.x + x, c.y + y)
        strip = rectangle(-12.0, -3.2, 24.0, 6.4).turned(angle * 0.0174533).moved(at.x, at.y)
        items.append(Stroke(strip.segments, Pen(0.2), "#ffffff", True, "strip"))
        items.append(Text(LETTERS[n], Point(at.x, at.y - 1.3), 4.2, "middle", tag="letter"))
        way = Point(9.8, 0.0).turned(angle * 0.0174533)
        crosses.append((at.minus(way), at.plus(way)))
    a, b = crosses[0][0], crosses[3][1]
    items.append(Stroke((Line(a, b),), Pen(0.35, "#0050b0", (2.0, 1.0)), tag="measured"))
    for p in (a, b):
        items.append(ring(p, 0.9, Pen(0.3, "#0050b0")))
    for angle in (45.0, 135.0, 225.0, 315.0):
        way = Point(1.0, 0.0).turned(angle * 0.0174533)
        reach = 4.5
        corner = Point(sheet.xmax if way.x > 0 else sheet.xmin, sheet.ymax if way.y > 0 else sheet.ymin)
        items += _camera(
            Point(corner.x - reach * (1 if way.x > 0 else -1), corner.y - reach * (1 if way.y > 0 else -1))
        )
    items.append(Text(read(say("from above")), Point(box.xmin + 2.0, box.ymax - 5.0), 3.6, tag="caption"))
    items.append(
        Text(
            read(say("blue: measured from {a} to {b}", a=code("A1"), b=code("D2"))),
            Point(box.xmin + 2.0, box.ymin + 2.5),
            3.6,
            colour="#0050b0",
            tag="caption",
        )
    )
    return items


def _camera(at: Point) -> list[Item]:
    return [
        Stroke(rectangle(at.x - 3.0, at.y - 2.0, 6.0, 4.0, 0.6).segments, Pen(0.3), "#ffffff", True, "camera"),
        ring(at, 1.2, Pen(0.3)),
    ]


def _side(box: Box, read: Reader) -> list[Item]:
    """The camera's tilt, seen from the side."""
    c = box.centre
    ground = box.ymin + 16.0
    items: list[Item] = [
        Stroke(rectangle(box.xmin + 5.0, ground - 1.0, box.width - 10.0, 1.0).segments, None, "#707070", True, "sheet"),
        Stroke(rectangle(c.x - 14.0, ground, 28.0, 2.0).segments, Pen(0.25), "#c9a06c", True, "card"),
    ]
    foot = Point(c.x, ground + 2.0)
    high = box.height - 34.0
    for side in (-1.0, 1.0):
        eye = Point(c.x + side * high * 0.268, foot.y + high)
        for reach in (-20.0, 20.0):
            items.append(line(eye, (c.x + reach, ground), Pen(0.15, "#808080", (1.0, 1.0)), "view"))
        items += _camera(eye)
    items += [
        line(foot, (c.x, foot.y + high), Pen(0.2, "#000000", (3.0, 1.5)), "upright"),
        line(foot, (c.x + high * 0.268, foot.y + high - 2.5), Pen(0.25), "tilt"),
    ]
    items.append(Text("15°", Point(c.x + 2.0, foot.y + 0.72 * high), 4.0, tag="angle"))
    items.append(Text(read(say("from the side")), Point(box.xmin + 2.0, box.ymax - 5.0), 3.6, tag="caption"))
    items.append(
        Text(read(say("card and strips on one flat sheet")), Point(c.x, box.ymin + 4.0), 3.4, "middle", tag="caption")
    )
    return items


__all__ = ["PRINTED", "marks_pages", "strip_items"]
