"""The calibration sheet: four targets to measure between, and what the measurements say about the printer."""

from __future__ import annotations

from dataclasses import dataclass
from math import floor, hypot

from cutplan.drawing.layout import frame, paragraph
from cutplan.drawing.model import Item, Page, Pen, Text, line, ring
from cutplan.errors import JobError
from cutplan.geometry.vector import Box, Point
from cutplan.pattern.shop import PrinterScale
from cutplan.pattern.wishes import PaperWish
from cutplan.tables.paper import GROWTH_ACROSS_GRAIN, GROWTH_ALONG_GRAIN, STABLE_HUMIDITY
from cutplan.templates.drawn.pens import CROSS
from cutplan.templates.printed.correction import WORST, Correction, skew_from_diagonals
from cutplan.templates.tiling.sheet import sheet_forms, shortened
from cutplan.texts import ENGLISH, Message, Reader, code, every, mm, name, number, say, span, to

#: Title of the sheet.
TITLE = say("Printer calibration sheet")
_READ_MM = 4.2
#: Of the four lengths with room to write, each in one line in inches and German too [mm].
_SIDE_MM = 4.3
_ARM_MM = 5.0
#: Readings may disagree with each other by this many reading errors before they are refused.
_DISAGREE = 3.0
#: A roll's calibration sheet is this much longer than wide.
_ROLL_SHARE = 1.4


@dataclass(frozen=True, slots=True)
class PaperCoupon:
    """The calibration sheet: nominal sides of its rectangle [mm] and its page."""

    across_mm: float
    up_mm: float
    pages: tuple[Page, ...]

    @property
    def diagonal_mm(self) -> float:
        return hypot(self.across_mm, self.up_mm)


def paper_coupon(wish: PaperWish, read: Reader = ENGLISH) -> PaperCoupon:
    """Return the calibration sheet for a paper, upright and never corrected, in the words of its reader.

    Sides are the largest multiples of 10 mm that fit, because a reading error counts less on a longer length.
    """
    form = sheet_forms(wish, Correction())[0]
    form = shortened(form, _ROLL_SHARE * form.live.width)
    reach = form.reach
    a = 10.0 * floor((reach.width - 2 * _ARM_MM) / 10.0)
    b = 10.0 * floor((reach.height - 2 * _ARM_MM) / 10.0)
    c = reach.centre
    box = Box(c.x - 0.5 * a, c.y - 0.5 * b, c.x + 0.5 * a, c.y + 0.5 * b)
    along_x = read(say("x: 1 to 2, nominal {length}", length=mm(a, None)))
    along_y = read(say("y: 1 to 4, nominal {length}", length=mm(b, None)))
    items: list[Item] = [
        frame(box, Pen(0.15), "side"),
        *_targets(box),
        Text(along_x, Point(c.x, box.ymin + 3.0), 5.0, "middle", tag="read"),
        Text(along_y, Point(box.xmin + 7.0, c.y), 5.0, "middle", 90.0, tag="read"),
    ]
    left, y = box.xmin + 18.0, box.ymax - 20.0
    for text, height, bold in _words(wish, a, b):
        texts, y = paragraph(read(text), left, y, a - 36.0, height, bold=bold, tag="read")
        items += texts
        y -= 2.5
    page = Page(form.width_mm, form.height_mm, tuple(items), "coupon", read(TITLE))
    return PaperCoupon(a, b, (page,))


def _targets(box: Box) -> list[Item]:
    """A numbered target at each corner, from the lower left round."""
    c = box.centre
    corners = ((box.xmin, box.ymin), (box.xmax, box.ymin), (box.xmax, box.ymax), (box.xmin, box.ymax))
    items: list[Item] = []
    for label, (x, y) in zip("1234", corners, strict=True):
        items += [
            line((x - _ARM_MM, y), (x + _ARM_MM, y), CROSS, "target"),
            line((x, y - _ARM_MM), (x, y + _ARM_MM), CROSS, "target"),
            ring(Point(x, y), 2.0, CROSS, tag="target"),
        ]
        at = Point(x + (7.0 if c.x > x else -7.0), y + (7.0 if c.y > y else -10.0))
        items.append(Text(label, at, 6.0, "middle", bold=True, tag="target name"))
    return items


def _words(wish: PaperWish, a: float, b: float) -> tuple[tuple[Message, float, bool], ...]:
    """What the sheet says: text, height [mm], whether bold; ``a`` and ``b`` are the sides [mm]."""
    diagonal = hypot(a, b)
    side = [
        say("{pair}: {length}, measured __________", pair=every([code(n), to(*ends)]), length=mm(v, digits))
        for n, ends, v, digits in (
            ("x", ("1", "2"), a, None),
            ("y", ("1", "4"), b, None),
            ("d1", ("1", "3"), diagonal, 1),
            ("d2", ("4", "2"), diagonal, 1),
        )
    ]
    return (
        (TITLE, 7.0, True),
        (
            say(
                "Paper {paper}, printer “{printer}”. Not corrected: prints as the printer prints.",
                paper=name(wish.name),
                printer=name(wish.printer),
            ),
            _READ_MM,
            False,
        ),
        (
            say("1  Print this sheet at 100 %, never “fit to page”, on the paper and tray you use for templates."),
            _READ_MM,
            False,
        ),
        (
            say(
                "2  Lay a steel rule flat. Read four lengths between the centres of the targets, to {error} or better:",
                error=mm(0.25, 2),
            ),
            _READ_MM,
            False,
        ),
        *((text, _SIDE_MM, True) for text in side),
        (
            say(
                "3  Give x, y, d1 and d2 to the program. It corrects each axis and the skew, and leaves alone "
                "what is within your reading error."
            ),
            _READ_MM,
            False,
        ),
        (
            say(
                "4  Damp paper grows by {growth} (common test values) and is steadiest at {humidity} humidity. Do this again "
                "after a new printer, paper or toner, and when the weather has turned.",
                growth=span(100 * GROWTH_ALONG_GRAIN[0], 100 * GROWTH_ACROSS_GRAIN[1], "%", 1),
                humidity=span(100 * STABLE_HUMIDITY[0], 100 * STABLE_HUMIDITY[1], "%", 0),
            ),
            _READ_MM,
            False,
        ),
    )


def measured_scale(
    coupon: PaperCoupon,
    across_mm: float,
    up_mm: float,
    rising_mm: float,
    falling_mm: float,
    reading_mm: float = 0.25,
    printer: str = "default",
) -> PrinterScale:
    """Return what four readings of the calibration sheet say about the printer.

    Parameters
    ----------
    coupon : PaperCoupon
        The sheet that was printed.
    across_mm, up_mm : float
        Readings from target 1 to 2 and from 1 to 4 [mm].
    rising_mm, falling_mm : float
        Readings of the diagonals, 1 to 3 and 4 to 2 [mm].
    reading_mm : float
        Reading error of one length [mm].
    printer : str
        Name of the printer.

    Returns
    -------
    PrinterScale
        Scale per axis, skew, reading error and the shorter nominal length. Whether an axis is corrected is decided
        by :func:`cutplan.templates.printed.correction.correction`, which weighs the reading error.

    Raises
    ------
    JobError
        When a reading is more than 6 % off, or the diagonals do not belong to the sides.
    """
    scale = PrinterScale(
        printer,
        across_mm / coupon.across_mm,
        up_mm / coupon.up_mm,
        skew_from_diagonals(across_mm, up_mm, rising_mm, falling_mm) if min(across_mm, up_mm) > 0.0 else 0.0,
        reading_mm,
        min(coupon.across_mm, coupon.up_mm),
    )
    readings = (
        ("x", across_mm, coupon.across_mm),
        ("y", up_mm, coupon.up_mm),
        ("d1", rising_mm, coupon.diagonal_mm),
        ("d2", falling_mm, coupon.diagonal_mm),
    )
    for reading, value, nominal in readings:
        if not abs(value / nominal - 1.0) <= WORST:
            raise JobError(
                say(
                    "{reading}: {value} measured for {nominal} is more than {most} off",
                    reading=code(reading),
                    value=mm(value, None),
                    nominal=mm(nominal),
                    most=number(100 * WORST, "%", 0),
                ),
                say("calibration sheet"),
                say(
                    "print at 100 %, measure as the sheet shows, and name the paper that it lies on: {option}",
                    option=code("--paper"),
                ),
            )
    if not 0.0 <= reading_mm <= 5.0:
        raise JobError(
            say("a reading error of {error} makes no sense", error=mm(reading_mm, None)),
            say("calibration sheet"),
            say("0.25 mm is usual for a steel rule"),
        )
    # in a parallelogram the squares of the diagonals add up to twice those of the sides
    mean = hypot(rising_mm, falling_mm) / 2.0**0.5
    if abs(mean - hypot(across_mm, up_mm)) > _DISAGREE * reading_mm + 0.1:
        raise JobError(
            say(
                "the readings do not belong together: the diagonals average {mean}, the sides ask for {wanted}",
                mean=mm(mean),
                wanted=mm(hypot(across_mm, up_mm)),
            ),
            say("calibration sheet"),
            say("measure again between the centres of the targets"),
        )
    return scale
