"""Planning of the printed sheets: counts, seams, marks, words, scale and the calibration of the printer."""

from __future__ import annotations

import os
from dataclasses import replace
from math import cos, hypot, pi, radians, sin, tan
from pathlib import Path

import pytest

from cutplan.drawing.model import Page, Stroke, Text
from cutplan.drawing.recorder import overlaps, text_corners
from cutplan.drawing.svg import render_svg
from cutplan.errors import JobError
from cutplan.files.drawing_in import read_drawing
from cutplan.files.job.read import read_job
from cutplan.geometry.contour import circle_contour, polyline, rectangle
from cutplan.geometry.vector import Point
from cutplan.pattern.job import Job
from cutplan.pattern.joint import Joint
from cutplan.pattern.pads import Pad
from cutplan.pattern.plate import Hole, Plate
from cutplan.pattern.shop import PrinterScale, Shop
from cutplan.pattern.wishes import Flange, Marks, PaperWish, TubeWrap
from cutplan.tables.paper import SHEETS
from cutplan.templates.plan import plan_templates
from cutplan.templates.printed.correction import correction
from cutplan.templates.printed.coupon import measured_scale, paper_coupon
from cutplan.templates.printed.figures import map_figure
from cutplan.templates.result import TemplateSet
from cutplan.templates.tiling.registration import RINGS, ring_code

ROOT = Path(__file__).resolve().parents[3]
DRAWINGS = Path(os.environ.get("CUTPLAN_DRAWINGS", ROOT.parent / "shared" / "drawings"))
SAMPLES = sorted(p.parent.name for p in (ROOT / "sample_parts").glob("*/job.toml"))


def hole(name: str, x: float, y: float, across: float, **more: object) -> Hole:
    return Hole(name, circle_contour(Point(x, y), across / 2, ccw=False), "bolt", **more)  # type: ignore[arg-type]


def job(width: float = 380.0, height: float = 240.0, holes: tuple[Hole, ...] | None = None, **more: object) -> Job:
    if holes is None:
        holes = (hole("H1", 60, 60, 11), hole("H2", 320, 60, 11), hole("H3", 190, 120, 60))
    plate = Plate(rectangle(0, 0, width, height, 25), holes, 4.0)
    return Job("Left tow-eye insert", plate, date="2026-04-01", **more)  # type: ignore[arg-type]


def paper(name: str, **more: float) -> PaperWish:
    return PaperWish(name, SHEETS[name].width_mm, SHEETS[name].height_mm, **more)


def texts(page: Page) -> list[str]:
    return [i.text for i in page.items if isinstance(i, Text)]


def all_words(made: TemplateSet) -> str:
    return "\n".join(t for p in made.pages for t in texts(p))


# --- what stands on the sheets


def test_every_sheet_says_what_it_is_where_it_goes_and_that_the_part_is_structural() -> None:
    made = plan_templates(job(), Shop())
    assert len(made.pages) == made.sheets + 1 > 2
    assert "Map of the templates" in texts(made.pages[0])[0] or any("Map" in t for t in texts(made.pages[0]))
    for tile in made.tiles:
        words = "\n".join(texts(made.pages[tile.sheet - 1]))
        assert tile.template in words and f"sheet {tile.sheet} of {len(made.pages)}" in words
        assert "Left tow-eye insert, rev. A, 2026-04-01" in words
        assert "This side out: outside" in words
        assert "Structural part: see job sheet" in words
        assert "Print at 100 %" in words and "rulers must measure" in words


def test_templates_say_hand_direction_and_line_to_cut() -> None:
    made = plan_templates(job(marks=Marks(hand="left", up_deg=0.0, side_out="rear face", mirrored_copy=True)), Shop())
    words = all_words(made)
    for phrase in (
        "PLATE: left hand",
        "PLATE: right hand",
        "OPENING in the skin: left hand",
        "FORWARD",
        "UP",
        "This side out: rear face",
        "Cut paper and plate on the thick line",
    ):
        assert phrase in words, phrase
    assert {t.template for t in made.tiles} == {"Plate left", "Opening left", "Plate right", "Opening right"}


def test_left_on_the_copy_for_the_other_hand_is_right() -> None:
    marks = Marks(hand="left", forward_deg=None, up_deg=90.0, left_deg=180.0, mirrored_copy=True)
    made = plan_templates(job(marks=marks), Shop())
    arrows = {p.template.name: p.template.arrows for j in made.joined for p in j.layout.placed}
    assert [w for w, _ in arrows["Plate left"]] == ["UP", "LEFT"]
    # exact: mirrored across the upright, up stays and what pointed to 180 degrees points to 0
    mirrored = dict(arrows["Plate right"])
    assert set(mirrored) == {"UP", "RIGHT"}
    turned = (mirrored["RIGHT"] - mirrored["UP"]) % (2.0 * pi)
    assert turned == pytest.approx(1.5 * pi)
    assert "FORWARD" not in all_words(made)


def test_the_mirrored_copy_is_the_mirror_image() -> None:
    notched = polyline([(0, 0, 0), (120, 0, 0), (120, 60, 0.2), (40, 60, 0), (0, 30, 0)])
    plan = plan_templates(
        Job("n", Plate(notched, (hole("H1", 90, 30, 10),), 3.0), marks=Marks(hand="right", mirrored_copy=True)), Shop()
    )
    placed = {p.template.name: p for j in plan.joined for p in j.layout.placed}
    left, right = placed["Plate left"], placed["Plate right"]
    # exact: undo turn and shift, then x changes its sign and y stays
    a = left.template.moved(-left.shift.x, -left.shift.y).turned(-left.angle_rad).spots[0].centre
    b = right.template.moved(-right.shift.x, -right.shift.y).turned(-right.angle_rad).spots[0].centre
    assert a.x == pytest.approx(-b.x) and a.y == pytest.approx(b.y)


def test_lap_joint_shows_where_the_plate_reaches_and_drills_holes_outside_the_opening() -> None:
    lapped = job(160, 120, (hole("H1", 8, 8, 5, in_skin=True),), joint=Joint("lap", 0.0, 20.0))
    made = plan_templates(lapped, Shop())
    opening = next(p.template for j in made.joined for p in j.layout.placed if p.template.name == "Opening")
    cut = next(s for s in opening.lines if s.tag == "cut")
    trace = next(s for s in opening.lines if s.tag == "trace")
    assert sum(s.length for s in cut.segments) < sum(s.length for s in trace.segments)
    assert [s.name for s in opening.spots] == ["H1"]


def test_holes_in_the_skin_of_a_butt_joint_get_a_template_of_their_own() -> None:
    made = plan_templates(job(160, 120, (hole("H1", 80, 60, 12, in_skin=True),)), Shop())
    assert {t.template for t in made.tiles} == {"Plate", "Opening", "Skin holes"}


def test_wraps_and_flat_patterns_share_sheets_with_the_rest() -> None:
    made = plan_templates(
        job(
            90,
            60,
            (),
            wraps=(TubeWrap("brace", 40, 60, 2.5, 60, 5),),
            flanges=(Flange("lip", (50, 40), (90,), 60, 3, 3),),
        ),
        Shop(),
    )
    assert len(made.tiles) == 4 and made.sheets == 1 and len(made.pages) == 1


@pytest.mark.parametrize("sample", SAMPLES)
@pytest.mark.parametrize("name", ["A4", *(pytest.param(n, marks=pytest.mark.slow) for n in ("Letter", "A3"))])
def test_no_words_meet_each_other_or_a_line_that_is_cut(sample: str, name: str) -> None:
    made = plan_templates(replace(read_job(ROOT / "sample_parts" / sample / "job.toml"), paper=paper(name)), Shop())
    for number, page in enumerate(made.pages, start=1):
        bad = overlaps(
            page,
            margin_mm=10.0,
            gap_mm=0.3,
            clear_of=("cut", "hole", "trace", "bend", "datum", "pad", "slit", "fold", "cross", "registration"),
            # capitals are 0.73 of the size: 4.2 mm gives 3 mm; figures along a ruler only count its ticks
            smallest_mm=4.19,
            small_allowed=("ruler figure", "title", "map", "sheet name"),
        )
        assert not bad, (number, bad)
        assert not overlaps(page, margin_mm=10.0, clear_of=(), smallest_mm=3.0), number


# --- seams, marks and sheets


def test_marks_are_on_both_sheets_of_every_seam_and_unlike_each_other() -> None:
    made = plan_templates(job(700, 400), Shop())
    numbers = [m.number for j in made.joined for m in j.registrations]
    assert numbers == list(range(1, len(numbers) + 1)) and len(numbers) > 20
    assert len({ring_code(n) for n in numbers[: len(RINGS)]}) == min(len(numbers), len(RINGS))
    for j in made.joined:
        per_sheet = [0] * len(j.layout.sheets)
        for mark in j.registrations:
            seam = j.layout.seams[mark.seam]
            for k in (seam.under, seam.over):
                assert j.layout.sheets[k].printed.holds(mark.at)
                per_sheet[k] += 1
                page = made.pages[j.first_page - 1 + k]
                drawn = [i for i in page.items if isinstance(i, Stroke) and i.tag == f"registration {mark.number}"]
                assert len(drawn) >= 6, "a mark must be whole on both sheets"
        assert min(per_sheet) >= 2
        for k, seam in enumerate(j.layout.seams):
            along = [m.at.y if seam.upright else m.at.x for m in j.registrations if m.seam == k]
            if seam.high - seam.low > 120.0:
                # shift and turn: the marks of a long seam lie far apart
                assert max(along) - min(along) > 0.4 * (seam.high - seam.low)


def test_every_point_of_the_cut_line_is_printed_on_some_sheet() -> None:
    outline = polyline([(0, 0, 0), (700, 0, 0.3), (700, 400, 0), (300, 420, -0.2), (0, 250, 0.1)])
    made = plan_templates(Job("odd", Plate(outline, (), 3.0)), Shop())
    for j in made.joined:
        for placed in j.layout.placed:
            for s in placed.template.edge.segments:
                for i in range(201):
                    p = s.point_at(i / 200)
                    assert any(sheet.printed.holds(p) for sheet in j.layout.sheets), p


def test_sheets_without_any_line_are_not_printed() -> None:
    made = plan_templates(job(700, 640, ()), Shop())
    plate = made.joined[0].layout
    area = sum(s.cell.width * s.cell.height for s in plate.sheets)
    assert area < 0.95 * 700 * 640  # the middle holds no line


def test_seams_miss_crosses_and_pads_where_they_can() -> None:
    # the plain grid would part this plate through both holes at x = 180
    holes = (hole("H1", 174, 60, 11), hole("H2", 174, 180, 11))
    made = plan_templates(job(330, 230, holes, pads=(Pad("P1", Point(60, 120), 60),)), Shop())
    assert made.seams_through_holes == 0
    for j in made.joined:
        for placed in j.layout.placed:
            for spot in placed.template.spots:
                for seam in j.layout.seams:
                    away = abs((spot.centre.x if seam.upright else spot.centre.y) - seam.at)
                    beside = spot.centre.y if seam.upright else spot.centre.x
                    inside = seam.low - spot.clear_mm < beside < seam.high + spot.clear_mm
                    assert not inside or away >= spot.clear_mm - 1e-6


def test_a_seam_through_a_pad_that_cannot_be_avoided_is_counted() -> None:
    made = plan_templates(job(500, 300, (), pads=(Pad("P1", Point(250, 150), 290),)), Shop())
    assert made.seams_through_holes >= 1


def plates() -> list[Job]:
    found = []
    for path in sorted(DRAWINGS.glob("plate-*.dxf")):
        region = read_drawing(path).parts[0].region
        holes = tuple(Hole(f"H{k + 1}", c) for k, c in enumerate(region.holes))
        found.append(Job(path.name, Plate(region.outer, holes, 3.0)))
    return found


@pytest.mark.slow
@pytest.mark.parametrize("name", ["A4", "Letter"])
def test_fewer_sheets_than_the_plain_grid_and_never_more(name: str) -> None:
    jobs = plates()
    if not jobs:
        pytest.skip("the folder of real drawings is not here")
    jobs += [read_job(ROOT / "sample_parts" / s / "job.toml") for s in SAMPLES]
    ours = plain = 0
    for wanted in jobs:
        made = plan_templates(replace(wanted, paper=paper(name)), Shop())
        assert made.sheets <= made.plain_sheets, wanted.title
        ours, plain = ours + made.sheets, plain + made.plain_sheets
    assert ours <= 0.9 * plain, f"{ours} sheets, plain grid {plain}"


@pytest.mark.slow
def test_a_long_part_and_two_thousand_holes_stay_quick_and_few() -> None:
    from time import perf_counter

    start = perf_counter()
    made = plan_templates(job(3000, 120), Shop())
    assert made.sheets <= 2 * 13 and perf_counter() - start < 20.0  # about 1.5 s when nothing else runs
    assert any(i.tag == "fold" for p in made.pages for i in p.items)
    many = tuple(hole(f"H{k}", 20 + 12 * (k % 60), 20 + 12 * (k // 60), 5) for k in range(2000))
    start = perf_counter()
    made = plan_templates(job(760, 440, many), Shop())
    assert perf_counter() - start < 20.0 and made.sheets <= made.plain_sheets


@pytest.mark.parametrize(
    "wish", [paper("A3"), paper("Tabloid"), PaperWish("custom", 330.0, 480.0), PaperWish("roll", 610.0, 0.0)]
)
def test_other_papers(wish: PaperWish) -> None:
    made = plan_templates(job(600, 300, paper=wish), Shop())
    for page in made.pages:
        if wish.name == "roll":
            assert page.width_mm == 610.0 and page.height_mm < 1400.0
        else:
            assert {page.width_mm, page.height_mm} == {wish.width_mm, wish.height_mm}
        assert not overlaps(page, margin_mm=10.0)
    if wish.name == "roll":
        assert all(len(j.layout.sheets) == 1 for j in made.joined)


def test_paper_that_cannot_work_is_refused_with_what_to_do() -> None:
    for wish in (PaperWish("custom", 60.0, 90.0), paper("A4", margin_mm=1.0), paper("A4", overlap_mm=5.0)):
        with pytest.raises(JobError) as caught:
            plan_templates(job(paper=wish), Shop())
        assert caught.value.hint
    with pytest.raises(JobError, match="sheets"):
        plan_templates(job(9000, 5000, ()), Shop())


def test_the_map_names_every_sheet_and_its_page() -> None:
    made = plan_templates(job(), Shop())
    words = [i.text for i in map_figure(made).items if isinstance(i, Text)]
    for j in made.joined:
        for k, sheet in enumerate(j.layout.sheets):
            number = str(j.first_page + k)
            assert any(number in w and (len(j.layout.sheets) == 1 or sheet.name in w) for w in words)


def test_distances_printed_on_the_sheets_are_as_long_as_the_map_says() -> None:
    made = plan_templates(job(), Shop())
    assert made.checks
    words = all_words(made).replace("\n", " ")  # the map breaks its lines
    for d in made.checks:
        assert f"{d.start} to {d.end} {d.length_mm:.1f} mm" in words
        # exact: both targets are drawn on a sheet, a circle of 1.5 mm at each end
        for j in made.joined:
            if d in j.checks:
                assert all(any(s.printed.holds(p) for s in j.layout.sheets) for p in (d.a, d.b))


# --- scale


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


def test_the_coupon_reads_well_and_is_never_corrected() -> None:
    for name in ("A4", "Letter", "A3"):
        page = paper_coupon(paper(name)).pages[0]
        assert not overlaps(page, margin_mm=10.0, clear_of=("side", "target"), smallest_mm=4.19)


# --- doubts


def codes(made: TemplateSet) -> set[str]:
    return {f.code for f in made.findings}


def test_doubts_about_a_job_are_findings() -> None:
    fine = plan_templates(job(160, 120, ()), Shop())
    assert codes(fine) == set()
    same = plan_templates(job(160, 120, (), marks=Marks(forward_deg=90.0, up_deg=450.0)), Shop())
    assert codes(same) == {"arrows-same-way"}
    turned = plan_templates(job(160, 120, (), marks=Marks(None, up_deg=10.0, left_deg=-350.0)), Shop())
    assert codes(turned) == {"arrows-same-way"}
    on_line = job(160, 120, (hole("H1", 20, 60, 9, in_skin=True),), joint=Joint("lap", 0.0, 20.0))
    assert "hole-on-opening-line" in codes(plan_templates(on_line, Shop()))
    bent = job(160, 120, (), flanges=(Flange("lip", (50.0, 9.0), (90.0,), 60.0, 3.0, 2.0),))
    assert {"short-leg", "tight-bend"} <= codes(plan_templates(bent, Shop()))
    assert "narrow-border" in codes(plan_templates(job(160, 120, (), paper=paper("A4", margin_mm=6.0)), Shop()))


def test_a_hole_is_labelled_nearer_to_it_than_to_any_other() -> None:
    holes = tuple(hole(f"H{k}", 40 + 30 * k, 40 + 10 * (k % 2), 10) for k in range(9))
    made = plan_templates(job(330, 130, holes, paper=paper("A3")), Shop())
    plate = next(p.template for j in made.joined for p in j.layout.placed if p.template.name == "Plate")
    page = made.pages[next(t.sheet for t in made.tiles if t.template == "Plate") - 1]
    rings = {
        i.tag.split()[1]: i.segments[0].box.centre
        for i in page.items
        if isinstance(i, Stroke) and i.tag.startswith("hole ")
    }
    labels = [i for i in page.items if isinstance(i, Text) and i.tag == "hole label"]
    assert len(labels) >= 7 and len(plate.spots) == 9
    for label in labels:
        gaps = {name: _gap(text_corners(label), centre) for name, centre in rings.items()}
        assert gaps[label.text.split()[0]] == min(gaps.values())


def _gap(corners: tuple[Point, ...], p: Point) -> float:
    """Distance from a point to an upright box."""
    x = min(max(p.x, corners[0].x), corners[1].x)
    return p.distance(Point(x, min(max(p.y, corners[0].y), corners[2].y)))


def test_label_and_arrows_of_a_template_lie_on_one_sheet() -> None:
    made = plan_templates(job(500, 230, marks=Marks(up_deg=90.0, forward_deg=180.0)), Shop())
    page = next(p for p in made.pages if "PLATE" in texts(p))
    assert {"FORWARD", "UP"} <= set(texts(page))


def test_the_same_page_goes_out_as_svg_with_true_arcs() -> None:
    from xml.etree.ElementTree import fromstring  # our own page, not a stranger's

    made = plan_templates(job(160, 120, (hole("H1", 80, 60, 22),)), Shop())
    page = next(p for p in made.pages if "PLATE" in texts(p))
    root = fromstring(render_svg(page, title="Plate"))
    name = "{http://www.w3.org/2000/svg}"
    cut = [e.get("d") for e in root.iter(f"{name}path") if "cut" in (e.get("class") or "").split()]
    holes = [e.get("d") for e in root.iter(f"{name}path") if "hole" in (e.get("class") or "").split()]
    assert any(d.count("A25 25 ") == 4 for d in cut)  # exact: four corners of 25 mm
    assert any(d.count("A11 11 ") == 2 for d in holes)  # exact: a circle of 22 mm as two halves
    assert "PLATE" in [e.text for e in root.iter(f"{name}text")]


def test_page_labels_and_bookmarks_tell_sheets_apart() -> None:
    made = plan_templates(job(), Shop())
    labels = [p.label for p in made.pages]
    assert len(set(labels)) == len(labels) and labels[1] == "2"
    assert made.pages[0].bookmark == "Map of the sheets" and all(p.bookmark for p in made.pages)
