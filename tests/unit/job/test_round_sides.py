"""A side of a plate without corners: the quarter of its edge that faces that way."""

from __future__ import annotations

from math import pi

import pytest

from cutplan.files.job.tables.edges import side_spans
from cutplan.geometry.contour import circle_contour
from cutplan.geometry.vector import Point


@pytest.mark.parametrize(
    ("outward", "start", "end"),
    [
        (Point(1.0, 0.0), 1.75 * pi, 0.25 * pi),  # round the start of the outline
        (Point(0.0, 1.0), 0.25 * pi, 0.75 * pi),
        (Point(-1.0, 0.0), 0.75 * pi, 1.25 * pi),
        (Point(0.0, -1.0), 1.25 * pi, 1.75 * pi),
    ],
)
def test_a_side_of_a_round_plate_is_a_quarter_of_it(outward: Point, start: float, end: float) -> None:
    (span,) = side_spans(circle_contour(Point(5.0, 7.0), 100.0), outward)
    # exact: arc length = radius x angle, counted from the right
    assert (span.start_mm, span.end_mm) == pytest.approx((100.0 * start, 100.0 * end), abs=1e-9)


def test_a_round_hole_has_no_side() -> None:
    assert side_spans(circle_contour(Point(0.0, 0.0), 10.0).oriented(ccw=False), Point(0.0, 1.0)) == []
