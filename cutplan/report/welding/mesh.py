"""A mesh made coarse enough for the screen: points that lie close together become one of them."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from cutplan.welding.result import ShapeAfter

#: Most points shown, and most lifts stored over all steps.
MOST_POINTS, MOST_LIFTS = 1500, 250_000
#: Fewest points that still show a shape.
_FEWEST = 300


def screen_mesh(shape: ShapeAfter, most: int | None = None) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Return which points of a shape are kept and the triangles between them, numbered among those kept.

    Parameters
    ----------
    shape : ShapeAfter
        Mesh with the plate's points first.
    most : int or None
        Most points kept; None: by the number of steps, so that all lifts stored stay few.

    Returns
    -------
    (kept, triangles)
        Every point kept is one of the mesh, so its lift is as computed; plate and skin are never joined.
    """
    count = len(shape.points)
    if most is None:
        most = max(_FEWEST, min(MOST_POINTS, MOST_LIFTS // max(len(shape.lift_mm), 1)))
    if count <= most:
        return np.arange(count), np.asarray(shape.triangles, dtype=np.int64)
    size = np.ptp(shape.points, axis=0)
    cell = float(np.sqrt(size.prod() / most))
    while True:
        kept, group = _gathered(shape, cell)
        if len(kept) <= most:
            break
        cell *= 1.08
    corners = group[shape.triangles]
    a, b, c = corners.T
    corners = corners[(a != b) & (b != c) & (a != c)]
    _, first = np.unique(np.sort(corners, axis=1), axis=0, return_index=True)
    return kept, corners[np.sort(first)]


def _gathered(shape: ShapeAfter, cell_mm: float) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """The point nearest the middle of each square of a grid, plate and skin apart, and the group of every point."""
    places = np.floor((shape.points - shape.points.min(axis=0)) / cell_mm)
    keys = np.column_stack([~np.asarray(shape.is_plate, dtype=bool), places]).astype(np.int64)
    _, group = np.unique(keys, axis=0, return_inverse=True)
    group = group.ravel()
    share = np.bincount(group)
    middle = np.column_stack([np.bincount(group, shape.points[:, k]) / share for k in (0, 1)])
    away = ((shape.points - middle[group]) ** 2).sum(axis=1)
    order = np.lexsort((np.arange(len(away)), away, group))
    first = np.searchsorted(group[order], np.arange(len(share)))
    return order[first].astype(np.int64), group.astype(np.int64)
