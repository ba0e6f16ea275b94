"""Length and width along an outline's own axes."""

from __future__ import annotations

from math import radians

import pytest

from cutplan.geometry.contour import circle_contour, polyline, rectangle
from cutplan.geometry.own_size import own_size
from cutplan.geometry.vector import Point


@pytest.mark.parametrize("angle", [0.0, 17.0, 45.0, 90.0, 133.0, 179.0])
def test_a_slot_at_any_angle_keeps_its_size(angle: float) -> None:
    slot = polyline([(0.0, 0.0, 0.0), (30.0, 0.0, 1.0), (30.0, 12.0, 0.0), (0.0, 12.0, 1.0)])
    size = own_size(slot.turned(radians(angle), Point(5.0, 7.0)))
    # exact: 30 mm between the centres of two half circles of 6 mm
    assert (size.length_mm, size.width_mm) == (pytest.approx(42.0, abs=1e-9), pytest.approx(12.0, abs=1e-9))
    assert min(abs(size.angle_deg - angle), abs(size.angle_deg - angle + 180.0)) % 180.0 == pytest.approx(0.0, abs=1e-6)


def test_a_circle_and_a_square() -> None:
    assert own_size(circle_contour(Point(3.0, 4.0), 8.0)).length_mm == pytest.approx(16.0)  # exact
    assert own_size(rectangle(0, 0, 20.0, 20.0).turned(0.3, Point(0, 0))).width_mm == pytest.approx(20.0)  # exact
