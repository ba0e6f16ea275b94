"""Drawings with two readings are asked about; what is plainly meant is read; what is hardly meant is warned of."""

from __future__ import annotations

from math import acos, pi, sqrt
from pathlib import Path

import pytest
from drawing_help import arc, box, circle, dxf, entity, line, polyline, save, svg
from oracles.whole_account import told_mm

from cutplan.cli.show import print_findings
from cutplan.files.drawing_in import Drawing, read_drawing
from cutplan.files.known_length import parse_known


def codes(drawing: Drawing, severity: str) -> list[str]:
    return [f.code for f in drawing.findings if f.severity == severity]


def assert_adds_up(drawing: Drawing) -> None:
    assert told_mm(drawing.account) == pytest.approx(drawing.account.drawn_mm, rel=1e-3)


# ---- a frame or a plate ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize("repair", [False, True])
def test_a_rectangle_around_a_part_with_holes_is_a_question(tmp_path: Path, repair: bool) -> None:
    path = save(tmp_path, dxf(box(-20, -60, 300, 200), box(0, 0, 240, 120), circle(30, 30, 4)))
    asked = read_drawing(path, repair=repair)
    (found,) = [f for f in asked.findings if f.severity == "error"]
    assert found.code == "frame-or-plate"
    said = str(found.message)
    assert "300" in said and "200" in said and "240" in said and "120" in said  # both readings are shown
    border = read_drawing(path, frame="border")
    assert border.sound and border.parts[0].region.outer.area == 28800.0  # exact
    plate = read_drawing(path, frame="plate")
    assert plate.sound and plate.parts[0].region.outer.area == 60000.0  # exact
    for drawing in (asked, border, plate):
        assert_adds_up(drawing)


def test_discs_are_never_the_parts_of_a_sheet(tmp_path: Path) -> None:
    words = "".join(entity("TEXT", (10, 50), (20, y), (40, 3), (1, "x")) for y in (30, 60, 90))
    discs = [circle(20 + 18 * k, 100, 1.5) for k in range(14)]
    drawing = read_drawing(save(tmp_path, dxf(box(0, 0, 297, 210, "FRAME"), *discs, words)))
    assert drawing.sound and len(drawing.parts) == 1 and len(drawing.parts[0].region.holes) == 14


# ---- lines with a width ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize("width", [0.1, 0.15, 0.3, 0.6, 1.1])
def test_lines_drawn_as_two_edges(tmp_path: Path, width: float) -> None:
    w = width
    text = dxf(box(0, 0, 100, 60), box(w, w, 100 - 2 * w, 60 - 2 * w), circle(50, 30, 10), circle(50, 30, 10 - w))
    path = save(tmp_path, text)
    assert codes(read_drawing(path), "error") == ["double-edge"]
    drawing = read_drawing(path, repair=True)
    assert drawing.sound, drawing.findings
    (part,) = drawing.parts
    assert part.region.area == pytest.approx(6000 - pi * (10 - w) ** 2)  # exact: metal is left on
    assert_adds_up(drawing)


@pytest.mark.parametrize(("wide", "across"), [(3.0, 100.0), (10.0, 900.0)])
def test_a_narrow_frame_is_a_part(tmp_path: Path, wide: float, across: float) -> None:
    # wider than any pen for its size: cut as drawn
    inner = box(wide, wide, across - 2 * wide, 0.6 * across - 2 * wide)
    drawing = read_drawing(save(tmp_path, dxf(box(0, 0, across, 0.6 * across), inner)))
    assert drawing.sound and "double-edge" not in [f.code for f in drawing.findings]
    (part,) = drawing.parts
    assert part.region.area == pytest.approx(0.6 * across**2 - (across - 2 * wide) * (0.6 * across - 2 * wide))  # exact


def test_a_washer_is_a_part(tmp_path: Path) -> None:
    drawing = read_drawing(save(tmp_path, dxf(circle(0, 0, 10), circle(0, 0, 9))))
    assert drawing.sound and len(drawing.parts) == 1


# ---- openings that overlap ------------------------------------------------------------------------------------------


def test_two_circles_that_overlap_are_one_opening(tmp_path: Path) -> None:
    r, d = 10.0, 12.0
    lens = 2 * r * r * acos(d / (2 * r)) - 0.5 * d * sqrt(4 * r * r - d * d)  # exact: area common to both
    drawing = read_drawing(save(tmp_path, dxf(box(0, 0, 100, 60), circle(40, 30, r), circle(40 + d, 30, r))))
    assert drawing.sound and "openings-united" in codes(drawing, "warning")
    (hole,) = drawing.parts[0].region.holes
    assert hole.area == pytest.approx(2 * pi * r * r - lens, rel=1e-9)
    assert_adds_up(drawing)


def test_a_keyhole_of_circle_and_slot_is_one_opening(tmp_path: Path) -> None:
    slot = polyline([(40, 27), (70, 27), (70, 33), (40, 33)])
    drawing = read_drawing(save(tmp_path, dxf(box(0, 0, 100, 60), circle(40, 30, 10), slot)))
    assert drawing.sound and len(drawing.parts[0].region.holes) == 1
    assert_adds_up(drawing)


def test_an_opening_across_the_outline_stays_a_question(tmp_path: Path) -> None:
    drawing = read_drawing(save(tmp_path, dxf(box(0, 0, 100, 60), circle(100, 30, 10), circle(95, 30, 10))))
    assert "contours-cross" in codes(drawing, "error")


# ---- needless refusals ----------------------------------------------------------------------------------------------


def test_a_crossing_smaller_than_any_cut_is_a_warning(tmp_path: Path) -> None:
    turn = 0.4142135623730951
    points = [
        (0, 0, 0),
        (80, 0, turn),
        (100, 20, 0),
        (100, 60, 0),
        (0, 60, 0),
        (0, 30, 0),
        (1e-4, 30, 0),
        (1e-4, 30.001, 0),
        (-1e-4, 30.001, 0),
        (-1e-4, 29.9, 0),
    ]
    drawing = read_drawing(save(tmp_path, dxf(polyline(points))))
    assert drawing.sound and "outline-touches-itself" in codes(drawing, "warning")


def test_the_gap_told_is_the_gap_there_is(tmp_path: Path) -> None:
    sides = line(0, 0, 100, 0) + line(100, 0, 100, 50) + line(100, 50, 0.2, 50.1) + line(0, 50, 0, 0)
    (found,) = [f for f in read_drawing(save(tmp_path, dxf(sides))).findings if f.severity == "error"]
    assert "0.224 mm" in str(found.message)  # exact: sqrt(0.2^2 + 0.1^2)


# ---- what is hardly meant -------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("drawn", "code"),
    [
        (box(0, 0, 200_000, 3000), "part-huge"),
        (box(0, 0, 200, 100) + circle(300, 50, 2), "stray-circle"),
        (box(0, 0, 200, 100) + circle(30, 50, 0.127), "hole-tiny"),
        (box(0, 0, 200, 100) + circle(30, 50, 4e-4), "hole-tiny"),
    ],
)
def test_what_is_hardly_meant_is_warned_of(tmp_path: Path, drawn: str, code: str) -> None:
    assert code in codes(read_drawing(save(tmp_path, dxf(drawn))), "warning")
    plain = read_drawing(save(tmp_path, dxf(box(0, 0, 200, 100), circle(30, 50, 3)), "plain.dxf"))
    assert codes(plain, "warning") == []


def test_a_spline_of_high_degree_is_named(tmp_path: Path) -> None:
    spline = entity(
        "SPLINE",
        (71, 12),
        (70, 0),
        *[(40, k) for k in range(27)],
        *[(10, k) for k in range(14)],
        *[(20, k) for k in range(14)],
    )
    drawing = read_drawing(save(tmp_path, dxf(box(0, 0, 9, 9), spline)))
    (found,) = [f for f in drawing.findings if f.severity == "error"]
    assert "SPLINE" in str(found.message) and "12" in str(found.message) and "line" in str(found.where)


# ---- units ----------------------------------------------------------------------------------------------------------


def test_without_a_unit_the_reading_asks_and_takes_one_length(tmp_path: Path) -> None:
    path = save(tmp_path, dxf(box(0, 0, 24, 12), circle(4, 4, 1), header=""))
    asked = read_drawing(path)
    assert "units-asked" in codes(asked, "error") and not asked.units.firm
    for text, mm in (("width=24 in", 25.4), ("height=12", 1.0), ("hole = 5/8 in", 25.4 * 5 / 16), ("width=610", 25.4)):
        told = read_drawing(path, length=parse_known(text))
        assert told.sound and told.units.firm, told.findings
        assert told.units.mm_per_unit == pytest.approx(mm)  # exact: the length by what it is in the drawing
    assert "length-not-there" in codes(read_drawing(save(tmp_path, dxf(box(0, 0, 24, 12), header=""), "b.dxf"),
                                                    length=parse_known("hole=3")), "error")  # fmt: skip


def test_a_length_against_the_header_is_a_warning(tmp_path: Path) -> None:
    drawing = read_drawing(save(tmp_path, dxf(box(0, 0, 100, 50))), length=parse_known("width=300"))
    assert codes(drawing, "warning") == ["units-from-length"] and drawing.parts[0].region.box.width == 300.0  # exact


def test_numbers_that_leave_no_room_are_believed_with_a_warning(tmp_path: Path) -> None:
    holes = [circle(20 + 30 * k, 40, r) for k, r in enumerate((1.6, 1.6, 1.6, 2.25, 2.75))]
    drawing = read_drawing(save(tmp_path, dxf(box(0, 0, 240, 120), *holes, header="")))
    assert drawing.sound and codes(drawing, "warning") == ["units-from-numbers"] and not drawing.units.firm


def test_over_all_counts_arcs(tmp_path: Path) -> None:
    slot = line(0, 0, 100, 0) + arc(100, 20, 20, -90, 90) + line(100, 40, 0, 40) + arc(0, 20, 20, 90, 270)
    drawing = read_drawing(save(tmp_path, dxf(slot)))
    (found,) = [f for f in drawing.findings if f.code == "units-from-header"]
    assert "140" in str(found.message)  # exact: 100 and two radii


@pytest.mark.parametrize(
    ("size", "firm"),
    [
        ('width="200mm" height="100mm" viewBox="0 0 200 100"', True),
        ('width="2.2in" height="1.2in"', True),  # the plate fills it at 96 to the inch
        ('width="500" height="300"', False),
        ('viewBox="0 0 500 300"', False),
    ],
)
def test_pixels_are_asked_about(tmp_path: Path, size: str, firm: bool) -> None:
    drawing = read_drawing(save(tmp_path, svg('<path d="M10 10h180v80h-180z"/>', size), "plate.svg"))
    assert drawing.units.firm is firm
    assert ("units-asked" in codes(drawing, "error")) is not firm


def test_a_job_answers_what_its_drawing_asks(tmp_path: Path) -> None:
    from cutplan.errors import CutplanError
    from cutplan.files.job.read import read_job

    save(tmp_path, dxf(box(-20, -60, 300, 200), box(0, 0, 240, 120), circle(30, 30, 4), header=""))
    text = 'units = "mm"\ntitle = "x"\n[plate]\ndrawing = "plate.dxf"\nthickness = 4\n'
    skin = "[skin]\nthickness = 2.5\n"
    job = tmp_path / "job.toml"
    for more in ("", 'frame = "border"\n'):
        job.write_text(text + more + skin)
        with pytest.raises(CutplanError):  # first which rectangle, then which unit
            read_job(job)
    job.write_text(text + 'frame = "border"\ndrawing_length = "width=240 mm"\n' + skin)
    assert read_job(job).plate.outline.box.width == pytest.approx(240.0)  # exact


def test_what_was_mended_is_told_as_done(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = dxf(line(0, 0, 200, 0), line(200, 0, 200, 100), line(200, 100, 0, 100), line(0, 100, 0, 0.8))
    for repair, word in ((False, "  try:   close"), (True, "  done:  the ends")):
        print_findings(read_drawing(save(tmp_path, text), repair=repair).findings)
        assert word in capsys.readouterr().out
