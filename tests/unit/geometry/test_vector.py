"""Points and boxes. Expected values are exact."""

from __future__ import annotations

from math import pi

import pytest

from cutplan.geometry.vector import Box, Point, box_of, middle


def test_products_and_turns() -> None:
    a, b = Point(3.0, 4.0), Point(-1.0, 2.0)
    assert a.length() == 5.0
    assert a.dot(b) == 5.0
    assert a.cross(b) == 10.0
    assert a.left() == Point(-4.0, 3.0)
    assert a.turned(0.5 * pi) == pytest.approx(a.left())
    assert middle(a, b) == Point(1.0, 3.0)
    assert a.unit() == Point(0.6, 0.8)


def test_zero_vector_has_no_direction() -> None:
    with pytest.raises(ZeroDivisionError):
        Point(0.0, 0.0).unit()


def test_boxes() -> None:
    box = box_of((Point(1.0, 5.0), Point(4.0, 1.0)))
    assert box == Box(1.0, 1.0, 4.0, 5.0)
    assert (box.width, box.height, box.diagonal, box.centre) == (3.0, 4.0, 5.0, Point(2.5, 3.0))
    assert box.meets(Box(4.0, 5.0, 9.0, 9.0))
    assert not box.meets(Box(4.1, 5.0, 9.0, 9.0))
    assert box.grown(0.1).meets(Box(4.1, 5.0, 9.0, 9.0))
    assert box.joined(Box(0.0, 2.0, 1.0, 9.0)) == Box(0.0, 1.0, 4.0, 9.0)
    assert box.holds(Point(4.0, 1.0))
    assert not box.holds(Point(4.0, 0.999))
