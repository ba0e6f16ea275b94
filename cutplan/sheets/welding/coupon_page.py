"""The page of the trial weld: the two strips at a scale, where to scribe and measure, steps, and room for readings."""

from __future__ import annotations

from cutplan.drawing.layout import frame, paragraph, table
from cutplan.drawing.model import Figure, Item, Page, Pen, Stroke, Text, line, outline, placed
from cutplan.geometry.contour import rectangle
from cutplan.geometry.vector import Box, Point
from cutplan.pattern.job import Job
from cutplan.tables.paper import USUAL, bench_sheet
from cutplan.texts import ENGLISH, Reader, code, inch_or_mm, name, say, span, template
from cutplan.texts.by_id import told
from cutplan.units import format_length
from cutplan.welding.coupon import LINE_FROM_EDGE_MM, WeldCoupon

_MARGIN_MM = 15.0
_READ_MM = 3.8
#: Size of the names in the picture [mm]: an inch with its millimetres fits on the strip.
_NAME_MM = 3.4
#: Title of the page.
TITLE = say("Trial weld")
_HEADS = (
    template("station"),
    template("from the start"),
    template("before [{unit}]"),
    template("after [{unit}]"),
    template("rise [{unit}]"),
)


def weld_coupon_page(coupon: WeldCoupon, job: Job | None = None, read: Reader = ENGLISH) -> Page:
    """Return one page for the bench: picture, steps and a table for the readings.

    Parameters
    ----------
    coupon : WeldCoupon
        The trial piece.
    job : Job or None
        The job it belongs to, for the title.
    read : Reader
        Who reads it.
    """
    sheet = bench_sheet(job.paper.name if job else USUAL[read.units])
    width, height = sheet.width_mm, sheet.height_mm
    left, wide = _MARGIN_MM, width - 2 * _MARGIN_MM
    items: list[Item] = []
    title = read(TITLE)
    if job:
        title = read(
            say("Trial weld: {job}, revision {revision}", job=name(job.about.title), revision=name(job.about.revision))
        )
    y = height - _MARGIN_MM
    head, y = paragraph(title, left, y, wide, 6.5, bold=True)
    items += head
    picture = Box(left, y - 80.0, width - _MARGIN_MM, y - 4.0)
    placed_items, scale = placed(_strips(coupon, read), picture.grown(-8.0))
    items += [*placed_items, frame(picture, Pen(0.2))]
    items.append(
        Text(
            read(say("picture at {scale}", scale=code(f"1 : {1.0 / scale:.2f}"))),
            Point(picture.xmin + 2.0, picture.ymin + 2.0),
            3.2,
        )
    )
    y = picture.ymin - 5.0
    for number, step in enumerate(coupon.steps, 1):
        text, y = paragraph(f"{number}. {read(step)}", left, y, wide, _READ_MM)
        items += text
        y -= 1.2
    unit = code(read.units)
    rows = [[read(head.fill(unit=unit) if "{" in head.key else head) for head in _HEADS]]
    rows += [[str(i), format_length(s, read.units, 0), "", "", ""] for i, s in enumerate(coupon.stations_mm, 1)]
    filled, y = table(rows, left, y - 3.0, [20.0, 50.0, 36.0, 36.0, 38.0], height_mm=_READ_MM, pad_mm=2.2)[:2]
    items += filled
    e = coupon.expected
    text, y = paragraph(
        read(
            say(
                "Formulas expect {shrink} of shrinkage across the joint. What you measure narrows the band of every later "
                "plan with this process and thickness.",
                shrink=span(e.shrink_mm.low, e.shrink_mm.high, digits=2),
            )
        ),
        left,
        y - 4.0,
        wide,
        _READ_MM,
    )
    items += text
    caution, y = paragraph(
        told("caution.fire", read.language) + " " + told("caution.zinc", read.language), left, y - 3.0, wide, 3.6
    )
    items += caution
    return Page(width, height, tuple(items), "coupon", read(TITLE))


def _strips(coupon: WeldCoupon, read: Reader) -> Figure:
    """The two strips side by side, the joint between them, scribed lines and stations."""
    long, across = coupon.strip_mm
    lap = coupon.overlap_mm
    apart = -lap if lap else coupon.joint.gap_mm
    low, high = rectangle(0.0, 0.0, long, across), rectangle(0.0, across + apart, long, across)
    joint_y = across if lap else across + 0.5 * apart
    thin, bold = Pen(0.25, dash_mm=(2.0, 1.0)), Pen(0.8)
    y1 = across - lap - LINE_FROM_EDGE_MM
    y2 = y1 + coupon.lines_apart_mm
    items: list[Item] = [  # the plate lies on the skin in a lap
        outline(high, Pen(0.5), "#e0e0e0", "skin"),
        outline(low, Pen(0.5), "#f2f2f2", "plate"),
        Stroke(line((0.0, joint_y), (long, joint_y)).segments, bold, tag="weld"),
        line((0.0, y1), (long, y1), thin, "scribe"),
        line((0.0, y2), (long, y2), thin, "scribe"),
    ]
    for i, s in enumerate(coupon.stations_mm, 1):
        items.append(line((s, y1), (s, y2), Pen(0.25), "station"))
        items.append(Text(str(i), Point(s + 2.0, y1 - 9.0), 5.0, bold=True))
    plate, skin = coupon.thicknesses_mm
    items.append(
        Text(read(say("strip of the plate, {thickness}", thickness=inch_or_mm(plate, None))), Point(3.0, 5.0), _NAME_MM)
    )
    items.append(
        Text(
            read(say("strip of the skin, {thickness}", thickness=inch_or_mm(skin, None))),
            Point(3.0, 2 * across + apart - 9.0),
            _NAME_MM,
        )
    )
    return Figure(tuple(items), Box(0.0, 0.0, long, 2.0 * across + apart))
