"""Laws of the offset. Every expected value is exact; 0.001 mm is the promised distance to the true offset."""

from __future__ import annotations

from math import pi

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from offset_judge import offset_error, samples
from oracles.edge_distance import edge_distances
from property.strategies import (
    carried,
    circles,
    convex_polygons,
    distances_mm,
    motions,
    plates,
    rough_plates,
    rounded_rectangles,
    tidy_plates,
)

from cutplan.findings import errors
from cutplan.geometry.check import check_region
from cutplan.geometry.contour import Contour
from cutplan.geometry.offset.regions import offset_contour, offset_region
from cutplan.geometry.region import Region
from cutplan.geometry.segment import Arc
from cutplan.tolerance import OFFSET_MM

few = settings(max_examples=60, deadline=None)
outward = st.floats(0.05, 20.0).map(lambda v: round(v, 3))


@few
@given(plates(), distances_mm)
def test_every_place_lies_at_the_distance(plate: Region, d: float) -> None:
    assert offset_error(plate, offset_region(plate, d).regions, d) <= OFFSET_MM


@few
@given(rough_plates(), distances_mm)
def test_every_place_lies_at_the_distance_of_rough_drawings(plate: Region, d: float) -> None:
    assert offset_error(plate, offset_region(plate, d).regions, d) <= OFFSET_MM


@few
@given(tidy_plates(), st.sampled_from([-1.5, -1.0, -0.75, -0.5, -0.25, 0.25, 0.5, 0.75, 1.0]))
def test_every_place_lies_at_the_distance_where_pieces_touch(plate: Region, d: float) -> None:
    assert offset_error(plate, offset_region(plate, d).regions, d, step_mm=0.2) <= OFFSET_MM


@few
@given(plates(), distances_mm)
def test_an_offset_is_sound(plate: Region, d: float) -> None:
    for region in offset_region(plate, d).regions:
        assert not errors(check_region(region))
        for contour in region.contours:
            for a, b in zip(contour.segments, (*contour.segments[1:], contour.segments[0]), strict=True):
                assert a.end.distance(b.start) <= 1e-9
                assert a.length >= 1e-3
                if isinstance(a, Arc):
                    assert abs(a.centre.distance(a.start) - a.radius) < 1e-5
                    assert abs(a.centre.distance(a.end) - a.radius) < 1e-5


@few
@given(circles(), distances_mm)
def test_a_circle_gives_a_circle(circle: Contour, d: float) -> None:
    found = circle.as_circle()
    assert found is not None
    centre, radius = found
    result = offset_contour(circle, d)
    if radius + d <= 0.001:
        assert not result or radius + d > 0.0
        return
    (one,) = result
    # exact: same centre, radius r + d
    assert one.as_circle() == (centre, radius + d)


@few
@given(convex_polygons(), outward)
def test_steiner_area_of_a_convex_polygon(polygon: Contour, d: float) -> None:
    (grown,) = offset_contour(polygon, d)
    # exact: A + P d + pi d^2 and P + 2 pi d
    assert grown.area == pytest.approx(polygon.area + polygon.length * d + pi * d * d, rel=1e-9)
    assert grown.length == pytest.approx(polygon.length + 2.0 * pi * d, rel=1e-9)


@few
@given(rounded_rectangles(), distances_mm)
def test_tangent_arcs_keep_their_bulge(shape: Contour, d: float) -> None:
    radius = min(s.radius for s in shape.segments if isinstance(s, Arc))
    assume(radius + d > 0.01)
    (moved,) = offset_contour(shape, d)
    before = [(s.bulge, s.radius) for s in shape.segments if isinstance(s, Arc)]
    after = [(s.bulge, s.radius) for s in moved.segments if isinstance(s, Arc)]
    # exact: the same angle, the radius changed by d
    assert [b for b, _ in after] == [b for b, _ in before]
    assert [r for _, r in after] == pytest.approx([r + d for _, r in before], rel=1e-12)


@few
@given(plates(), outward, outward)
def test_growing_twice_is_growing_once(plate: Region, a: float, b: float) -> None:
    once = offset_region(plate, a + b).regions
    first = offset_region(plate, a).regions
    assert len(first) == len(once) == 1
    twice = offset_region(first[0], b).regions
    # exact: discs add up; holes that close to a slit on the way may differ by the promised distance
    assert sum(r.area for r in twice) == pytest.approx(once[0].area, rel=1e-6)


@few
@given(plates(), st.floats(0.05, 3.0))
def test_out_then_in_never_loses_material(plate: Region, d: float) -> None:
    grown = offset_region(plate, d)
    back = offset_region(grown.regions[0], -d)
    # exact: closing holds the original, so no place of the original's edge lies outside it
    (closed,) = back.regions
    edge = np.array([p for c in plate.contours for s in c.segments for p in samples(s, 1.0)])
    assert float(edge_distances(closed, edge).min()) > -OFFSET_MM


@few
@given(plates(), st.floats(0.05, 3.0))
def test_in_then_out_never_leaves_the_original(plate: Region, d: float) -> None:
    for shrunk in offset_region(plate, -d).regions:
        for opened in offset_region(shrunk, d).regions:
            edge = np.array([p for c in opened.contours for s in c.segments for p in samples(s, 1.0)])
            assert float(edge_distances(plate, edge).min()) > -OFFSET_MM


@few
@given(plates(), distances_mm, motions())
def test_offset_and_motion_commute(plate: Region, d: float, motion: tuple[float, float, float, bool]) -> None:
    here = offset_region(plate, d).regions
    there = offset_region(carried(plate, motion), d).regions
    assert [r.area for r in there] == pytest.approx([r.area for r in here], rel=1e-7)
    assert [len(r.holes) for r in there] == [len(r.holes) for r in here]


@few
@given(plates(), distances_mm)
def test_origin_names_a_segment_at_the_distance(plate: Region, d: float) -> None:
    result = offset_region(plate, d)
    for region, sources in zip(result.regions, result.origin, strict=True):
        for contour, row in zip(region.contours, sources, strict=True):
            assert len(contour.segments) == len(row)
            for s, source in zip(contour.segments, row, strict=True):
                parent = plate.contours[source.contour].segments[source.segment]
                gap = parent.nearest(s.point_at(0.5))[1]
                assert gap == pytest.approx(abs(d), abs=OFFSET_MM)
