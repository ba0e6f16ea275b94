"""What is wrong with a region. Codes are ours; places and widths are exact."""

from __future__ import annotations

from cutplan.findings import errors
from cutplan.geometry.check import check_region
from cutplan.geometry.contour import Contour, circle_contour, polygon, rectangle
from cutplan.geometry.region import Region
from cutplan.geometry.vector import Point


def plate(*holes: Contour) -> Region:
    return Region(rectangle(0, 0, 100, 60), holes)


def codes(region: Region) -> list[str]:
    return [f.code for f in check_region(region)]


def ring(x: float, y: float, r: float) -> Contour:
    return circle_contour(Point(x, y), r)


def test_a_sound_plate() -> None:
    assert codes(plate(ring(20, 30, 8), ring(60, 30, 8), rectangle(80, 10, 10, 40, 3))) == []


def test_outline_that_crosses_itself() -> None:
    (found,) = check_region(Region(polygon([(0, 0), (10, 10), (10, 0), (0, 11)])))
    assert found.code == "contour-crosses-itself"
    # exact: the two diagonals y = x and y = 11 - 1.1 x meet at 11 / 2.1
    assert str(found.where) == "(5.238, 5.238) mm"


def test_holes_against_the_outline() -> None:
    assert codes(plate(ring(98, 30, 5))) == ["hole-crosses-outline"]
    assert codes(plate(ring(95, 30, 5))) == ["hole-crosses-outline"]  # touching is not a web
    assert codes(plate(ring(120, 30, 5))) == ["hole-outside"]
    assert codes(plate(ring(94.5, 30, 5))) == ["web-narrow"]


def test_holes_against_each_other() -> None:
    assert codes(plate(ring(30, 30, 8), ring(44, 30, 8))) == ["holes-cross"]
    assert codes(plate(ring(30, 30, 8), ring(46, 30, 8))) == ["holes-cross"]
    assert codes(plate(ring(30, 30, 8), ring(30, 30, 3))) == ["hole-in-hole"]
    (web,) = check_region(plate(ring(30, 30, 8), ring(46.25, 30, 8)))
    assert web.code == "web-narrow"
    assert "0.25 mm" in str(web.message)
    assert check_region(plate(ring(30, 30, 8), ring(46.25, 30, 8)), narrow_mm=0.2) == ()


def test_no_area_and_tiny_segments() -> None:
    assert codes(Region(polygon([(0, 0), (5, 5), (9, 9)]))) == ["contour-empty"]
    bevel = polygon([(0, 0), (99.95, 0), (100, 0.05), (100, 60), (0, 60)])
    (tiny,) = check_region(Region(bevel))
    assert (tiny.code, tiny.severity) == ("segment-tiny", "warning")


def test_errors_come_first() -> None:
    found = check_region(plate(ring(94.5, 30, 5), ring(30, 30, 8), ring(44, 30, 8)))
    assert [f.severity for f in found] == ["error", "warning"]
    assert len(errors(found)) == 1
