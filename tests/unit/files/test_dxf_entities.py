"""Every kind of DXF entity that draws an edge, against areas known by formula."""

from __future__ import annotations

from itertools import pairwise
from math import cos, pi, radians, sin, tan
from pathlib import Path

import pytest
from drawing_help import arc, box, circle, dxf, entity, line, polyline, save
from oracles.whole_account import told_mm

from cutplan.files.drawing_in import Drawing, read_drawing


def only(drawing: Drawing) -> tuple[float, float, int]:
    """Return (outer area, net area, holes) of the one part of a sound drawing."""
    assert drawing.sound, drawing.findings
    (part,) = drawing.parts
    return part.region.outer.area, part.region.area, len(part.region.holes)


def test_lines_in_any_order_and_direction(tmp_path: Path) -> None:
    text = dxf(line(0, 0, 100, 0), line(0, 50, 100, 50), line(100, 50, 100, 0), line(0, 0, 0, 50))
    assert only(read_drawing(save(tmp_path, text))) == (5000.0, 5000.0, 0)  # exact


def test_arc_and_line(tmp_path: Path) -> None:
    text = dxf(line(-20, 0, 20, 0), arc(0, 0, 20, 0, 180), circle(0, 8, 3))
    outer, net, holes = only(read_drawing(save(tmp_path, text)))
    assert outer == pytest.approx(pi * 200.0, rel=1e-12)  # exact: half disc of radius 20
    assert net == pytest.approx(pi * 191.0, rel=1e-12)
    assert holes == 1


def test_arc_across_zero_degrees(tmp_path: Path) -> None:
    # exact: circular segment r^2 (t - sin t) / 2 with t = 120 deg
    r, t = 30.0, radians(120.0)
    x, y = r * cos(t / 2), r * sin(t / 2)
    text = dxf(arc(0, 0, r, 300, 60), line(x, y, x, -y))
    assert only(read_drawing(save(tmp_path, text)))[0] == pytest.approx(r * r * (t - sin(t)) / 2, rel=1e-12)


def test_two_half_circles_are_one_circle(tmp_path: Path) -> None:
    text = dxf(arc(5, 7, 12.5, 0, 180), arc(5, 7, 12.5, 180, 0))
    part = read_drawing(save(tmp_path, text)).parts[0].region
    found = part.outer.as_circle()
    assert found is not None
    assert (*found[0], found[1]) == pytest.approx((5.0, 7.0, 12.5), abs=1e-9)  # exact


def test_arc_of_a_full_turn_is_a_circle(tmp_path: Path) -> None:
    for start, end in ((0, 360), (90, 450), (45, 45)):
        found = read_drawing(save(tmp_path, dxf(arc(1, 2, 9, start, end)))).parts[0].region.outer.as_circle()
        assert found is not None and found[1] == pytest.approx(9.0, rel=1e-12)  # exact


def test_polyline_with_bulges_and_closing_bulge(tmp_path: Path) -> None:
    b = tan(pi / 8)
    slot = [(0, 0, 0), (40, 0, 1.0), (40, 10, 0), (0, 10, 1.0)]
    outer = only(read_drawing(save(tmp_path, dxf(polyline(slot)))))[0]
    assert outer == pytest.approx(400.0 + pi * 25.0, rel=1e-12)  # exact: slot 40 long, 10 wide
    round_corner = [(0, 0, 0), (30, 0, 0), (30, 20, b), (20, 30, 0), (0, 30, 0)]
    outer = only(read_drawing(save(tmp_path, dxf(polyline(round_corner)))))[0]
    assert outer == pytest.approx(900.0 - (100.0 - pi * 25.0), rel=1e-12)  # exact: square less the rounded corner


@pytest.mark.parametrize("bulge", [4e-320, -1e-17, 1e-12])
def test_bulges_that_are_rounding_are_straight(tmp_path: Path, bulge: float) -> None:
    part = read_drawing(save(tmp_path, dxf(polyline([(0, 0, bulge), (40, 0, 0), (40, 10, 0), (0, 10, bulge)])))).parts[
        0
    ]
    assert part.region.area == 400.0  # exact
    assert all(s.length in (10.0, 40.0) for s in part.region.outer.segments)


def test_polyline_of_release_12_with_vertices(tmp_path: Path) -> None:
    corners = [(0, 0, 0), (40, 0, 1.0), (40, 10, 0), (0, 10, 1.0)]
    body = entity("POLYLINE", (66, 1), (70, 1))
    body += "".join(entity("VERTEX", (10, x), (20, y), (42, b)) for x, y, b in corners) + entity("SEQEND")
    assert only(read_drawing(save(tmp_path, dxf(body))))[0] == pytest.approx(400.0 + pi * 25.0, rel=1e-12)  # exact


def test_repeated_last_point_of_a_closed_polyline(tmp_path: Path) -> None:
    text = dxf(polyline([(0, 0), (10, 0), (10, 10), (0, 10), (0, 0)]))
    assert only(read_drawing(save(tmp_path, text)))[0] == 100.0  # exact


def test_open_polyline_that_ends_where_it_starts(tmp_path: Path) -> None:
    text = dxf(polyline([(0, 0), (10, 0), (10, 10), (0, 10), (0, 0)], closed=False))
    assert only(read_drawing(save(tmp_path, text)))[0] == 100.0  # exact


@pytest.mark.parametrize("turn", [0.0, 30.0, 90.0])
def test_ellipse(tmp_path: Path, turn: float) -> None:
    ux, uy = 40.0 * cos(radians(turn)), 40.0 * sin(radians(turn))
    text = dxf(entity("ELLIPSE", (10, 100), (20, 50), (11, ux), (21, uy), (40, 0.5), (41, 0), (42, 2 * pi)))
    outer = only(read_drawing(save(tmp_path, text)))[0]
    assert outer == pytest.approx(pi * 40 * 20, rel=5e-6)  # exact: pi a b; arcs within 0.0005 mm stand for it


def test_ellipse_arc_closed_by_a_line(tmp_path: Path) -> None:
    text = dxf(
        entity("ELLIPSE", (10, 0), (20, 0), (11, 40), (21, 0), (40, 0.5), (41, 0), (42, pi)), line(-40, 0, 40, 0)
    )
    assert only(read_drawing(save(tmp_path, text)))[0] == pytest.approx(pi * 400, rel=5e-6)  # exact: half an ellipse


def _rational_circle(r: float) -> str:
    w = 0.5**0.5
    ctrl = [(1, 0), (1, 1), (0, 1), (-1, 1), (-1, 0), (-1, -1), (0, -1), (1, -1), (1, 0)]
    pairs: list[tuple[int, object]] = [(70, 12), (71, 2), (72, 12), (73, 9)]
    pairs += [(40, k) for k in (0, 0, 0, 1, 1, 2, 2, 3, 3, 4, 4, 4)]
    pairs += [(41, 1.0 if i % 2 == 0 else w) for i in range(9)]
    for x, y in ctrl:
        pairs += [(10, x * r), (20, y * r)]
    return entity("SPLINE", *pairs)


def test_rational_spline_circle_is_a_circle(tmp_path: Path) -> None:
    found = read_drawing(save(tmp_path, dxf(_rational_circle(30.0)))).parts[0].region.outer.as_circle()
    assert found is not None
    assert (*found[0], found[1]) == pytest.approx((0.0, 0.0, 30.0), abs=1e-6)  # exact: nine-point NURBS circle


def test_spline_one_knot_short_still_draws(tmp_path: Path) -> None:
    text = dxf(_rational_circle(30.0).replace("40\n0\n40\n0\n40\n0\n", "40\n0\n40\n0\n", 1))
    outer = only(read_drawing(save(tmp_path, text)))[0]
    assert outer == pytest.approx(pi * 900.0, rel=1e-6)  # exact


def test_spline_through_fit_points(tmp_path: Path) -> None:
    n = 24
    pairs: list[tuple[int, object]] = [(70, 1), (71, 3), (72, 0), (73, 0), (74, n)]
    for i in range(n):
        pairs += [(11, 50 * cos(2 * pi * i / n)), (21, 50 * sin(2 * pi * i / n))]
    outer = only(read_drawing(save(tmp_path, dxf(entity("SPLINE", *pairs)))))[0]
    # exact: the circle through the points; a periodic cubic through 24 points of it stays within 1e-4 of its area
    assert outer == pytest.approx(pi * 2500, rel=1e-4)


def test_negative_extrusion_mirrors_arcs_circles_and_polylines(tmp_path: Path) -> None:
    down = [(210, 0), (220, 0), (230, -1)]
    half = entity("ARC", (10, 0), (20, 0), (40, 20), (50, 0), (51, 90), *down)  # seen from above: second quadrant
    text = dxf(half, line(0, 0, 0, 20), line(0, 0, -20, 0), entity("CIRCLE", (10, 8), (20, 8), (40, 2), *down))
    part = read_drawing(save(tmp_path, text)).parts[0].region
    assert part.outer.area == pytest.approx(pi * 100.0, rel=1e-12)  # exact: quarter disc
    assert part.box.xmin == pytest.approx(-20.0)
    found = part.holes[0].as_circle()
    assert found is not None and found[0] == pytest.approx((-8.0, 8.0))


def _block(name: str, body: str, base: tuple[float, float] = (0, 0)) -> str:
    return f"0\nBLOCK\n8\n0\n2\n{name}\n70\n0\n10\n{base[0]}\n20\n{base[1]}\n30\n0\n{body}0\nENDBLK\n8\n0\n"


def test_block_turned_scaled_mirrored_and_in_an_array(tmp_path: Path) -> None:
    blocks = _block("HOLE", circle(1, 0, 2), base=(1, 0))
    insert = entity(
        "INSERT",
        (2, "hole"),
        (10, 10),
        (20, 10),
        (41, -1.5),
        (42, 1.5),
        (50, 90),
        (70, 3),
        (71, 2),
        (44, 10),
        (45, -20),
    )
    text = dxf(box(-30, -10, 100, 60), insert, blocks=blocks)
    part = read_drawing(save(tmp_path, text)).parts[0]
    holes = sorted(
        (round(h["centre_mm"][0], 9), round(h["centre_mm"][1], 9), h["diameter_mm"]) for h in part.as_dict()["holes"]
    )
    # exact: base point to (10, 10); columns run along the turned x axis (+y), rows along the turned y axis
    expected = sorted((10.0 + 20.0 * row, 10.0 + 10.0 * column, 6.0) for column in range(3) for row in range(2))
    assert holes == [pytest.approx(e) for e in expected]


def test_nested_blocks_and_a_squeezed_circle(tmp_path: Path) -> None:
    blocks = _block("IN", circle(0, 0, 10)) + _block(
        "OUT", entity("INSERT", (2, "IN"), (10, 5), (20, 0), (41, 2), (42, 1))
    )
    text = dxf(box(0, 0, 200, 100), entity("INSERT", (2, "OUT"), (10, 90), (20, 50), (50, 30)), blocks=blocks)
    part = read_drawing(save(tmp_path, text)).parts[0].region
    assert part.holes[0].area == pytest.approx(pi * 20 * 10, rel=5e-6)  # exact: an ellipse of half axes 20 and 10
    c = part.holes[0].centroid
    assert (c.x, c.y) == pytest.approx((90 + 5 * cos(radians(30)), 50 + 5 * sin(radians(30))), abs=1e-4)


def test_squeezed_polyline_with_a_bulge(tmp_path: Path) -> None:
    blocks = _block("B", polyline([(0, 0, 0), (40, 0, 1.0), (40, 10, 0), (0, 10, 1.0)]))
    text = dxf(entity("INSERT", (2, "B"), (10, 0), (20, 0), (41, 1), (42, 3)), blocks=blocks)
    outer = only(read_drawing(save(tmp_path, text)))[0]
    assert outer == pytest.approx(3.0 * (400.0 + pi * 25.0), rel=5e-6)  # exact: area grows by the squeeze


def test_text_dimension_hatch_point_and_paper_space_are_left_aside(tmp_path: Path) -> None:
    aside = entity("TEXT", (10, 1), (20, 1), (1, "hi")) + entity("DIMENSION", (10, 0), (20, 0)) + entity("HATCH")
    paper = entity("LINE", (67, 1), (10, 0), (20, 0), (11, 9), (21, 9))
    drawing = read_drawing(save(tmp_path, dxf(box(0, 0, 10, 10), aside, entity("POINT", (10, 1), (20, 1)), paper)))
    assert only(drawing)[0] == 100.0
    assert {str(k): n for k, n in drawing.left_aside} == {
        "dimension": 1, "drawn in paper space": 1, "hatch": 1, "point": 1, "text": 1,
    }  # exact counts  # fmt: skip


def _layer(name: str, flags: int = 0, colour: int = 7, pattern: str = "CONTINUOUS") -> str:
    return f"0\nTABLE\n2\nLAYER\n70\n1\n0\nLAYER\n2\n{name}\n70\n{flags}\n62\n{colour}\n6\n{pattern}\n0\nENDTAB\n"


@pytest.mark.parametrize(
    "tables",
    [_layer("aux", flags=1), _layer("aux", colour=-3), _layer("aux", pattern="CENTER2"), _layer("Construction")],
)
def test_frozen_off_centre_and_construction_layers(tmp_path: Path, tables: str) -> None:
    name = "Construction" if "Construction" in tables else "aux"
    text = dxf(box(0, 0, 100, 100), circle(50, 50, 10), circle(50, 50, 30, layer=name), tables=tables)
    drawing = read_drawing(save(tmp_path, text))
    assert only(drawing)[2] == 1
    assert drawing.parts[0].region.area == pytest.approx(10000 - 100 * pi)  # exact
    asked = read_drawing(save(tmp_path, text), layers=[name])
    assert asked.parts[0].region.outer.area == pytest.approx(900 * pi)  # exact: the layer asked for, hidden or not


def test_layer_that_is_not_plotted(tmp_path: Path) -> None:
    tables = _layer("aux").replace("0\nENDTAB", "290\n0\n0\nENDTAB")
    text = dxf(box(0, 0, 100, 100), circle(50, 50, 30, layer="aux"), tables=tables)
    assert only(read_drawing(save(tmp_path, text)))[2] == 0


def test_everything_on_a_centre_line_layer_is_still_read(tmp_path: Path) -> None:
    drawing = read_drawing(save(tmp_path, dxf(box(0, 0, 100, 100, layer="Center"))))
    assert only(drawing)[0] == 10000.0
    assert any(f.code == "layer-kept" for f in drawing.findings)


def test_very_many_lines_in_no_order_are_the_outlines_that_they_draw(tmp_path: Path) -> None:
    import random

    def square(x: float, side: float, each: int) -> list[tuple[float, float]]:
        corners = [(x, 0.0), (x + side, 0.0), (x + side, side), (x, side), (x, 0.0)]
        steps = [k / each for k in range(each)]
        return [(a + (c - a) * t, b + (d - b) * t) for (a, b), (c, d) in pairwise(corners) for t in steps]

    lines = []
    for x, side, each in ((0.0, 200.0, 1300), (250.0, 100.0, 200)):
        ring = square(x, side, each)
        lines += list(zip(ring, [*ring[1:], ring[0]], strict=True))
    lines += [lines[5], ((400.0, 0.0), (410.0, 0.0)), ((410.0, 0.0), (410.0, 10.0))]  # drawn again; closes nothing
    random.Random(7).shuffle(lines)
    text = dxf(*[line(*(a if k % 2 else b), *(b if k % 2 else a)) for k, (a, b) in enumerate(lines)])
    drawing = read_drawing(save(tmp_path, text))
    assert [p.region.area for p in drawing.parts] == pytest.approx([40000.0, 10000.0])  # exact
    account = drawing.account
    assert told_mm(account) == pytest.approx(account.drawn_mm, rel=1e-6)
    assert account.cut_mm == pytest.approx(1200.0) and account.left_aside_mm == pytest.approx(20.0)  # exact
    assert account.duplicate_mm == pytest.approx(200.0 / 1300.0, rel=1e-6)  # exact: one of the short lines
