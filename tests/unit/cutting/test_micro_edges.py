"""Edges of nanometres to tenths: the torch line holds, judged by a disc swept along it without our code."""

import pytest
from oracles.swept_disc import bite_mm, points_of, rest_mm, rows
from random_plates import micro_plate
from shapely import Polygon

from cutplan.cutting.path.torch_line import torch_line
from cutplan.cutting.words import OUTLINE
from cutplan.geometry.contour import Contour, circle_contour, polygon
from cutplan.geometry.micro_edges import without_micro_edges
from cutplan.geometry.segment import Line
from cutplan.geometry.vector import Point

KERF_MM = 1.5
#: Deepest bite that passes [mm].
BITE_MM = 0.001


def judge(edge: Contour, *, inner: bool) -> None:
    found = torch_line(OUTLINE, edge, KERF_MM, inner=inner)
    codes = [f.code for f in found.findings]
    if found.line is None:
        assert codes == ["slot-narrower-than-kerf"]
        return
    ring = Polygon(points_of(rows(edge), closed=True))
    part = ring.buffer(40.0).difference(ring) if inner else ring
    path = points_of(rows(found.line), closed=True)
    assert bite_mm(part, [path], 0.5 * KERF_MM) <= BITE_MM


@pytest.mark.parametrize(
    "nick",
    [
        [(100.0, 40.123), (99.9995, 40.1235), (100.0, 40.124)],  # a full circle was cut here
        [(99.985, 40.138), (100.0, 40.153)],  # an arc of no sweep divided by zero
        [(100.0, 40.0), (100.0, 40.0 + 3e-6), (99.99999, 40.00001)],
        [(100.0, 40.0), (99.9, 40.000001), (100.0, 40.000002)],  # a cusp inward
        [(100.0, 40.0), (100.1, 40.000001), (100.0, 40.000002)],  # and outward
    ],
)
def test_nicks_that_once_led_the_torch_into_the_part(nick: list[tuple[float, float]]) -> None:
    edge = polygon([(0.0, 0.0), (100.0, 0.0), *nick, (100.0, 60.0), (0.0, 60.0)])
    judge(edge, inner=False)
    found = torch_line(OUTLINE, edge, KERF_MM, inner=False)
    assert found.line is not None and found.line.length < 320.0 + 3.2 * KERF_MM + 0.5
    path = points_of(rows(found.line), closed=True)
    assert rest_mm(Polygon(points_of(rows(edge), closed=True)), [path], 0.5 * KERF_MM) <= 0.02


def test_plates_with_micro_edges() -> None:
    for seed in range(60):
        plate = micro_plate(seed)
        for k, contour in enumerate(plate.contours):
            judge(contour, inner=k > 0)


@pytest.mark.slow
def test_two_thousand_plates_with_micro_edges() -> None:
    for seed in range(1000, 3000):
        plate = micro_plate(seed)
        for k, contour in enumerate(plate.contours):
            judge(contour, inner=k > 0)


def test_micro_edges_go_and_nothing_moves_by_more_than_they_are_long() -> None:
    corners = [(0.0, 0.0), (50.0, 0.0), (50.0, 1e-4), (50.0, 2e-4), (50.0, 30.0), (0.0, 30.0), (1e-5, 1e-5)]
    clean, moved = without_micro_edges(polygon(corners), 1.5e-4)
    assert len(clean.segments) == 5 and 0.0 < moved <= 1.5e-4
    assert without_micro_edges(clean, 1.5e-4) == (clean, 0.0)


def test_a_run_of_micro_edges_does_not_shrink_to_a_point() -> None:
    # exact: a quarter of a circle of 0.5 mm in 2,000 chords of 0.4 micrometres
    ring = circle_contour(Point(0.0, 0.0), 0.5)
    points = [ring.point_at_length(k * ring.length / 8000)[0] for k in range(8000)]
    edge = Contour(tuple(Line(a, b) for a, b in zip(points, (*points[1:], points[0]), strict=True)))
    clean, moved = without_micro_edges(edge, 2e-3)
    assert clean.area == pytest.approx(edge.area, rel=1e-4) and moved <= 2e-3
    assert 1000 < len(clean.segments) < 3000
