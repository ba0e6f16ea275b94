"""The backends on one small page: geometry, text, metadata and determinism."""

from __future__ import annotations

import re
from io import BytesIO
from math import hypot, pi

import pytest

from cutplan.drawing.bezier import arc_beziers, bezier_error
from cutplan.drawing.font import text_width
from cutplan.drawing.layout import arrow, paragraph, table, wrap_text
from cutplan.drawing.model import Document, Figure, Page, Pen, Stroke, Text, line, outline, ring
from cutplan.drawing.pdf import render_pdf
from cutplan.drawing.placer.picture import as_page
from cutplan.drawing.png import dots_in, render_png
from cutplan.drawing.recorder import overlaps, record
from cutplan.drawing.svg import render_svg
from cutplan.geometry.contour import rectangle
from cutplan.geometry.segment import arc_from_centre
from cutplan.geometry.vector import Box, Point


def page() -> Page:
    items = (
        outline(rectangle(20, 30, 100, 60, 10), Pen(0.5), tag="cut"),
        ring(Point(50, 60), 12, Pen(0.25, "#cc0000", (3, 1)), tag="hole 1"),
        line((10, 200), (200, 200), tag="ruler"),
        Text("Plate, Ø 24 mm", Point(20, 150), 5),
        Text("up", Point(180, 100), 5, "middle", 90.0, bold=True),
    )
    return Page(210, 297, items, "1 of 1", "Plate")


@pytest.mark.parametrize("radius", [1.0, 25.0, 1000.0, 50_000.0])
@pytest.mark.parametrize("sweep", [0.01, -0.7, pi, -2 * pi])
def test_beziers_stay_within_a_thousandth_of_the_arc(radius: float, sweep: float) -> None:
    arc = arc_from_centre(Point(3, 4), radius, 0.3, sweep)
    at = arc.start
    for a, b, c in arc_beziers(arc):
        for i in range(21):
            t = i / 20
            x, y = (
                (1 - t) ** 3 * p + 3 * (1 - t) ** 2 * t * q + 3 * (1 - t) * t * t * r + t**3 * s
                for p, q, r, s in zip(at, a, b, c, strict=True)
            )
            assert abs(hypot(x - 3, y - 4) - radius) < 0.001  # exact: the radius; 0.001 mm is the promise
        at = c
    assert at == arc.end


def test_the_error_formula_matches_the_sampled_quarter_circle() -> None:
    # from memory: 2.7253e-4 of the radius for a quarter circle with control points at 0.5523 radii
    assert bezier_error(1.0, pi / 2) == pytest.approx(2.7253e-4, rel=0.02)


def test_pdf_is_equal_for_equal_input_and_carries_its_metadata() -> None:
    pypdf = pytest.importorskip("pypdf")
    document = Document((page(), page()), "Left plate", "Templates", keywords=("template",))
    data = render_pdf(document)
    assert data == render_pdf(document)
    read = pypdf.PdfReader(BytesIO(data))
    assert read.metadata.title == "Left plate" and read.metadata.subject == "Templates"
    root = read.trailer["/Root"]
    assert root["/ViewerPreferences"]["/PrintScaling"] == "/None"
    assert root["/Lang"] == "en"
    assert read.page_labels == ["1 of 1", "1 of 1"]
    assert [entry.title for entry in read.outline] == ["Plate", "Plate"]
    assert all("/UserUnit" not in p for p in read.pages)
    box = read.pages[0].mediabox
    assert float(box.width) == pytest.approx(595.276, abs=0.001)  # exact: 210 / 25.4 * 72
    assert float(box.height) == pytest.approx(841.890, abs=0.001)
    assert "Plate, Ø 24 mm" in read.pages[0].extract_text()
    for resource in read.pages[0]["/Resources"]["/Font"].values():
        assert "/FontFile2" in resource.get_object()["/FontDescriptor"], "every font must be embedded"


def test_svg_keeps_arcs_tags_and_words_for_people_who_do_not_see() -> None:
    svg = render_svg(page(), title="Plate & hole", desc="A plate", ident="a")
    assert 'viewBox="0 0 210 297"' in svg and '<title id="a-title">Plate &amp; hole</title>' in svg
    assert 'class="hole hole-1"' in svg and 'class="cut"' in svg
    # exact: four quarter arcs of 10 mm and two halves of the 12 mm circle
    assert len(re.findall(r"A10 10 0 0 0 ", svg)) == 4
    assert len(re.findall(r"A12 12 0 0 0 ", svg)) == 2


def test_svg_arc_draws_the_same_shape_as_the_plate() -> None:
    pdfium = pytest.importorskip("pypdfium2")
    document = pdfium.PdfDocument(render_pdf(Document((page(),), "t")))
    image = document[0].render(scale=2).to_pil().convert("L")
    k = 2 * 72 / 25.4

    def dark(x: float, y: float) -> bool:
        px, py = round(x * k), round((297 - y) * k)
        return min(image.getpixel((px + i, py + j)) for i in (-1, 0, 1) for j in (-1, 0, 1)) < 128

    assert dark(20, 60) and dark(120, 60) and dark(30 - 10 * 0.7071, 40 - 10 * 0.7071)
    assert not dark(21.5, 31.5), "the corner must be round"


def test_png_shows_the_lines_where_they_are() -> None:
    from PIL import Image

    data = render_png(page(), 127.0)
    assert data == render_png(page(), 127.0)
    image = Image.open(BytesIO(data)).convert("L")
    assert image.size == (1050, 1485)  # exact: 5 px/mm

    def dark(x: float, y: float) -> bool:
        px, py = round(x * 5), round((297 - y) * 5)
        return min(image.getpixel((px + i, py + j)) for i in (-1, 0, 1) for j in (-1, 0, 1)) < 160

    assert dark(20, 60) and dark(100, 200) and not dark(70, 40)


def test_png_holds_dots_under_its_items_where_their_box_lies() -> None:
    import numpy as np
    from PIL import Image

    box, sheet = Box(10.0, 5.0, 30.0, 20.0), Page(50.0, 40.0, (line((0, 12), (50, 12), Pen(1.0)),))
    across, up = dots_in(box, 127.0)
    assert (across, up) == (200, 150)  # exact: 5 px/mm, drawn twice as fine
    dots = np.zeros((up, across, 3), dtype=np.uint8)
    dots[: up // 2, :, 0] = dots[up // 2 :, :, 1] = 255  # red over green
    image = Image.open(BytesIO(render_png(sheet, 127.0, under=[(box, dots)]))).convert("RGB")

    def colour(x: float, y: float) -> tuple[int, ...]:
        return image.getpixel((round(x * 5), round((40 - y) * 5)))

    assert colour(10.5, 19.5) == colour(29.5, 14.0) == (255, 0, 0)
    assert colour(10.5, 5.5) == colour(29.5, 9.0) == (0, 255, 0)
    assert colour(20.0, 12.0) == (0, 0, 0) and colour(9.5, 19.5) == colour(30.5, 5.5) == (255, 255, 255)


def test_recorder_names_each_kind_of_fault() -> None:
    good = page()
    assert overlaps(good, margin_mm=5) == ()
    bad = Page(
        210,
        297,
        (
            *good.items,
            Text("Plate again", Point(40, 151), 5),
            Text("on the line", Point(100, 88), 5),
            Text("tiny", Point(100, 250), 2),
            Text("over the edge", Point(190, 250), 5),
            Text("turned", Point(118, 50), 5, angle_deg=80),
        ),
    )
    kinds = sorted((c.kind, c.what) for c in overlaps(bad, margin_mm=5))
    assert kinds == [
        ("outside", "over the edge"),
        ("small text", "tiny"),
        ("text on line", "on the line"),
        ("text on line", "turned"),
        ("text on text", "Plate, Ø 24 mm"),
    ]


def test_a_text_inside_a_ring_does_not_touch_it_but_one_across_does() -> None:
    hole = ring(Point(50, 50), 20, tag="cut")
    assert not overlaps(Page(100, 100, (hole, Text("H1", Point(45, 48), 5))))
    assert overlaps(Page(100, 100, (hole, Text("H1", Point(65, 48), 5))))
    assert overlaps(Page(100, 100, (hole, Text("H1", Point(60, 48), 5))), gap_mm=3.0)


def test_wrapped_lines_fit_and_lose_no_word() -> None:
    text = "Cut the paper on the thick line and tape the sheets together by their marks"
    lines = wrap_text(text, 40.0, 4.0)
    assert len(lines) > 2 and " ".join(lines) == text
    assert all(text_width(run, 4.0) <= 40.0 for run in lines)
    assert "".join(wrap_text("Aaaaaaaaaaaaaaaaaaaaaaaaaaa", 10.0)) == "Aaaaaaaaaaaaaaaaaaaaaaaaaaa"


def test_a_number_keeps_its_unit_and_an_inch_its_millimetres() -> None:
    text = "a blank of 14 11/64 in (360.0 mm) and 0.48 kg of it"
    for width in range(26, 90):
        lines = wrap_text(text, float(width), 3.6)
        assert " ".join(lines) == text
        assert any("14 11/64 in" in run for run in lines) and any("(360.0 mm)" in run for run in lines)
        assert any("0.48 kg" in run for run in lines)
        whole = "14 11/64 in (360.0 mm)"
        assert any(whole in run for run in lines) == (text_width(whole, 3.6) <= width)


def test_table_cells_do_not_meet_and_rows_that_do_not_fit_wait() -> None:
    rows = [["No.", "What to do"], *[[str(i), "a long sentence that must wrap in its column"] for i in range(9)]]
    items, bottom, drawn = table(rows, 20, 200, [15, 50], bottom_mm=150)
    assert drawn < 10 and bottom >= 150
    assert overlaps(Page(210, 297, items), clear_of=("table",)) == ()
    text, below = paragraph("one two three " * 9, 20, 90, 60)
    assert overlaps(Page(210, 297, (*items, *text))) == () and below < 90


def test_figures_become_pages_of_their_own_shape() -> None:
    figure = Figure((ring(Point(0, 0), 50), Text("c", Point(0, 0))), Box(-50, -50, 50, 50))
    made = as_page(figure, 108.0)
    assert made.height_mm == pytest.approx(108.0)
    assert record(made).box.width == pytest.approx(100.0)
    stroke = made.items[0]
    assert isinstance(stroke, Stroke) and stroke.segments[0].length == pytest.approx(100 * pi)
    shaft, head = arrow(Point(0, 0), Point(10, 0))
    assert head.fill and shaft.segments[0].end.x < 10.0


def test_a_cross_between_two_sizes_stands_with_the_second() -> None:
    for width in (26.0, 30.0, 34.0, 45.0):
        lines = wrap_text("7 3/32 in (180.0 mm) × 2 23/64 in (60.0 mm)", width, 3.0)
        assert not any(t == "×" or t.endswith(" ×") for t in lines), lines


@pytest.mark.parametrize(
    ("text", "together"),
    [
        ("Symbol by ISO 2553.", "ISO 2553."),
        ("speed 4.9 mm/s = 29 cm/min", "29 cm/min"),
        ("flow of argon 19 ft³/h", "19 ft³/h"),
        ("at least 773 mm, 2 × 141 mm", "2 × 141 mm"),
        ("three holes of Ø 9.0 mm", "Ø 9.0 mm"),
        ("1 Before · 2 Open · 3\u00a0Tacked", "3 Tacked"),
    ],
)
def test_what_belongs_together_stays_on_one_line(text: str, together: str) -> None:
    # exact: at every width that holds the words themselves
    least = text_width(together, 3.6)
    for width in range(int(least) + 2, int(least) + 60):
        assert any(together in line for line in wrap_text(text, float(width), 3.6)), width
