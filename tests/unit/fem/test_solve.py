"""Factors and squares in their own memory, and which places lie inside."""

from __future__ import annotations

import numpy as np
import shapely

from cutplan.fem.outline import inside
from cutplan.fem.solve import add_square, lower_factor


def test_the_square_of_some_rows_is_added_where_the_matrix_lies() -> None:
    # exact: R^T R; a stack of matrices, as orders that are followed together have it
    random = np.random.default_rng(3)
    stack = random.standard_normal((3, 9, 9))
    stack = stack + stack.transpose(0, 2, 1)
    rows = np.zeros((4, 9))
    rows[:, :6] = random.standard_normal((4, 6))
    wanted = stack[1] + rows.T @ rows
    others = stack[[0, 2]].copy()
    add_square(stack[1], rows, 6)
    assert np.allclose(stack[1], wanted, rtol=1e-14, atol=1e-14)
    assert np.array_equal(stack[[0, 2]], others)


def test_a_factor_is_written_over_its_matrix() -> None:
    root = np.tril(np.random.default_rng(4).uniform(0.5, 2.0, (7, 7)))
    matrix = root @ root.T
    lower = lower_factor(matrix)
    assert np.shares_memory(lower, matrix)
    assert np.allclose(lower, root, rtol=1e-9)


def test_places_inside_an_odd_number_of_loops() -> None:
    # exact: a square with a square hole, and a notch whose corner lies at a place's height
    square, hole = (
        np.array([[0, 0], [10, 0], [10, 10], [0, 10]], float),
        np.array([[4, 4], [6, 4], [6, 6], [4, 6]], float),
    )
    places = np.array([[1, 1], [5, 5], [3, 5], [11, 5], [-1, 5], [5, 11], [7, 4]], float)
    assert inside(places, [square, hole]).tolist() == [True, False, True, False, False, False, True]
    notch = np.array([[0, 0], [10, 0], [5, 5], [10, 10], [0, 10]], float)
    assert inside(np.array([[4, 5], [6, 5], [2, 5]], float), [notch]).tolist() == [True, False, True]
    assert inside(np.empty((0, 2)), [square]).tolist() == []


def test_inside_is_what_another_library_says() -> None:
    """Independent judge: GEOS, on a star with a hole and places spread over both."""
    turn = np.linspace(0.0, 2.0 * np.pi, 24, endpoint=False)
    reach = np.where(np.arange(24) % 2, 4.0, 9.0)
    star, hole = (r[:, None] * np.column_stack([np.cos(turn), np.sin(turn)]) for r in (reach, np.full(24, 2.0)))
    places = np.random.default_rng(5).uniform(-10.0, 10.0, (2000, 2))
    area = shapely.Polygon(star, [hole])
    assert inside(places, [star, hole]).tolist() == shapely.contains_xy(area, places).tolist()
