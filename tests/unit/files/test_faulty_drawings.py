"""Broken, doubtful and hostile drawings: mended with a finding, or refused with the place and what to try."""

from __future__ import annotations

from math import pi
from pathlib import Path

import pytest
from drawing_help import arc, box, circle, dxf, entity, line, polyline, save, svg

from cutplan.errors import DrawingError, LimitError
from cutplan.files.drawing_in import Drawing, read_drawing
from cutplan.files.limits import MAX_MEETING


def codes(drawing: Drawing, severity: str = "") -> list[str]:
    return [f.code for f in drawing.findings if not severity or f.severity == severity]


# ---- joints -------------------------------------------------------------------------------------------------------


def test_small_gap_is_bridged_with_a_finding(tmp_path: Path) -> None:
    text = dxf(line(0, 0, 100, 0), line(100.03, 0, 100.03, 50), line(100.03, 50, 0, 50), line(0, 50, 0, 0))
    drawing = read_drawing(save(tmp_path, text))
    assert drawing.sound
    found = next(f for f in drawing.findings if f.code == "gap-bridged")
    assert (
        "0.0300" in str(found.message)
        and "(100.000, 0.000)" in str(found.where)
        and "(100.030, 0.000)" in str(found.where)
    )
    assert drawing.parts[0].region.outer.area == pytest.approx(5001.5)  # exact: the side is made longer to meet


def test_bridging_tolerance_can_be_changed(tmp_path: Path) -> None:
    path = save(tmp_path, dxf(line(0, 0, 10, 0), line(10.2, 0, 10.2, 5), line(10.2, 5, 0, 5), line(0, 5, 0, 0)))
    assert not read_drawing(path).sound
    assert read_drawing(path, bridge_mm=0.3).sound


def test_wide_gap_is_refused_with_both_ends(tmp_path: Path) -> None:
    text = dxf(line(0, 0, 99, 0), line(100, 0, 100, 50), line(100, 50, 0, 50), line(0, 50, 0, 0))
    path = save(tmp_path, text)
    refused = next(f for f in read_drawing(path).findings if f.code == "open-outline")
    assert refused.severity == "error"
    assert (
        "(99.000, 0.000)" in str(refused.where)
        and "(100.000, 0.000)" in str(refused.where)
        and "1.000 mm" in str(refused.message)
    )
    mended = read_drawing(path, repair=True)
    assert mended.sound and "open-outline-closed" in codes(mended, "warning")
    assert mended.parts[0].region.outer.area == 5000.0  # exact


def test_missing_side_is_refused(tmp_path: Path) -> None:
    drawing = read_drawing(save(tmp_path, dxf(line(0, 0, 100, 0), line(100, 0, 100, 50), line(100, 50, 0, 50))))
    assert "open-outline" in codes(drawing, "error") and not drawing.parts


def test_a_bend_line_on_the_plate_is_left_aside(tmp_path: Path) -> None:
    drawing = read_drawing(save(tmp_path, dxf(box(0, 0, 100, 50), line(50, 1, 50, 49), circle(20, 20, 5))))
    assert drawing.sound and "open-lines" in codes(drawing, "warning")
    assert len(drawing.parts[0].region.holes) == 1


def test_repeated_lines_in_either_direction(tmp_path: Path) -> None:
    text = dxf(box(0, 0, 100, 50), line(100, 0, 0, 0), line(0, 0, 0, 50), circle(20, 20, 5), circle(20, 20, 5))
    drawing = read_drawing(save(tmp_path, text))
    assert drawing.sound and codes(drawing).count("duplicate-removed") == 2
    assert drawing.parts[0].region.area == pytest.approx(5000 - 25 * pi)  # exact


def test_overlapping_lines(tmp_path: Path) -> None:
    text = dxf(line(0, 0, 60, 0), line(40, 0, 100, 0), line(100, 0, 100, 50), line(100, 50, 0, 50), line(0, 50, 0, 0))
    drawing = read_drawing(save(tmp_path, text))
    assert drawing.sound and "overlap-removed" in codes(drawing, "warning")
    assert drawing.parts[0].region.outer.area == 5000.0  # exact


def test_lines_without_length_are_dropped(tmp_path: Path) -> None:
    drawing = read_drawing(save(tmp_path, dxf(box(0, 0, 10, 10), line(5, 5, 5, 5))))
    assert drawing.sound and "zero-length-dropped" in codes(drawing)


def test_branch_is_refused_with_its_place_and_resolved_by_repair(tmp_path: Path) -> None:
    path = save(tmp_path, dxf(box(0, 0, 100, 50), line(50, 0, 50, 50), line(100, 50, 130, 70)))
    drawing = read_drawing(path)
    refused = next(f for f in drawing.findings if f.code == "branch")
    assert refused.severity == "error" and "(100.000, 50.000)" in str(refused.where)
    mended = read_drawing(path, repair=True)
    assert mended.sound and mended.parts[0].region.outer.area == 5000.0  # exact: the outer boundary


def test_parts_drawn_side_by_side_share_an_edge(tmp_path: Path) -> None:
    drawing = read_drawing(save(tmp_path, dxf(box(0, 0, 100, 50), box(100, 0, 60, 50), box(0, 50, 100, 20))))
    assert drawing.sound and "contours-touch" in codes(drawing, "warning")
    assert [p.region.area for p in drawing.parts] == [5000.0, 3000.0, 2000.0]  # exact: each was drawn all around


def test_a_centre_mark_of_four_lines_is_no_branch(tmp_path: Path) -> None:
    mark = "".join(line(50, 25, 50 + x, 25 + y) for x, y in ((3, 0), (-3, 0), (0, 3), (0, -3)))
    drawing = read_drawing(save(tmp_path, dxf(box(0, 0, 100, 50), mark)))
    assert drawing.sound and {str(k): n for k, n in drawing.left_aside} == {"open line": 4}


def test_repair_closes_several_wider_gaps(tmp_path: Path) -> None:
    text = dxf(line(0, 0, 99.7, 0), line(100, 0, 100, 49.8), line(100, 50, 0.2, 50), line(0, 50, 0, 0.3))
    path = save(tmp_path, text)
    assert not read_drawing(path).sound
    mended = read_drawing(path, repair=True)
    assert mended.sound and codes(mended).count("open-outline-closed") == 1
    assert mended.parts[0].region.outer.area == pytest.approx(5000.0)  # exact: the sides are made longer to meet


def test_outline_that_crosses_itself(tmp_path: Path) -> None:
    drawing = read_drawing(save(tmp_path, dxf(polyline([(0, 0), (10, 10), (10, 0), (0, 12)]))))
    found = next(f for f in drawing.findings if f.code == "self-crossing")
    assert found.severity == "error" and "mm" in str(found.where)


def test_hole_across_the_outline(tmp_path: Path) -> None:
    drawing = read_drawing(save(tmp_path, dxf(box(0, 0, 100, 50), circle(100, 25, 5))))
    found = next(f for f in drawing.findings if f.code == "contours-cross")
    assert found.severity == "error" and "(100.0" in str(found.where)


def test_touching_hole_is_a_warning(tmp_path: Path) -> None:
    drawing = read_drawing(save(tmp_path, dxf(box(0, 0, 100, 50), box(40, 0, 20, 10))))
    assert "contours-touch" in codes(drawing, "warning")


def test_arcs_on_a_full_circle_are_left_out(tmp_path: Path) -> None:
    text = dxf(box(0, 0, 100, 50), circle(50, 25, 8), arc(50, 25, 8, 20, 350), arc(50, 25, 8, 90, 180))
    drawing = read_drawing(save(tmp_path, text))
    assert drawing.sound and "overlap-removed" in codes(drawing)
    assert drawing.parts[0].region.area == pytest.approx(5000 - 64 * pi)  # exact


# ---- nesting ------------------------------------------------------------------------------------------------------


def test_rings_and_parts_in_parts(tmp_path: Path) -> None:
    text = dxf(*[circle(0, 0, r) for r in (50, 40, 30, 20, 10)], box(200, 0, 10, 10))
    areas = [round(p.region.area / pi, 6) for p in read_drawing(save(tmp_path, text)).parts[:3]]
    assert areas == [900.0, 500.0, 100.0]  # exact: rings 50-40, 30-20 and the disc of 10


def test_countersink_drawn_as_two_circles_is_a_question(tmp_path: Path) -> None:
    path = save(tmp_path, dxf(box(0, 0, 100, 50), circle(20, 20, 5), circle(20, 20, 10)))
    assert "disc-in-hole" in codes(read_drawing(path), "error")
    mended = read_drawing(path, repair=True)
    assert mended.sound and mended.parts[0].region.area == pytest.approx(5000 - 25 * pi)  # exact: the smaller is cut
    both = read_drawing(path, layers=["0"])
    assert both.sound and both.parts[0].region.area == pytest.approx(5000 - 100 * pi)  # exact: both are cut, as stated


def test_sheet_border_is_left_aside(tmp_path: Path) -> None:
    sheet = box(0, 0, 420, 297) + box(10, 10, 400, 277) + box(230, 10, 180, 40)
    words = entity("TEXT", (10, 240), (20, 20), (1, "title")) + entity("TEXT", (10, 240), (20, 30), (1, "steel"))
    drawing = read_drawing(save(tmp_path, dxf(sheet, words, box(60, 100, 200, 100), circle(100, 150, 10))))
    assert drawing.sound and "border-left-aside" in codes(drawing, "warning")
    (part,) = drawing.parts
    assert part.region.area == pytest.approx(20000 - 100 * pi)  # exact


def test_rectangular_plate_of_paper_size_stays_a_plate(tmp_path: Path) -> None:
    drawing = read_drawing(save(tmp_path, dxf(box(0, 0, 297, 210), *[circle(50 * k, 100, 6) for k in range(1, 6)])))
    (part,) = drawing.parts
    assert len(part.region.holes) == 5


# ---- damage -------------------------------------------------------------------------------------------------------

GOOD = dxf(box(0, 0, 100, 50), circle(20, 20, 5))
NET = 5000 - 25 * pi  # exact


@pytest.mark.parametrize(
    "data",
    [
        GOOD.replace("\n", "\r\n").encode(),
        GOOD.replace("\n", "\r").encode(),
        GOOD.replace("\n", "\r\r\n").encode(),
        b"\xef\xbb\xbf" + GOOD.encode(),
        GOOD.encode("utf-16"),
        GOOD.encode("utf-16-le"),
        GOOD.replace("8\n0\n", "8\nÄußere\n").encode("cp1252"),
        GOOD.replace("0\nEOF\n", "").encode(),
        GOOD.replace("0\nENDSEC\n", "").encode(),
        (GOOD + "trailing\ngarbage\n\x1a").encode(),
        GOOD[GOOD.index("0\nLINE") : GOOD.rindex("0\nENDSEC")].encode(),
        ("  " + GOOD.replace("\n10\n", "\n 10\n").replace("\n20\n", "\n 20\n")).encode(),
        GOOD.replace("40\n5\n", "40\n5.0E+00\n").encode(),
        ("999\na comment\n" + GOOD).encode(),
        GOOD.replace("0\nCIRCLE\n", "oops\n0\nCIRCLE\n").encode(),
    ],
    ids=["crlf", "cr", "crcrlf", "bom", "utf16", "utf16-no-mark", "cp1252", "no-eof", "no-endsec", "garbage", "bare",
         "blanks", "exponent", "comment", "stray-line"],
)  # fmt: skip
def test_dialects_and_mild_damage_are_read(tmp_path: Path, data: bytes) -> None:
    drawing = read_drawing(save(tmp_path, data), units="mm")
    assert drawing.parts[0].region.area == pytest.approx(NET, rel=1e-12)


def test_decimal_commas(tmp_path: Path) -> None:
    text = dxf(line(0, 0, 10.5, 0), line(10.5, 0, 10.5, 4), line(10.5, 4, 0, 4), line(0, 4, 0, 0)).replace(
        "10.5", "10,5"
    )
    drawing = read_drawing(save(tmp_path, text))
    assert drawing.parts[0].region.area == 42.0  # exact
    assert "decimal-comma" in codes(drawing, "warning")


def test_group_codes_in_another_order(tmp_path: Path) -> None:
    swapped = "0\nCIRCLE\n40\n5\n20\n20\n10\n20\n8\n0\n"
    drawing = read_drawing(save(tmp_path, GOOD.replace(circle(20, 20, 5), swapped)))
    assert drawing.parts[0].region.area == pytest.approx(NET)


def test_cut_short_in_the_middle_is_refused(tmp_path: Path) -> None:
    # the outline is whole and only the hole is missing: nothing else would tell
    path = save(tmp_path, GOOD[: GOOD.index("0\nCIRCLE")])
    drawing = read_drawing(path)
    assert "file-cut-short" in codes(drawing, "error") and len(drawing.parts) == 1
    assert read_drawing(path, repair=True).sound


def test_repair_leaves_out_what_cannot_be_drawn(tmp_path: Path) -> None:
    path = save(tmp_path, dxf(box(0, 0, 9, 9), arc(3, 3, -1, 0, 90)))
    assert not read_drawing(path).sound
    assert read_drawing(path, repair=True).sound


@pytest.mark.parametrize(
    ("data", "word"),
    [
        (b"", "empty"),
        (b"\x00" * 400, "empty"),
        (b"<!DOCTYPE html><html><body>404</body></html>", "web page"),
        (b"<html><svg></svg></html>", "web page"),
        (b"%PDF-1.7 ...", "PDF"),
        (b"\x89PNG\r\n\x1a\n....", "PNG"),
        (b"PK\x03\x04....", "zip"),
        (b"AC1032\x00\x00\x00\x00\x00...", "DWG"),
        (b"version https://git-lfs.github.com/spec/v1\noid sha256:0\nsize 1\n", "pointer"),
        (b"solid part\nfacet normal 0 0 1\n", "STL"),
        (b"ISO-10303-21;\nHEADER;\n", "STEP"),
        (b'{"type": "drawing"}', "JSON"),
        (b"hello, this is a letter\nwith two lines\n", "not a DXF"),
        (b"<?xml version='1.0'?><kml></kml>", "not a"),
        (GOOD.replace("0\nCIRCLE", "<<<<<<< HEAD\n0\nCIRCLE\n=======\n0\nARC\n>>>>>>> other").encode(), "merge"),
    ],
)
def test_files_that_are_something_else(tmp_path: Path, data: bytes, word: str) -> None:
    with pytest.raises(DrawingError) as refused:
        read_drawing(save(tmp_path, data))
    assert word in str(refused.value.message)
    assert "plate.dxf" in str(refused.value.where)


def test_missing_file_and_folder(tmp_path: Path) -> None:
    for path in (tmp_path / "none.dxf", tmp_path, Path("/dev/zero"), Path("no\x00name"), tmp_path / ("x" * 400)):
        with pytest.raises(DrawingError):
            read_drawing(path)


def test_drawing_without_anything_is_an_error(tmp_path: Path) -> None:
    assert "no-outline" in codes(read_drawing(save(tmp_path, dxf())), "error")
    only_text = dxf(entity("TEXT", (10, 0), (20, 0), (1, "hi")))
    assert "no-outline" in codes(read_drawing(save(tmp_path, only_text)), "error")


def test_a_layer_that_is_not_there_names_those_that_are(tmp_path: Path) -> None:
    drawing = read_drawing(save(tmp_path, dxf(box(0, 0, 9, 9, layer="Plate"))), layers=["cut"])
    assert any(f.code == "no-outline" and "Plate" in str(f.fix) for f in drawing.findings)


# ---- hostile ------------------------------------------------------------------------------------------------------


def _block(name: str, body: str) -> str:
    return f"0\nBLOCK\n8\n0\n2\n{name}\n70\n0\n10\n0\n20\n0\n{body}0\nENDBLK\n8\n0\n"


def test_block_that_holds_itself(tmp_path: Path) -> None:
    blocks = _block("A", entity("INSERT", (2, "B"))) + _block("B", entity("INSERT", (2, "A")) + circle(0, 0, 1))
    drawing = read_drawing(save(tmp_path, dxf(box(0, 0, 9, 9), entity("INSERT", (2, "A")), blocks=blocks)))
    assert any("holds itself" in str(f.message) for f in drawing.findings) and not drawing.sound


def test_blocks_that_grow_without_bound(tmp_path: Path) -> None:
    blocks = _block("B0", circle(0, 0, 1))
    for k in range(1, 20):
        blocks += _block(f"B{k}", entity("INSERT", (2, f"B{k - 1}")) * 10)
    with pytest.raises(LimitError):
        read_drawing(save(tmp_path, dxf(entity("INSERT", (2, "B19")), blocks=blocks)))


def test_array_of_millions(tmp_path: Path) -> None:
    insert = entity("INSERT", (2, "A"), (70, 30000), (71, 30000), (44, 1), (45, 1))
    with pytest.raises(LimitError):
        read_drawing(save(tmp_path, dxf(insert, blocks=_block("A", circle(0, 0, 0.1)))))


@pytest.mark.parametrize("value", ["nan", "inf", "-inf", "1e308", "-1e300", "x", "", "1_0", "0x10"])
def test_values_that_are_no_coordinates(tmp_path: Path, value: str) -> None:
    drawing = read_drawing(save(tmp_path, dxf(box(0, 0, 9, 9), entity("CIRCLE", (10, value), (20, 1), (40, 1)))))
    assert "entity-unreadable" in codes(drawing, "error")
    assert drawing.parts[0].region.outer.area == 81.0  # exact


def test_arc_without_radius_and_polyline_without_points(tmp_path: Path) -> None:
    text = dxf(box(0, 0, 9, 9), arc(3, 3, 0, 0, 90), polyline([]), entity("SPLINE", (71, 99)), entity("ELLIPSE"))
    drawing = read_drawing(save(tmp_path, text))
    assert codes(drawing, "error").count("entity-unreadable") == 2  # the spline and the ellipse
    assert "zero-length-dropped" in codes(drawing)


def test_things_of_one_point_do_not_refuse_a_drawing(tmp_path: Path) -> None:
    text = dxf(box(0, 0, 9, 9), arc(3, 3, 0, 0, 90), circle(4, 4, 0), polyline([(1, 1)]), polyline([]))
    drawing = read_drawing(save(tmp_path, text))
    assert drawing.sound and drawing.parts[0].region.area == 81.0  # exact


def test_file_beyond_the_limit_is_refused_unread(tmp_path: Path) -> None:
    path = tmp_path / "big.dxf"
    with path.open("wb") as stream:
        stream.truncate(65 * 2**20)  # a hole in the file: takes no space
    with pytest.raises(LimitError):
        read_drawing(path)


# ---- units --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("header", "size", "hole", "mm"),
    [
        # exact: the header's unit
        ("9\n$INSUNITS\n70\n1\n", 6.0, 0.25, 25.4),
        ("9\n$INSUNITS\n70\n4\n", 150.0, 6.5, 1.0),
        ("9\n$INSUNITS\n70\n5\n", 15.0, 0.65, 10.0),
        ("9\n$INSUNITS\n70\n6\n", 0.4, 0.01, 1000.0),
        ("9\n$INSUNITS\n70\n2\n", 2.0, 0.05, 304.8),
        # the numbers, where the header says nothing
        ("", 150.0, 6.5, 1.0),
        ("", 6.0, 0.375, 25.4),
        ("9\n$INSUNITS\n70\n0\n", 24.0, 0.5, 25.4),
        ("9\n$INSUNITS\n70\n0\n9\n$MEASUREMENT\n70\n1\n", 60.0, 4.5, 1.0),
        # the numbers against the header
        ("9\n$INSUNITS\n70\n1\n", 400.0, 6.6, 1.0),
        ("9\n$INSUNITS\n70\n6\n", 400.0, 6.6, 1.0),
        ("9\n$INSUNITS\n70\n4\n", 4.5, 0.375, 25.4),
        # doubtful, but not enough against the header
        ("9\n$INSUNITS\n70\n4\n", 8.0, 0.8, 1.0),
        ("9\n$INSUNITS\n70\n1\n", 96.0, 0.5, 25.4),
    ],
)
def test_units_of_a_dxf(tmp_path: Path, header: str, size: float, hole: float, mm: float) -> None:
    text = dxf(box(0, 0, size, size / 2), circle(size / 4, size / 4, hole / 2), header=header)
    drawing = read_drawing(save(tmp_path, text))
    assert drawing.units.mm_per_unit == mm
    assert drawing.units.reason
    assert any(f.code.startswith("units-") for f in drawing.findings)
    assert drawing.parts[0].region.outer.area == pytest.approx(size * size / 2 * mm * mm)
    given = read_drawing(save(tmp_path, text), units="in")
    assert given.units.mm_per_unit == 25.4


def test_what_is_closed_afterwards_is_asked_whether_it_is_an_outline(tmp_path: Path) -> None:
    plate = '<rect x="10" y="10" width="80" height="50"/>'
    flat = read_drawing(save(tmp_path, svg(plate + '<polyline points="0,0 9,0 5,0"/>'), "flat.svg"))
    assert [p.region.outer.area for p in flat.parts] == [4000.0]  # exact; a folded line is no part
    assert "no-area" in {f.code for f in flat.findings}
    bow = read_drawing(save(tmp_path, svg(plate + '<polyline points="100,0 120,20 120,0 100,20"/>'), "bow.svg"))
    assert "self-crossing" in {f.code for f in bow.findings if f.severity == "error"}


def test_a_star_of_thousands_of_lines_is_refused_with_its_middle(tmp_path: Path) -> None:
    rays = [line(3.0, 4.0, 100.0 + k, 50.0) for k in range(MAX_MEETING + 1)]
    with pytest.raises(LimitError, match="meet at one point") as caught:
        read_drawing(save(tmp_path, dxf(*rays)), units="mm")
    assert caught.value.where and "(3.000, 4.000) mm" in str(caught.value.where)
