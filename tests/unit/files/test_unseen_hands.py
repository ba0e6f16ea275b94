"""Drawings as other programs make them, each with a plate of known area: read right, or refused in words."""

from __future__ import annotations

from math import pi
from pathlib import Path

import pytest
from drawing_help import box, circle, dxf, entity, polyline, save, svg
from oracles.whole_account import told_mm

from cutplan.files.drawing_in import Drawing, read_drawing

#: A plate of 100 x 50 with a hole of 20 [mm2].
NET = 5000.0 - 100.0 * pi  # exact
PLATE = box(0, 0, 100, 50) + circle(50, 25, 10)
SHAPES = '<rect x="20" y="20" width="100" height="50" {0}/><circle cx="70" cy="45" r="10" {0}/>'
LINE = 'fill="none" stroke="#000"'


def codes(drawing: Drawing, severity: str) -> set[str]:
    return {f.code for f in drawing.findings if f.severity == severity}


def is_plate(drawing: Drawing) -> bool:
    """Whether a drawing is read as the plate, with its account adding up."""
    drawn, told = drawing.account.drawn_mm, told_mm(drawing.account)
    (part, *more) = drawing.parts
    right = abs(part.region.area - NET) < 0.01 * NET * 1e-3 and len(part.region.holes) == 1 and not more
    return drawing.sound and right and abs(drawn - told) <= 1e-3 * drawn


def layer(name: str, flags: int = 0, colour: int = 7, plot: int = 1) -> str:
    return (
        f"0\nTABLE\n2\nLAYER\n0\nLAYER\n2\n{name}\n70\n{flags}\n62\n{colour}\n6\nCONTINUOUS\n290\n{plot}\n0\nENDTAB\n"
    )


@pytest.mark.parametrize(("flags", "colour", "holes"), [(1, 7, 1), (0, -7, 2), (0, 7, 2)])
def test_a_frozen_block_is_hidden_and_one_switched_off_shows_what_is_on_other_layers(
    tmp_path: Path, flags: int, colour: int, holes: int
) -> None:
    block = f"0\nBLOCK\n2\nX\n10\n0\n20\n0\n{circle(20, 25, 5, layer='CUT')}0\nENDBLK\n"
    insert = entity("INSERT", (2, "X"), (10, 0), (20, 0), layer="AUX")
    text = dxf(PLATE, insert, tables=layer("AUX", flags, colour), blocks=block)
    (part,) = read_drawing(save(tmp_path, text)).parts
    assert len(part.region.holes) == holes  # by what layers mean in DXF


def test_an_unplotted_sheet_around_the_plate_is_left_aside(tmp_path: Path) -> None:
    text = dxf(PLATE, box(-60, -60, 300, 200, layer="SHEETS"), tables=layer("SHEETS", plot=0))
    assert is_plate(read_drawing(save(tmp_path, text)))


@pytest.mark.parametrize(("apart", "code"), [(0.0, ""), (0.004, ""), (0.012, ""), (0.06, "drawn-twice-apart"), (0.3, "drawn-twice-apart")])  # fmt: skip
def test_an_outline_drawn_again_is_one_while_nobody_could_tell_them_apart(
    tmp_path: Path, apart: float, code: str
) -> None:
    again = box(apart, 0.5 * apart, 100, 50) + circle(50 + apart, 25, 10)
    drawing = read_drawing(save(tmp_path, dxf(PLATE, again)))
    assert code in codes(drawing, "error") if code else is_plate(drawing)


def test_two_lines_with_one_box_and_area_are_not_taken_for_one(tmp_path: Path) -> None:
    # a notch at the left end and the same at the right: same box, same area, and they cross
    left = [(20, 10), (20, 20), (25, 20), (25, 40), (60, 40), (60, 10)]
    drawing = read_drawing(
        save(tmp_path, dxf(box(0, 0, 100, 50), polyline(left), polyline([(80 - x, y) for x, y in left])))
    )
    assert "duplicate-removed" not in codes(drawing, "note")


LETTERS = [  # E with three arms, F, O with its eye, A with its eye
    [(0, 0), (5, 0), (5, 1), (1, 1), (1, 4), (4, 4), (4, 5), (1, 5), (1, 9), (5, 9), (5, 10), (0, 10)],
    [(7, 0), (8, 0), (8, 4), (11, 4), (11, 5), (8, 5), (8, 9), (12, 9), (12, 10), (7, 10)],
    [(14, 0), (20, 0), (20, 10), (14, 10)],
    [(15, 1), (19, 1), (19, 9), (15, 9)],
    [(22, 0), (23, 0), (24, 3), (27, 3), (28, 0), (29, 0), (26, 10), (25, 10)],
    [(24.3, 4), (26.7, 4), (25.5, 8)],
]


def word(x: float, y: float, layer: str = "0", keep: int = 6) -> str:
    return "".join(polyline([(x + a, y + b) for a, b in letter], layer=layer) for letter in LETTERS[:keep])


def test_letters_as_shapes_in_the_plate_are_a_question(tmp_path: Path) -> None:
    path = save(tmp_path, dxf(PLATE, word(5, 5)))
    assert "lettering" in codes(read_drawing(path), "error")
    assert is_plate(read_drawing(path, repair=True))
    assert read_drawing(path, layers=["0"]).sound  # stated: all on the layer is cut
    assert "lettering" in codes(read_drawing(save(tmp_path, dxf(PLATE, word(110, 5)))), "warning")
    assert is_plate(read_drawing(save(tmp_path, dxf(PLATE, word(5, 5, "ENGRAVING")))))


def test_slots_and_windows_are_no_letters(tmp_path: Path) -> None:
    slots = [polyline([(x, 5, 0.0), (x + 6, 5, 1.0), (x + 6, 9, 0.0), (x, 9, 1.0)]) for x in (10, 24, 62, 80)]
    drawing = read_drawing(save(tmp_path, dxf(box(0, 0, 100, 50), *slots, box(10, 15, 6, 6), box(20, 15, 9, 6))))
    assert drawing.sound and not codes(drawing, "warning") and len(drawing.parts[0].region.holes) == 6


def test_a_plain_circle_around_holes_is_a_question(tmp_path: Path) -> None:
    corners = [(0, 0), (100, 0), (100, 40), (80, 60), (0, 60)]  # 5,800 mm2
    path = save(tmp_path, dxf(polyline(corners), circle(50, 25, 10), circle(45, 25, 22)))
    assert "circle-around-holes" in codes(read_drawing(path), "error")
    mended = read_drawing(path, repair=True)
    assert mended.sound and mended.parts[0].region.area == pytest.approx(5800.0 - 100.0 * pi)  # exact
    assert "circle-around-holes" in codes(read_drawing(path, layers=["0"]), "warning")


@pytest.mark.parametrize("corner", [0.0, 10.0])
def test_a_block_in_a_corner_of_either_frame_tells_the_border(tmp_path: Path, corner: float) -> None:
    def frame(x: float, y: float, w: float, h: float) -> str:
        return polyline([(x, y), (x + w, y), (x + w, y + h), (x, y + h)])

    sheet = frame(0, 0, 420, 297) + frame(10, 10, 400, 277) + frame(corner, corner, 180, 40)
    note = entity("TEXT", (10, corner + 20), (20, corner + 20), (40, 5), (1, "title"))
    plate = box(150, 120, 100, 50) + circle(200, 145, 10)
    assert is_plate(read_drawing(save(tmp_path, dxf(sheet, note, plate))))


def test_a_balloon_in_the_plate_is_told(tmp_path: Path) -> None:
    note = circle(20, 25, 5) + entity("TEXT", (10, 18), (20, 23), (40, 4), (1, "3"))
    assert "text-in-opening" in codes(read_drawing(save(tmp_path, dxf(PLATE, note))), "warning")


def test_a_box_around_a_note_is_told(tmp_path: Path) -> None:
    note = box(5, 5, 20, 8) + entity("TEXT", (10, 7), (20, 7), (40, 3), (1, "6 mm"))
    assert "text-in-opening" in codes(read_drawing(save(tmp_path, dxf(PLATE, note))), "warning")


# ---- SVG ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("clip", ["clip-path", "mask"])
@pytest.mark.parametrize(
    ("width", "sound"), [(180, True), (60, False)]
)  # the window holds everything, or cuts the plate
def test_a_window_that_cuts_the_plate_is_refused(tmp_path: Path, clip: str, width: float, sound: bool) -> None:
    tag = "clipPath" if clip == "clip-path" else "mask"
    defs = f'<defs><{tag} id="Win"><rect x="5" y="5" width="{width}" height="90" fill="white"/></{tag}></defs>'
    body = f'{defs}<g {clip}="url(#Win)">{SHAPES.format(LINE)}</g>'
    drawing = read_drawing(save(tmp_path, svg(body), "plate.svg"))
    assert is_plate(drawing) if sound else "clipped" in codes(drawing, "error")


def test_what_lies_outside_of_its_clip_is_left_aside_and_counted(tmp_path: Path) -> None:
    defs = '<defs><clipPath id="w"><rect x="5" y="5" width="150" height="90"/></clipPath></defs>'
    more = '<circle cx="180" cy="50" r="8" fill="none" stroke="#000"/>'
    body = f'{defs}<g clip-path="url(#w)">{SHAPES.format(LINE)}{more}</g>'
    drawing = read_drawing(save(tmp_path, svg(body), "plate.svg"))
    assert is_plate(drawing) and drawing.account.left_aside_mm == pytest.approx(16.0 * pi, rel=1e-6)  # exact


@pytest.mark.parametrize(
    "hidden",
    [
        '<g style="display:none"><circle cx="40" cy="40" r="8" {0}/></g>',
        '<circle cx="40" cy="40" r="8" visibility="hidden" {0}/>',
        '<circle cx="40" cy="40" r="8" opacity="0" {0}/>',
    ],
)
def test_hidden_lengths_stand_in_the_account(tmp_path: Path, hidden: str) -> None:
    body = SHAPES.format(LINE) + hidden.format(LINE)
    drawing = read_drawing(save(tmp_path, svg(body), "plate.svg"))
    assert is_plate(drawing) and drawing.account.left_aside_mm == pytest.approx(16.0 * pi, rel=1e-6)  # exact


@pytest.mark.parametrize("paint", ['fill="#d0e8ff"', 'style="fill:rgb(250,250,240)"', 'fill="#ffffff"'])
@pytest.mark.parametrize("shape", [LINE, 'fill="#888"'])
def test_a_coloured_page_behind_the_plate_is_no_plate(tmp_path: Path, paint: str, shape: str) -> None:
    body = f'<rect width="100%" height="100%" {paint}/>' + SHAPES.format(shape)
    if shape != LINE:  # the hole shows the page
        body = body.replace('r="10" fill="#888"', 'r="10" fill="#fff"')
    assert is_plate(read_drawing(save(tmp_path, svg(body), "plate.svg")))


def test_an_opening_nobody_can_see_is_told(tmp_path: Path) -> None:
    drawing = read_drawing(save(tmp_path, svg(SHAPES.format('fill="#777"')), "plate.svg"))
    assert "opening-unseen" in codes(drawing, "warning")
