"""Laying on a grid: depths against formula and GEOS, moves against all places tried, and a search that shortens a strip."""

import itertools
import time
from random import Random

import numpy as np
import pytest
import shapely
from shapely import Polygon, affinity

from cutplan.cutting.nest.grid.board import At, Board
from cutplan.cutting.nest.grid.depths import SLACK, Depths
from cutplan.cutting.nest.grid.explore import Explorer
from cutplan.cutting.nest.grid.separate import parted
from cutplan.cutting.nest.grid.shared import Shared, Whole
from cutplan.cutting.nest.halo import turned
from cutplan.cutting.nest.outlines import Kind, Outlines
from cutplan.cutting.nest.race import Order, raced
from cutplan.cutting.nest.tighten import Tight
from cutplan.project.planned.beside import beside

QUARTERS = (0.0, 90.0, 180.0, 270.0)
ANGLE = Polygon([(5, 0), (35, 0), (35, 10), (15, 10), (15, 40), (5, 40)])
FLAG = Polygon([(0, 0), (3, 0), (3, 12), (21, 18), (3, 25), (3, 40), (0, 40)])
SMALL = Polygon([(0, 0), (9, 0), (2, 7)])


def middle(shape: Polygon) -> Polygon:
    x0, y0, x1, y1 = shape.bounds
    return affinity.translate(shape, -0.5 * (x0 + x1), -0.5 * (y0 + y1))


def test_turns_that_cannot_be_told_apart_are_one() -> None:
    depths = Depths.of([shapely.box(0, 0, 3, 3), shapely.box(2, 1, 8, 4), ANGLE], QUARTERS, 0.2)
    assert [len(kinds) for kinds in depths.kinds] == [1, 2, 4]  # exact: square, oblong, angle
    assert [depths.number[Kind(1, turn)] for turn in QUARTERS] == [0, 1, 0, 1]


def test_no_turn_is_tried_that_is_taller_than_the_strip() -> None:
    depths = Depths.of([shapely.box(0, 0, 30, 20.01), shapely.box(0, 0, 30, 19.99)], QUARTERS, 0.5, 29.99)
    assert [[kind.turn_deg for kind in kinds] for kinds in depths.kinds] == [[0.0], [0.0]]
    assert len(Depths.of([shapely.box(0, 0, 30, 20.01)], QUARTERS, 0.5, 30.0).kinds[0]) == 2


def test_two_boxes_lie_as_deep_in_each_other_as_the_shorter_way_out() -> None:
    cell = 0.25
    depth = Depths.of([shapely.box(7, 7, 17, 13), shapely.box(0, 0, 4, 8)], (0.0,), cell).depth(1, Kind(0, 0.0))
    for y, x in itertools.product(range(depth.cells.shape[0]), range(depth.cells.shape[1])):
        up, across = cell * abs(y - depth.row), cell * abs(x - depth.column)
        out = max(min(7.0 - across, 7.0 - up), 0.0) / cell  # exact: half of 10 + 4 and of 6 + 8
        assert abs(depth.cells[y, x] - out) <= 1.0 + SLACK


@pytest.mark.parametrize("turn", QUARTERS)
def test_depths_know_what_overlaps(turn: float) -> None:
    cell, rng = 0.5, Random(int(turn))
    shapes = [ANGLE, FLAG, SMALL]
    depths = Depths.of(shapes, QUARTERS, cell)
    for one, two in itertools.product(range(3), repeat=2):
        depth = depths.depth(two, Kind(one, turn))
        cells = depth.cells.reshape(depth.cells.shape[0], -1, len(depths.kinds[two]))
        fixed = middle(turned(shapes[one], turn))
        for _ in range(60):
            y, x, t = (rng.randrange(size) for size in cells.shape)
            moved = middle(turned(shapes[two], depths.kinds[two][t].turn_deg))
            moved = affinity.translate(moved, cell * (x - depth.column), cell * (y - depth.row))
            shared = fixed.intersection(moved)
            if shared.area < 1e-9:
                assert cells[y, x, t] == 0.0
            elif shared.area > (SLACK + 0.2) * cell * shared.length:
                assert cells[y, x, t] > 0.0


def board_of(shapes: list[Polygon], counts: list[int], length: float, height: float, cell: float) -> Board:
    board = Board.of(Depths.of(shapes, QUARTERS, cell), counts, height)
    board.cut_to(length)
    board.put(board.scattered(np.random.default_rng(3)))
    return board


def test_a_move_goes_to_the_best_of_all_places() -> None:
    board, trial = (board_of([ANGLE, FLAG], [2, 2], 58.0, 55.0, 3.0) for _ in range(2))
    rng = np.random.default_rng(5)
    weights = rng.uniform(1.0, 4.0, 4)
    least = float("inf")
    for turn, row, column in itertools.product(range(4), range(19), range(20)):
        at = At(*(list(side) for side in board.at))
        at.row[1], at.column[1], at.turn[1] = row, column, turn
        trial.put(at)
        if (trial.at.row[1], trial.at.column[1]) == (row, column):
            least = min(least, float(weights @ trial.overlaps[1]))
    assert float(weights @ board.overlaps[1]) > least
    board.move(1, weights, rng)
    assert float(weights @ board.overlaps[1]) == pytest.approx(least)  # exact: all places were tried
    assert np.array_equal(board.overlaps, board.overlaps.T)


def test_sums_kept_over_many_copies_stay_those_of_where_they_lie() -> None:
    board, plain = (board_of([ANGLE, SMALL], [9, 9], 80.0, 62.0, 1.5) for _ in range(2))
    assert board._all
    rng = np.random.default_rng(2)
    for i in rng.integers(18, size=120).tolist():
        weights = np.where(rng.random(18) < 0.3, rng.uniform(1.0, 4.0, 18), 1.0)
        board.move(i, weights, rng)
    plain.put(board.at)
    for shape, total in board._all.items():
        assert np.array_equal(total, plain._all[shape])  # exact: sums of parts of a cell lose nothing
    plain._all = {}
    weights = np.where(np.arange(18) % 3, 1.0, 2.5)
    kept, new = board._counted(4, weights.tolist()), plain._counted(4, weights.tolist())
    assert np.allclose(kept, new, rtol=1e-6, atol=1e-4) and np.array_equal(kept == 0.0, new == 0.0)


def test_copies_are_parted_where_there_is_room() -> None:
    board = board_of([ANGLE, SMALL], [2, 4], 64.0, 42.0, 1.0)
    assert board.overlaps.any()
    found = parted(board, np.random.default_rng(1), time.monotonic() + 20.0, 200)
    assert found.overlap == 0.0
    board.put(found.at)
    assert not board.overlaps.any()


def test_a_search_shortens_the_strip_and_every_layout_is_whole() -> None:
    shapes, counts, height = [ANGLE, FLAG, SMALL], [4, 4, 8], 60.0
    outlines = Outlines(shapes)
    explorer = Explorer.of(outlines, counts, height, QUARTERS, 1)
    lengths = []
    for _ in range(30):
        found = explorer.step(time.monotonic() + 20.0)
        if found:
            kinds, tight = found
            lengths.append(tight.length_mm)
            placed = [
                affinity.translate(turned(shapes[kind.shape], kind.turn_deg), *place)
                for kind, place in zip(kinds, tight.places.tolist(), strict=True)
            ]
            assert sorted(kind.shape for kind in kinds) == [0] * 4 + [1] * 4 + [2] * 8
            assert max(a.intersection(b).area for a, b in itertools.combinations(placed, 2)) < 1e-4
            assert shapely.box(0, 0, tight.length_mm, height).buffer(1e-4).covers(shapely.union_all(placed))
    assert len(lengths) > 1 and lengths == sorted(lengths, reverse=True) and lengths[-1] == explorer.best_mm


def test_a_search_goes_on_from_a_layout_of_another() -> None:
    shapes = [shapely.box(0, 0, 30, 10), SMALL]
    explorer = Explorer.of(Outlines(shapes), [2, 1], 32.0, QUARTERS, 1)
    kinds = (Kind(1, 0.0), Kind(0, 270.0), Kind(0, 90.0))  # a small one, then two oblongs on end, turned either way
    places = np.array(((0.0, 0.0), (9.0, 30.0), (29.0, 0.0)))
    explorer.goal_mm = 40.0
    explorer.go_on(kinds, Tight(places, 29.0, 0.0))
    board = explorer.board
    assert explorer.best_mm == 29.0 and explorer.goal_mm < 29.0
    turns = [board.depths.kinds[shape][turn].turn_deg for shape, turn in zip(board.shapes, board.at.turn, strict=True)]
    assert turns == [90.0, 90.0, 0.0]  # exact: two turns of an oblong are one
    cell = board.depths.cell_mm
    assert np.allclose(cell * np.array(board.at.column), (14.0, 24.0, 4.5), atol=1.5 * cell)
    assert np.allclose(cell * np.array(board.at.row), (15.0, 15.0, 3.5), atol=cell)


def test_the_shortest_layout_of_all_processes_is_taken() -> None:
    order, asked = Order([SMALL], [4], 20.0, QUARTERS), []
    short = Whole((Kind(0, 0.0),) * 4, Tight(np.zeros((4, 2)), 1.0, 0.0))

    def helped(work, cores):  # type: ignore[no-untyped-def]
        asked.append((work, cores))
        return lambda: short if len(asked) == 2 else None

    start = time.monotonic()
    assert raced(order, 1, 3, 1, helped) is short and [cores for _, cores in asked] == [3, 3]
    alone = raced(order, 1, 2, 1, lambda work, cores: work)  # no second process to be had: not waited for
    assert alone is not None and alone.tight.length_mm > 1.0
    assert asked[0][0]() is None  # its time is over
    assert time.monotonic() - start < 60.0


def test_a_try_squeezes_the_best_layout_from_a_line_on() -> None:
    explorer = Explorer.of(Outlines([shapely.box(0, 0, 10, 10)]), [3], 10.0, (0.0,), 1)
    places = np.array(((0.0, 0.0), (12.0, 0.0), (24.0, 0.0)))
    explorer.go_on((Kind(0, 0.0),) * 3, Tight(places, 34.0, 0.0))
    assert explorer._best is not None
    less = {
        tuple(a - b for a, b in zip(explorer._best.column, explorer._squeezed(explorer._best).column, strict=True))
        for _ in range(60)
    }
    step = int(np.ceil((34.0 - explorer.goal_mm) / explorer.board.depths.cell_mm))
    assert less == {
        (0, 0, 0),
        (0, 0, step),
        (0, step, step),
        (step, step, step),
    }  # exact: the lines that can part three


def test_a_search_that_is_far_behind_goes_on_from_what_another_process_told() -> None:
    shared = Shared(2, 2)
    assert shared.shorter(float("inf")) is None
    told = Whole((Kind(1, 90.0), Kind(0, 0.5)), Tight(np.array(((1.0, 2.5), (-3.25, 4.0))), 12.5, 0.0))
    wait = beside(lambda: shared.tell(1, told), 2)  # on Linux in a process of its own
    wait()
    seen = shared.shorter(12.6)
    assert seen is not None and seen.kinds == told.kinds and seen.tight.length_mm == 12.5
    assert np.array_equal(seen.tight.places, told.tight.places)
    assert shared.shorter(12.5) is None
    shared._memory[-1:] = b"?"  # half written: it does not fit its check sum
    assert shared.shorter(12.6) is None
