"""SVG shapes, paths, transforms, units and what is not shown, against areas known by formula."""

from __future__ import annotations

from math import cos, pi, radians, sin
from pathlib import Path

import pytest
from drawing_help import save, svg

from cutplan.errors import CutplanError, DrawingError, LimitError
from cutplan.files.drawing_in import Drawing, read_drawing


def read(tmp_path: Path, text: str, **kw: object) -> Drawing:
    return read_drawing(save(tmp_path, text, "plate.svg"), **kw)  # type: ignore[arg-type]


def area(tmp_path: Path, body: str) -> float:
    drawing = read(tmp_path, svg(body))
    assert drawing.sound, drawing.findings
    return sum(p.region.area for p in drawing.parts)


@pytest.mark.parametrize(
    ("body", "expected"),
    [
        # exact areas [mm2]
        ('<rect x="1" y="2" width="30" height="20"/>', 600.0),
        ('<rect width="30" height="20" rx="5"/>', 600.0 - (4 - pi) * 25),
        ('<rect width="30" height="20" rx="5" ry="2"/>', 600.0 - (4 - pi) * 10),
        ('<rect width="30" height="20" ry="40"/>', 600.0 - (4 - pi) * 15 * 10),
        ('<circle cx="20" cy="20" r="10"/>', 100 * pi),
        ('<ellipse cx="50" cy="50" rx="20" ry="10"/>', 200 * pi),
        ('<polygon points="0,0 30,0 30,20 0,20"/>', 600.0),
        ('<polyline points="0,0 30,0 30,20 0,20"/>', 600.0),
        ('<path d="M0 0H30V20H0Z"/>', 600.0),
        ('<path d="m10,10 30,0 0,20 -30,0z"/>', 600.0),
        ('<path d="M0,0h30v20h-30zm40,0h10v10h-10z"/>', 700.0),
        ('<path d="M10 0A10 10 0 0 1 10 20A10 10 0 0 1 10 0"/>', 100 * pi),
        ('<path d="M10 0a10,10 0 0110 20a10 10 0 01-10-20z"/>', None),
        ('<path d="M0 0A20 10 30 1 1 0.0001 0Z"/>', 200 * pi),
        ('<path d="M0 0 Q20 40 40 0Z"/>', 2 / 3 * 40 * 20),
        ('<path d="M0 0 Q20 40 40 0T80 0"/>', None),
        ('<path d="M0 0C0 0 0 30 0 30L30 30L30 0Z"/>', 900.0),
        ('<path d="M0 10 C0 4.4771525 4.4771525 0 10 0S20 4.4771525 20 10 15.5228475 20 10 20 0 15.5228475 0 10Z"/>',
         100 * pi),
    ],
)  # fmt: skip
def test_shapes(tmp_path: Path, body: str, expected: float | None) -> None:
    if expected is None:
        read(tmp_path, svg(body))  # only has to be read
        return
    assert area(tmp_path, body) == pytest.approx(expected, rel=1e-5)


def test_four_bezier_pieces_are_the_circle_they_stand_for(tmp_path: Path) -> None:
    k = 0.5522847498 * 10
    d = f"M30 20C30 {20 + k} {20 + k} 30 20 30S10 {20 + k} 10 20 {20 - k} 10 20 10 30 {20 - k} 30 20Z"
    found = read(tmp_path, svg(f'<path d="{d}"/>')).parts[0].region.outer.as_circle()
    assert found is not None
    assert 2 * found[1] == pytest.approx(20.0, abs=1e-3)  # exact: all four joints lie on the circle of radius 10


def test_nested_transforms(tmp_path: Path) -> None:
    body = (
        '<g transform="translate(50 50) rotate(30)"><g transform="scale(2,1)"><circle r="10"/></g></g>'
        '<g transform="matrix(1 0 0.5 1 120 10)"><rect width="20" height="30"/></g>'
    )
    drawing = read(tmp_path, svg(body))
    assert [p.region.area for p in drawing.parts] == pytest.approx(
        [200 * pi, 600.0], rel=5e-6
    )  # exact: shear keeps area


def test_y_points_up_after_reading(tmp_path: Path) -> None:
    part = read(tmp_path, svg('<rect x="10" y="20" width="30" height="20"/>')).parts[0].region
    assert tuple(part.box) == pytest.approx((10.0, 60.0, 40.0, 80.0))  # exact: page height 100 less y


def test_use_symbol_and_defs(tmp_path: Path) -> None:
    body = (
        '<defs><circle id="c" r="5"/><rect id="unused" width="9" height="9"/></defs>'
        '<symbol id="s" viewBox="0 0 10 10"><rect width="10" height="10"/></symbol>'
        '<use href="#c" x="20" y="20"/><use xlink:href="#c" transform="translate(60,20) scale(2)"/>'
        '<use href="#s" x="100" y="10" width="40" height="20"/>'
    )
    areas = sorted(p.region.area for p in read(tmp_path, svg(body)).parts)
    assert areas == pytest.approx([25 * pi, 100 * pi, 400.0])  # exact: the symbol's box is fitted into 20 x 20


@pytest.mark.parametrize(
    "hidden",
    [
        '<rect width="9" height="9" style="display:none"/>',
        '<rect width="9" height="9" display="none"/>',
        '<g style="display:none"><rect width="9" height="9"/></g>',
        '<rect width="9" height="9" visibility="hidden"/>',
        '<rect width="9" height="9" fill="none" stroke="none"/>',
        '<rect width="9" height="9" class="gone"/>',
        '<rect width="9" height="9" opacity="0"/>',
        '<clipPath id="k"><rect width="9" height="9"/></clipPath>',
        '<mask id="m"><rect width="9" height="9"/></mask>',
        '<pattern id="p"><rect width="9" height="9"/></pattern>',
        '<marker id="a"><path d="M0 0L9 9L0 9Z"/></marker>',
        '<text x="3" y="3">hello</text>',
        '<image width="9" height="9" href="data:,"/>',
    ],
)
def test_what_is_not_shown_is_no_plate(tmp_path: Path, hidden: str) -> None:
    body = f'<style>.gone{{display:none}}</style><rect x="20" y="20" width="50" height="40"/>{hidden}'
    drawing = read(tmp_path, svg(body))
    assert [p.region.area for p in drawing.parts] == [2000.0]  # exact


def test_visible_child_of_a_hidden_group(tmp_path: Path) -> None:
    body = (
        '<g visibility="hidden"><rect width="10" height="10" visibility="visible"/><rect width="99" height="99"/></g>'
    )
    assert area(tmp_path, body) == 100.0  # exact: visibility is inherited, and may be given back


@pytest.mark.parametrize(
    ("size", "mm"),
    [
        # exact: CSS units
        ('width="200mm" height="100mm" viewBox="0 0 200 100"', 1.0),
        ('width="20cm" height="10cm" viewBox="0 0 200 100"', 1.0),
        ('width="8in" height="4in" viewBox="0 0 8 4"', 25.4),
        ('width="200mm" height="100mm" viewBox="0 0 2000 1000"', 0.1),
        ('width="144pt" height="72pt" viewBox="0 0 144 72"', 25.4 / 72),
        ('width="12pc" height="6pc" viewBox="0 0 12 6"', 25.4 / 6),
        ('width="800Q" height="400Q" viewBox="0 0 200 100"', 1.0),
        ('width="200mm" height="200mm" viewBox="0 0 200 100"', 1.0),
        ('width="960px" height="480px" viewBox="0 0 960 480"', 25.4 / 96),
        ('width="960" height="480"', 25.4 / 96),
        ('width="100%" height="100%" viewBox="0 0 960 480"', 25.4 / 96),
        ('viewBox="0 0 960 480"', 25.4 / 96),
    ],
)
def test_units_of_the_page(tmp_path: Path, size: str, mm: float) -> None:
    drawing = read(tmp_path, svg('<path d="M0 0H150V90H0Z"/>', size))
    assert drawing.units.mm_per_unit == pytest.approx(mm, rel=1e-12)
    assert drawing.units.reason
    assert any(f.code.startswith("units-") for f in drawing.findings)


def test_pixels_are_a_doubt_and_old_inkscape_used_ninety(tmp_path: Path) -> None:
    plain = read(tmp_path, svg('<path d="M0 0H300V200H0Z"/>', 'width="400" height="300"'))
    assert any(f.code == "units-asked" and f.severity == "error" for f in plain.findings)
    head = 'width="400" height="300" xmlns:inkscape="i" inkscape:version="0.48.4 r9939"'
    old = read(tmp_path, svg('<path d="M0 0H300V200H0Z"/>', head))
    assert old.units.mm_per_unit == pytest.approx(25.4 / 90)  # from memory: resolution of that program before 0.92


def test_round_numbers_speak_against_pixels(tmp_path: Path) -> None:
    holes = "".join(f'<circle cx="{20 + 30 * i}" cy="20" r="{r}"/>' for i, r in enumerate((1.6, 2.25, 2.75, 3.3, 4.2)))
    drawing = read(
        tmp_path,
        svg(
            f'<rect width="200" height="100" fill="none" stroke="red"/>{holes}',
            'width="200" height="100" viewBox="0 0 200 100"',
        ),
    )
    assert drawing.units.mm_per_unit == 1.0
    assert any(f.code == "units-contradict-header" for f in drawing.findings)


def test_units_given_by_the_caller(tmp_path: Path) -> None:
    drawing = read(tmp_path, svg('<rect width="2" height="3"/>'), units="in")
    assert drawing.parts[0].region.area == pytest.approx(6 * 25.4**2)  # exact


def test_layers_by_label(tmp_path: Path) -> None:
    body = '<g inkscape:label="Cut" xmlns:inkscape="i"><circle cx="30" cy="30" r="5"/></g><rect width="9" height="9"/>'
    drawing = read(tmp_path, svg(body), layers=["cut"])
    assert [p.region.area for p in drawing.parts] == pytest.approx([25 * pi])  # exact


def test_squeezed_circle_is_not_round(tmp_path: Path) -> None:
    hole = read(
        tmp_path, svg('<rect width="90" height="90"/><circle cx="40" cy="40" r="10" transform="scale(1,1.2)"/>')
    )
    assert hole.as_dict()["parts"][0]["holes"][0]["kind"] == "other"


def test_path_is_drawn_up_to_its_fault(tmp_path: Path) -> None:
    drawing = read(tmp_path, svg('<path d="M0 0H30V20H0Z M50 50 L60 xx"/>'))
    assert drawing.parts[0].region.area == 600.0  # exact
    assert not drawing.sound


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ('<!DOCTYPE svg [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;">]><svg xmlns="x"><desc>&b;</desc></svg>', DrawingError),
        ('<!DOCTYPE svg [<!ENTITY x SYSTEM "file:///etc/hostname">]><svg><desc>&x;</desc></svg>', DrawingError),
        ("<svg><g><rect width='5' height='5'></svg>", DrawingError),
        ("<svg>" + "<g>" * 5000 + "</g>" * 5000 + "</svg>", LimitError),
        ("<svg><rect width='1e999' height='5'/></svg>", None),
        ("<svg width='0' height='0' viewBox='0 0 0 0'/>", None),
        ('<svg><g id="a"><use href="#a"/></g></svg>', None),
        ('<svg><path d="M0 0 L1e300 0 L5 5Z"/></svg>', None),
    ],
)
def test_hostile_files(tmp_path: Path, text: str, kind: type[CutplanError] | None) -> None:
    path = save(tmp_path, text, "bad.svg")
    if kind is not None:
        with pytest.raises(kind):
            read_drawing(path)
        return
    assert not read_drawing(path).sound


def test_names_of_namespaces_as_entities_are_harmless(tmp_path: Path) -> None:
    head = '<!DOCTYPE svg [<!ENTITY ns "http://www.w3.org/2000/svg">]>'
    page = 'xmlns="&ns;" width="9mm" height="9mm" viewBox="0 0 9 9"'
    text = f'<?xml version="1.0"?>{head}<svg {page}><rect width="5" height="5"/></svg>'
    assert read(tmp_path, text).parts[0].region.area == 25.0  # exact


def test_turned_rectangle_keeps_its_corners(tmp_path: Path) -> None:
    part = read(tmp_path, svg('<rect width="40" height="10" transform="rotate(30 60 50)"/>')).parts[0].region
    k, s = cos(radians(30)), sin(radians(30))
    corners = {
        (round(60 + k * (x - 60) - s * (y - 50), 6), round(100 - (50 + s * (x - 60) + k * (y - 50)), 6))
        for x, y in ((0, 0), (40, 0), (40, 10), (0, 10))
    }  # exact: turn about (60, 50), then y up
    assert {(round(v.x, 6), round(v.y, 6)) for v in part.outer.vertices} == corners


def test_white_page_and_letters_drawn_as_shapes_are_left_aside(tmp_path: Path) -> None:
    body = (
        '<rect width="100%" height="100%" fill="#ffffff"/><rect x="20" y="20" width="50" height="40"/>'
        '<defs><symbol id="glyph0-1"><path d="M0 0L5 0L5 5Z"/></symbol></defs>'
        '<use xlink:href="#glyph0-1" x="30" y="30"/>'
    )
    drawing = read(tmp_path, svg(body))
    assert [p.region.area for p in drawing.parts] == [2000.0]  # exact
    assert {str(k): n for k, n in drawing.left_aside} == {"text": 1, "white page behind the drawing": 1}


def test_a_page_with_nothing_but_a_white_rectangle(tmp_path: Path) -> None:
    assert area(tmp_path, '<rect width="200" height="100" fill="white"/>') == 20000.0  # exact
