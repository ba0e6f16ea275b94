"""Laid shapes pushed apart and together: convex pieces, lines that part them, and what a push may never do."""

import itertools
import time
from random import Random

import numpy as np
import pytest
import shapely
from shapely import Polygon, affinity

from cutplan.cutting.nest.convex import convex_pieces
from cutplan.cutting.nest.faces import faces
from cutplan.cutting.nest.outlines import Kind, Outlines
from cutplan.cutting.nest.search import Loose
from cutplan.cutting.nest.strip import strip
from cutplan.cutting.nest.tighten import tightened

ANGLE = Polygon([(0, 0), (30, 0), (30, 10), (10, 10), (10, 40), (0, 40)])
CROSS = Polygon([(0, 0), (2, 0), (2, -2), (4, -2), (4, 0), (6, 0), (6, 2), (4, 2), (4, 4), (2, 4), (2, 2), (0, 2)])


def star(seed: int, corners: int = 9) -> Polygon:
    rng = Random(seed)
    angles = sorted(rng.uniform(0.0, 2.0 * np.pi) for _ in range(corners))
    shape = Polygon([(r * np.cos(a), r * np.sin(a)) for a in angles for r in [rng.uniform(5.0, 30.0)]])
    return shape if shape.is_valid and shape.area > 50.0 else star(seed + 1000, corners)


def laid(shapes: list[Polygon], kinds: list[Kind], places: np.ndarray) -> list[Polygon]:
    return [
        affinity.translate(affinity.rotate(shapes[k.shape], k.turn_deg, origin=(0.0, 0.0)), *xy)
        for k, xy in zip(kinds, places.tolist(), strict=True)
    ]


def overlap(placed: list[Polygon]) -> float:
    return max((a.intersection(b).area for a, b in itertools.combinations(placed, 2)), default=0.0)


@pytest.mark.parametrize("shape", [ANGLE, CROSS, *map(star, range(6)), shapely.Point(0, 0).buffer(9.0)])
def test_convex_pieces_make_up_the_shape(shape: Polygon) -> None:
    pieces = [Polygon(p) for p in convex_pieces(shape)]
    assert sum(p.area for p in pieces) == pytest.approx(shape.area)  # exact
    assert shapely.union_all(pieces).symmetric_difference(shape).area < 1e-9 * shape.area
    for p in pieces:
        assert p.exterior.is_ccw and p.convex_hull.area == pytest.approx(p.area)
    assert len(pieces) <= len(shape.exterior.coords) - 3


def test_a_shape_without_dents_stays_in_one_piece_and_an_angle_needs_two() -> None:
    assert len(convex_pieces(shapely.box(0, 0, 3, 4))) == 1
    assert len(convex_pieces(ANGLE)) == 2


@pytest.mark.parametrize("seed", range(12))
def test_lines_part_two_shapes_where_they_do_not_overlap(seed: int) -> None:
    rng = Random(seed)
    one, two = star(seed), star(seed + 50)
    lines = faces(convex_pieces(one), convex_pieces(two))
    for _ in range(20):
        way = np.array((rng.uniform(-50.0, 50.0), rng.uniform(-50.0, 50.0)))
        chosen, room = lines.best(way)
        assert np.allclose(lines.normals[chosen] @ way - lines.needs[chosen], room)
        moved = affinity.translate(two, *way)
        if one.intersection(moved).area > 1e-6:
            assert room.min() < 0.0
        else:
            assert room.min() > -1e-4
            assert room.min() <= one.distance(moved) + 1e-9  # a line's room is never more than the true gap


def test_two_boxes_that_overlap_lie_side_by_side_in_the_shortest_strip() -> None:
    shapes = [shapely.box(0.0, 0.0, 30.0, 20.0)]
    kinds = [Kind(0, 0.0), Kind(0, 90.0)]
    found = tightened(Outlines(shapes), kinds, np.array(((1.0, 2.0), (46.0, 0.0))), 35.0)
    assert found.overlap_mm == 0.0 and found.length_mm == pytest.approx(50.0)  # exact: 30 + 20
    assert overlap(laid(shapes, kinds, found.places)) < 1e-6


@pytest.mark.parametrize("seed", range(4))
def test_what_lies_apart_stays_apart_and_gets_no_longer(seed: int) -> None:
    rng = Random(seed)
    shapes = [star(seed), star(seed + 20), ANGLE]
    kinds = [Kind(k % 3, rng.choice((0.0, 90.0, 33.0))) for k in range(8)]
    places = np.array([(70.0 * (k // 2), 70.0 * (k % 2)) for k in range(8)]) + 45.0
    before = max(p.bounds[2] for p in laid(shapes, kinds, places))
    found = tightened(Outlines(shapes), kinds, places, 140.0)
    placed = laid(shapes, kinds, found.places)
    assert found.overlap_mm == 0.0 and overlap(placed) < 1e-4
    assert found.length_mm == pytest.approx(max(p.bounds[2] for p in placed)) and found.length_mm < before - 20.0
    assert all(p.bounds[0] > -1e-6 and p.bounds[1] > -1e-6 and p.bounds[3] < 140.0 + 1e-6 for p in placed)


def test_what_cannot_come_apart_says_so() -> None:
    shapes = [shapely.box(0.0, 0.0, 30.0, 20.0)]
    found = tightened(Outlines(shapes), [Kind(0, 0.0)] * 2, np.array(((0.0, 0.0), (0.0, 15.0))), 35.0)
    assert found.overlap_mm == pytest.approx(5.0)  # exact: 20 + 20 - 35; the way past is longer than one push goes


def test_shapes_are_drawn_in_for_the_library_but_never_taken_apart() -> None:
    waist = Polygon([(0, 0), (40, 0), (40, 20), (20.01, 10), (40, 30), (0, 30), (19.99, 10)])
    loose = Loose.of([ANGLE, waist], [3, 2], 60.0, (0.0, 90.0), 0.01)
    drawn, kept = (Polygon(item.shape) for item in loose.instance.items)
    assert drawn.area < ANGLE.area - 0.4 * loose.play_mm * ANGLE.length and kept.area == pytest.approx(waist.area)
    assert 60.0 * 0.99 < loose.instance.strip_height + 0.01 < 60.0
    tall = Loose.of([shapely.box(0, 0, 10, 60)], [2], 60.0, (0.0,), 0.01)
    assert tall.instance.strip_height > 60.0 - tall.play_mm - 0.01  # a shape as tall as the strip still goes in


@pytest.mark.parametrize("turns", [(0.0,), None])
def test_shapes_that_lock_into_each_other_are_laid_whole(turns: tuple[float, ...] | None) -> None:
    shapes, counts = [CROSS, shapely.box(0, 0, 5, 3)], [4, 3]
    start = time.monotonic()
    found, length = strip(shapes, counts, 12.0, turns, 1)
    assert time.monotonic() - start < 60.0
    kinds = [Kind(p.shape, p.turn_deg) for p in found]
    placed = laid(shapes, kinds, np.array([(p.x_mm, p.y_mm) for p in found]))
    assert sorted(k.shape for k in kinds) == [0] * 4 + [1] * 3
    assert overlap(placed) < 1e-5 and shapely.box(0, 0, length, 12.0).buffer(1e-5).covers(shapely.union_all(placed))
    assert length < 2.0 * sum(s.area * n for s, n in zip(shapes, counts, strict=True)) / 12.0
