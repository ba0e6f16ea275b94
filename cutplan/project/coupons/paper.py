"""The printer's calibration sheet and what its four lengths say."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from cutplan.drawing.model import Document
from cutplan.errors import UsageError
from cutplan.pattern.job import Job
from cutplan.pattern.wishes import PaperWish
from cutplan.project.coupons.request import CouponMade, Request, Told, only, reader_of
from cutplan.project.single import write_own
from cutplan.tables.paper import SHEETS
from cutplan.texts import Message, code, every, mm, name, number, say

#: Names of the readings: sides and diagonals of the rectangle.
READINGS = ("x", "y", "d1", "d2")
#: Longest name of a printer, as the shop file takes it.
_LONGEST_NAME = 40
#: Reading error of a steel rule [mm] (our own choice).
_RULE_MM = 0.25


def make_paper(request: Request, job: Job | None, folder: Path, inputs: tuple[Path, ...]) -> CouponMade:
    """Write the calibration sheet."""
    from cutplan.drawing.pdf import render_pdf
    from cutplan.templates.printed.coupon import TITLE, paper_coupon

    read = reader_of(request, job)
    coupon = paper_coupon(_wish(request, job), read)
    path = folder / "coupon-paper.pdf"
    document = Document(coupon.pages, read(TITLE), subject=read(say("trial piece")))
    write_own(path, render_pdf(document), inputs)
    return CouponMade(
        (path,),
        (
            say("print it at 100 % (no fit to page) and measure between the centres of the targets:"),
            say(
                "{x}: 1 to 2, nominal {across}    {y}: 1 to 4, nominal {up}",
                x=code("x"),
                across=mm(coupon.across_mm, None),
                y=code("y"),
                up=mm(coupon.up_mm, None),
            ),
            say("d1: 1 to 3, d2: 4 to 2, nominal {diagonal}", diagonal=mm(coupon.diagonal_mm)),
        ),
        READINGS,
    )


def learn_paper(request: Request, job: Job | None, readings: dict[str, float]) -> Told:
    """Return what the printer really does, from readings [mm].

    Raises
    ------
    UsageError
        When readings are missing or the printer's name cannot stand in a shop file.
    """
    from cutplan.templates.printed.correction import correction
    from cutplan.templates.printed.coupon import measured_scale, paper_coupon

    only(readings, READINGS)
    if "x" not in readings or "y" not in readings or ("d1" in readings) != ("d2" in readings):
        raise UsageError(
            say("readings are missing"), "--measured", say("give x and y, and both diagonals d1 and d2 or neither")
        )
    wish = _wish(request, job)
    straight = (readings["x"] ** 2 + readings["y"] ** 2) ** 0.5
    scale = measured_scale(
        paper_coupon(wish),
        readings["x"],
        readings["y"],
        readings.get("d1", straight),
        readings.get("d2", straight),
        request.reading_mm if request.reading_mm is not None else _RULE_MM,
        wish.printer,
    )
    used = correction(scale)
    notes: list[Message | str] = [
        say(
            "printer {printer}: prints {x} along x and {y} along y",
            printer=name(scale.name),
            x=number(100.0 * scale.x, "%", 2),
            y=number(100.0 * scale.y, "%", 2),
        )
    ]
    if (used.x, used.y) != (1.0, 1.0):
        x, y = number(1.0 / used.x, digits=5), number(1.0 / used.y, digits=5)
        notes.append(say("corrected: x by {x}, y by {y}", x=x, y=y))
    else:
        notes.append(say("no correction: the deviation is within the reading error"))
    values = {"printer": scale.name, "x": scale.x, "y": scale.y, "skew_rad": scale.skew_rad}
    return scale, {**values, "correction": {"x": 1.0 / used.x, "y": 1.0 / used.y}}, notes


def _wish(request: Request, job: Job | None) -> PaperWish:
    wish = job.paper if job else PaperWish()
    if request.paper:
        if request.paper not in SHEETS:
            choices = every([code(n) for n in SHEETS])
            raise UsageError(
                say("{paper} is no paper size", paper=name(request.paper)),
                "--paper",
                say("one of {choices}", choices=choices),
            )
        sheet = SHEETS[request.paper]
        wish = replace(wish, name=sheet.name, width_mm=sheet.width_mm, height_mm=sheet.height_mm)
    printer = request.printer or wish.printer
    if len(printer) > _LONGEST_NAME or not printer.isprintable():
        raise UsageError(
            say("a printer's name has at most {most} letters, all of them printable", most=_LONGEST_NAME),
            "--printer",
            say("choose a shorter or plainer name"),
        )
    return replace(wish, printer=printer)
