"""Chords that stand for circles and arcs: turned back when they are one within tolerance, and only then."""

from __future__ import annotations

from math import acos, cos, pi, radians, sin, tan
from pathlib import Path

import pytest
from drawing_help import box, dxf, entity, polyline, save

from cutplan.files.drawing_in import Drawing, read_drawing


def ring(x: float, y: float, r: float, n: int, first: float = 0.0, turn: float = 2 * pi) -> list[tuple[float, float]]:
    """Return points of a circle; all n of a full turn, n + 1 of an arc."""
    count = n if turn == 2 * pi else n + 1
    return [(x + r * cos(first + turn * i / n), y + r * sin(first + turn * i / n)) for i in range(count)]


def codes(drawing: Drawing) -> list[str]:
    return [f.code for f in drawing.findings]


def test_360_chords_are_their_circle(tmp_path: Path) -> None:
    path = save(tmp_path, dxf(box(0, 0, 100, 100), polyline(ring(40, 50, 20, 360))))
    drawing = read_drawing(path)
    (hole,) = drawing.as_dict()["parts"][0]["holes"]
    assert hole["kind"] == "round"
    assert hole["diameter_mm"] == pytest.approx(40.0, abs=1e-6)  # exact: all vertices lie on it
    assert hole["centre_mm"] == pytest.approx([40.0, 50.0], abs=1e-6)
    found = next(f for f in drawing.findings if f.code == "chords-are-circle")
    assert "360 chords" in str(found.message) and found.severity == "note"


def test_one_vertex_off_is_no_circle(tmp_path: Path) -> None:
    points = ring(40, 50, 20, 360)
    points[77] = (40 + 20.05 * cos(radians(77)), 50 + 20.05 * sin(radians(77)))
    drawing = read_drawing(save(tmp_path, dxf(box(0, 0, 100, 100), polyline(points))))
    assert drawing.as_dict()["parts"][0]["holes"][0]["kind"] == "other"


@pytest.mark.parametrize("sides", [6, 8, 12, 24])
def test_coarse_polygons_stay_as_drawn(tmp_path: Path, sides: int) -> None:
    path = save(tmp_path, dxf(box(0, 0, 100, 100), polyline(ring(40, 50, 20, sides))))
    drawing = read_drawing(path)
    hole = drawing.parts[0].region.holes[0]
    assert hole.area == pytest.approx(0.5 * sides * 400 * sin(2 * pi / sides), rel=1e-12)  # exact: regular polygon
    assert hole.as_circle() is None
    assert ("polygon-looks-round" in codes(drawing)) == (sides >= 16)
    asked = read_drawing(path, repair=True).parts[0].region.holes[0].as_circle()
    assert (asked is not None) == (sides >= 16)


def test_fine_rounded_corner_becomes_an_arc(tmp_path: Path) -> None:
    corner = ring(90, 90, 10, 60, 0.0, pi / 2)
    path = save(tmp_path, dxf(polyline([(0, 0), (100, 0), *corner, (0, 100)])))
    drawing = read_drawing(path)
    part = drawing.parts[0].region
    assert "chords-are-arcs" in codes(drawing)
    assert len(part.outer.segments) < 8
    assert part.area == pytest.approx(10000 - 100 + 25 * pi, rel=1e-5)  # exact: quarter circle of radius 10


def test_area_is_kept_when_chords_are_coarse(tmp_path: Path) -> None:
    corner = ring(15, 15, 5, 6, 0.0, pi / 2)
    points = [(0.0, 0.0), (20.0, 0.0), *corner, (0.0, 20.0)]
    drawing = read_drawing(save(tmp_path, dxf(polyline(points))))
    n = len(points)
    drawn = 0.5 * abs(
        sum(points[i][0] * points[(i + 1) % n][1] - points[(i + 1) % n][0] * points[i][1] for i in range(n))
    )
    assert drawing.parts[0].region.area == pytest.approx(drawn, rel=1e-5)  # exact: the polygon as drawn


def quarter(x: float, y: float, r: float, k: int, stretch: float = 1.0) -> str:
    """A quarter of a circle as the cubic that converters write for it, to a hundredth."""
    h = 4.0 / 3.0 * (2.0**0.5 - 1.0)  # published: the usual handle, within 0.03 % of the radius
    c, s = round(cos(k * pi / 2.0)), round(sin(k * pi / 2.0))
    poles = [(1.0, 0.0), (1.0, h), (h, 1.0), (0.0, 1.0)]
    places = [(round(x + r * (u * c - v * s), 2), round(y + r * stretch * (u * s + v * c), 2)) for u, v in poles]
    knots = [(40, v) for v in (0, 0, 0, 0, 1, 1, 1, 1)]
    return entity(
        "SPLINE",
        (70, 8),
        (71, 3),
        (72, 8),
        (73, 4),
        (74, 0),
        *knots,
        *[p for q in places for p in zip((10, 20), q, strict=True)],
    )


def test_four_splines_round_a_hole_are_its_circle(tmp_path: Path) -> None:
    path = save(tmp_path, dxf(box(0, 0, 100, 100), *[quarter(40, 50, 6.5, k) for k in range(4)]))
    drawing = read_drawing(path)
    (hole,) = drawing.as_dict()["parts"][0]["holes"]
    assert hole["kind"] == "round"
    assert hole["diameter_mm"] == pytest.approx(13.0, abs=0.02)  # exact: written to a hundredth
    found = next(f for f in drawing.findings if f.code == "chords-are-circle")
    assert "arcs lie on one circle" in str(found.message)


def test_four_splines_of_an_oval_are_no_circle(tmp_path: Path) -> None:
    path = save(tmp_path, dxf(box(0, 0, 100, 100), *[quarter(40, 50, 6.5, k, 1.01) for k in range(4)]))
    (hole,) = read_drawing(path).as_dict()["parts"][0]["holes"]
    assert hole["kind"] == "other"


def test_a_rough_round_hole_is_warned_of_since_no_rule_for_bolts_holds_there(tmp_path: Path) -> None:
    # 24 sides whose corners lie up to 0.02 mm off, as a converter of printed pages leaves them
    points = [(x + 0.02 * (-1) ** i, y) for i, (x, y) in enumerate(ring(40, 50, 6.5, 24))]
    path = save(tmp_path, dxf(box(0, 0, 100, 100), polyline(points)))
    found = next(f for f in read_drawing(path).findings if f.code == "polygon-looks-round")
    assert found.severity == "warning" and "bolts" in str(found.fix)
    (hole,) = read_drawing(path, repair=True).as_dict()["parts"][0]["holes"]
    assert hole["kind"] == "round" and hole["diameter_mm"] == pytest.approx(13.0, abs=0.04)


def test_a_plate_that_looks_round_is_only_noted(tmp_path: Path) -> None:
    found = read_drawing(save(tmp_path, dxf(polyline(ring(0, 0, 100, 24))))).findings
    assert [f.severity for f in found if f.code == "polygon-looks-round"] == ["note"]


def test_an_empty_drawing_says_nothing_of_its_size(tmp_path: Path) -> None:
    found = read_drawing(save(tmp_path, dxf(header=""))).findings
    assert [f.code for f in found] == ["no-outline"]


def test_a_traced_hole_that_is_nearly_round_is_warned_of(tmp_path: Path) -> None:
    # eight arcs whose ends lie 0.04 mm in and out, as a traced scan leaves them
    ends = [
        ((6.5 + 0.04 * (-1) ** k) * cos(k * pi / 4.0), (6.5 + 0.04 * (-1) ** k) * sin(k * pi / 4.0)) for k in range(8)
    ]
    bulge = tan(pi / 16.0)  # exact: a quarter of an eighth of a turn
    path = save(tmp_path, dxf(box(0, 0, 100, 100), polyline([(40 + x, 50 + y, bulge) for x, y in ends])))
    found = next(f for f in read_drawing(path).findings if f.code == "polygon-looks-round")
    assert found.severity == "warning"
    (hole,) = read_drawing(path, repair=True).as_dict()["parts"][0]["holes"]
    assert hole["kind"] == "round" and hole["diameter_mm"] == pytest.approx(13.0, abs=0.08)


def test_a_hole_with_a_flat_is_none_that_looks_round(tmp_path: Path) -> None:
    # exact: a flat that takes a tenth of the radius off, two lines and an arc
    a = acos(0.9)
    arcs = [
        (40 + 10 * cos(t), 50 + 10 * sin(t), tan((2 * pi - 2 * a) / 6 / 4))
        for t in [a + k * (2 * pi - 2 * a) / 6 for k in range(6)]
    ]
    path = save(tmp_path, dxf(box(0, 0, 100, 100), polyline([*arcs, (40 + 10 * cos(a), 50 - 10 * sin(a), 0.0)])))
    assert "polygon-looks-round" not in codes(read_drawing(path))
    assert read_drawing(path, repair=True).as_dict()["parts"][0]["holes"][0]["kind"] == "other"
