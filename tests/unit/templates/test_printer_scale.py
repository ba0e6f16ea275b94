"""Printed scale: the calibration sheet, corrections, and what the rulers then measure."""

from __future__ import annotations

from math import cos, hypot, radians, sin, tan

import pytest
from template_jobs import all_words, job, paper, texts

from cutplan.drawing.model import Page, Stroke
from cutplan.drawing.recorder import overlaps
from cutplan.errors import JobError
from cutplan.geometry.vector import Point
from cutplan.pattern.shop import PrinterScale, Shop
from cutplan.pattern.wishes import PaperWish
from cutplan.templates.plan import plan_templates
from cutplan.templates.printed.correction import correction
from cutplan.templates.printed.coupon import measured_scale, paper_coupon
from cutplan.texts import Reader


class Printer:
    """A printer that stretches x and y and leans y over; sheets lie turned a quarter when they are wider than tall."""

    def __init__(self, x: float, y: float, skew_deg: float) -> None:
        self.x, self.y, self.skew = x, y, radians(skew_deg)

    def prints(self, p: Point, page: Page) -> Point:
        if page.width_mm > page.height_mm:
            a, b = self._upright(-p.y, p.x)
            return Point(b, -a)
        return Point(*self._upright(p.x, p.y))

    def _upright(self, u: float, v: float) -> tuple[float, float]:
        return u * self.x + v * self.y * sin(self.skew), v * self.y * cos(self.skew)


def read_off(length: float, step: float = 0.25) -> float:
    return round(length / step) * step


def coupon_readings(printer: Printer, wish: PaperWish) -> tuple[float, float, float, float]:
    page = paper_coupon(wish).pages[0]
    rings = [i.segments[0].box.centre for i in page.items if isinstance(i, Stroke) and i.tag == "target" and i.closed]
    a, b, c, d = (printer.prints(p, page) for p in rings)
    return tuple(read_off(p.distance(q)) for p, q in ((a, b), (a, d), (a, c), (d, b)))  # type: ignore[return-value]


def ruler_ends(page: Page) -> list[tuple[Point, Point]]:
    """Zero and end of both rulers: the middles of the end lines, in pairs."""
    ends = [i for i in page.items if isinstance(i, Stroke) and i.tag == "ruler end"]
    middles = [s.segments[0].box.centre for s in ends]
    return [(middles[0], middles[1]), (middles[2], middles[3])]


@pytest.mark.parametrize("name", ["A4", "Letter"])
def test_a_bad_printer_is_corrected_to_a_thousandth(name: str) -> None:
    printer = Printer(0.985, 1.007, 0.2)  # the printer of the issue, readings rounded to a quarter millimetre
    wish = paper(name)
    measured = measured_scale(paper_coupon(wish), *coupon_readings(printer, wish))
    made = plan_templates(job(paper=wish), Shop("shop.toml", printers=(measured,)))
    shapes = set()
    for page in made.pages:
        shapes.add(page.width_mm > page.height_mm)
        (x0, x1), (y0, y1) = ruler_ends(page)
        across = printer.prints(x1, page).minus(printer.prints(x0, page))
        up = printer.prints(y1, page).minus(printer.prints(y0, page))
        said = next(t for t in texts(page) if "rulers must measure" in t).split("measure ")[1].split(" mm")[0]
        wide, tall = (float(v) for v in said.split(" x "))
        assert across.length() == pytest.approx(wide, rel=0.001)
        assert up.length() == pytest.approx(tall, rel=0.001)
        assert abs(across.dot(up)) / (across.length() * up.length()) < sin(radians(0.1))
        assert not overlaps(page, margin_mm=10.0, clear_of=("cut",)), "corrected sheets must stay inside the border"
        assert any("Corrected for printer" in t for t in texts(page))
    assert shapes == {False, True} or len(shapes) == 1


def test_the_same_printer_uncorrected_would_fail() -> None:
    printer = Printer(0.985, 1.007, 0.2)
    page = plan_templates(job(), Shop()).pages[0]
    (x0, x1), _ = ruler_ends(page)
    assert abs(printer.prints(x1, page).distance(printer.prints(x0, page)) / x1.distance(x0) - 1.0) > 0.005


def test_turned_sheets_are_corrected_along_the_printers_own_axes() -> None:
    measured = PrinterScale("default", 0.985, 1.007, 0.0, 0.25, 180.0)
    made = plan_templates(job(350, 130), Shop("s", printers=(measured,)))
    lying = [p for p in made.pages if p.width_mm > p.height_mm]
    assert lying, "this plate fits two lying sheets"
    printer = Printer(0.985, 1.007, 0.0)
    for page in lying:
        for a, b in ruler_ends(page):
            length = printer.prints(a, page).distance(printer.prints(b, page))
            assert length == pytest.approx(round(length / 5.0) * 5.0, abs=0.01)


def test_nothing_below_the_reading_error_is_corrected() -> None:
    # 0.25 mm over 180 mm is 0.139 %
    assert correction(PrinterScale("p", 1.0013, 0.9988, 0.0, 0.25, 180.0)).idle
    just = correction(PrinterScale("p", 1.0015, 0.9988, 0.0, 0.25, 180.0))
    assert just.x == 1.0015 and just.y == 1.0
    assert correction(PrinterScale("p", 1.0, 1.0, 0.001, 0.25, 180.0)).skew_rad == 0.0
    assert correction(PrinterScale("p", 1.0, 1.0, 0.01, 0.25, 180.0)).skew_rad == 0.01


def test_a_perfect_printer_leaves_the_pages_as_they_are() -> None:
    wish = paper("A4")
    measured = measured_scale(paper_coupon(wish), *coupon_readings(Printer(1.0, 1.0, 0.0), wish))
    assert correction(measured).idle
    words = all_words(plan_templates(job(), Shop("s", printers=(measured,))))
    assert "Printer measured: no correction needed" in words


def test_readings_that_cannot_be_are_refused() -> None:
    coupon = paper_coupon(paper("A4"))
    a, b, d = coupon.across_mm, coupon.up_mm, coupon.diagonal_mm
    measured_scale(coupon, a, b, d, d)
    with pytest.raises(JobError, match="belong together"):
        measured_scale(coupon, a, b, d + 3.0, d)
    with pytest.raises(JobError, match="off"):
        measured_scale(coupon, b, a, d, d)
    with pytest.raises(JobError, match="off"):
        measured_scale(coupon, float("nan"), b, d, d)
    with pytest.raises(JobError):
        correction(PrinterScale("p", 1.2, 1.0, 0.0, 0.25, 180.0))


def test_correction_and_printing_undo_each_other() -> None:
    for skew in (0.0, 0.0035, -0.01):
        correct = correction(PrinterScale("p", 0.98, 1.02, skew, 0.01, 200.0))
        about = Point(105, 148.5)
        for p in (Point(10, 10), Point(200, 20), Point(50, 280)):
            back = correct.printed(correct.drawn(p, about), about)
            assert hypot(back.x - p.x, back.y - p.y) < 1e-9
        # exact: the drawn upright leans by minus the skew, seen in printed units
        a, b = correct.drawn(Point(105, 48.5), about), correct.drawn(Point(105, 248.5), about)
        assert (b.x - a.x) * correct.x == pytest.approx(-200.0 * tan(skew), abs=1e-9)


@pytest.mark.parametrize("language", ["en", "de"])
def test_the_coupon_reads_well_and_is_never_corrected(language: str) -> None:
    for name in ("A4", "Letter", "A3"):
        page = paper_coupon(paper(name), Reader(language)).pages[0]
        assert not overlaps(page, margin_mm=10.0, clear_of=("side", "target"), smallest_mm=4.19)
        words = " ".join(texts(page))
        assert ("measured" in words) == (language == "en") and ("gemessen" in words) == (language == "de")


@pytest.mark.parametrize("language", ["en", "de"])
def test_an_inch_shop_writes_each_length_in_its_own_line(language: str) -> None:
    for name in ("A4", "Letter"):
        said = texts(paper_coupon(paper(name), Reader(language, "in")).pages[0])
        room = [t for t in said if "_____" in t]
        assert len(room) == 4 and all(" in (" in t for t in room)  # exact: x, y and two diagonals, none broken
        assert any("0.010 in (0.25 mm)" in t for t in said)
