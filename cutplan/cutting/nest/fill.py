"""Our own small step: one more part into a free space of any shape, as far to the left as it goes."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from cutplan.cutting.nest.halo import turned

if TYPE_CHECKING:
    from shapely import Polygon
    from shapely.geometry.base import BaseGeometry

#: Corners of the free space and of the part that are laid on each other at most, and steps of a grid besides.
CORNERS, OWN, GRID = 120, 12, 24
#: Shares of a step added to places where two things only touch [mm].
HAIR_MM = 1e-4
#: Smallest step when a part is slid to where it touches [mm].
LEAST_STEP_MM = 0.02


class Spot(NamedTuple):
    """Where a part goes: turned about the origin [deg], then moved [mm]."""

    turn_deg: float
    x_mm: float
    y_mm: float


def spot_for(shape: Polygon, free: BaseGeometry, turns: Iterable[float]) -> Spot | None:
    """Return the leftmost place found for a shape in a free space, or None.

    Parameters
    ----------
    shape : Polygon
        The part with its halo, about its own origin [mm].
    free : Polygon or MultiPolygon
        Where halos may lie [mm].
    turns : iterable of float
        Angles allowed [deg].
    """
    import shapely
    from shapely import affinity

    if free.is_empty or free.area < shape.area:
        return None
    shapely.prepare(free)
    best: tuple[float, Spot] | None = None
    fx0, fy0, fx1, fy1 = free.bounds
    targets = _spread(shapely.get_coordinates(free), CORNERS)
    for turn in turns:
        body = turned(shape, turn)
        x0, y0, x1, y1 = body.bounds
        if x1 - x0 > fx1 - fx0 + HAIR_MM or y1 - y0 > fy1 - fy0 + HAIR_MM:
            continue
        moves = _moves(body, targets, (fx0 - x0, fy0 - y0, fx1 - x1, fy1 - y1))
        for dx, dy in moves:
            merit = (x0 + dx) + 0.1 * (y0 + dy)
            if best is not None and merit >= best[0]:
                break
            if free.contains(affinity.translate(body, dx, dy)):
                best = (merit, Spot(turn, *_settled(body, free, float(dx), float(dy))))
                break
    return best[1] if best else None


def _settled(body: Polygon, free: BaseGeometry, dx: float, dy: float) -> tuple[float, float]:
    """Slide a part to the left and down in its free space as far as it goes, in steps that get smaller."""
    from shapely import affinity

    step = 0.25 * max(body.bounds[2] - body.bounds[0], body.bounds[3] - body.bounds[1])
    while step > LEAST_STEP_MM:
        for sx, sy in ((step, 0.0), (0.0, step)):
            while free.contains(affinity.translate(body, dx - sx, dy - sy)):
                dx, dy = dx - sx, dy - sy
        step *= 0.5
    return dx, dy


def _moves(body: Polygon, targets: np.ndarray, room: Sequence[float]) -> np.ndarray:
    """Moves that lay a corner of the part on a corner of the free space, or on a grid; leftmost first."""
    import shapely

    own = _spread(shapely.get_coordinates(body.convex_hull), OWN)
    x0, y0, x1, y1 = body.bounds
    own = np.vstack((own, [(x0, y0), (x0, y1), (x1, y0), (x1, y1)]))
    laid = (targets[:, None, :] - own[None, :, :]).reshape(-1, 2)
    gx, gy = np.meshgrid(np.linspace(room[0], room[2], GRID), np.linspace(room[1], room[3], GRID))
    # things laid exactly on each other hardly ever fit: a hair to every side is tried too
    nudged = np.vstack([laid + np.array((sx * HAIR_MM, sy * HAIR_MM)) for sx in (1, -1) for sy in (1, -1)])
    moves = np.vstack((nudged, np.column_stack((gx.ravel(), gy.ravel()))))
    ok = (moves >= (room[0] - HAIR_MM, room[1] - HAIR_MM)).all(axis=1)
    ok &= (moves <= (room[2] + HAIR_MM, room[3] + HAIR_MM)).all(axis=1)
    moves = moves[ok]
    order = np.lexsort((moves[:, 1], np.round(moves[:, 0] + 0.1 * moves[:, 1], 6)))
    return np.asarray(moves[order])


def _spread(corners: np.ndarray, most: int) -> np.ndarray:
    """At most so many corners, evenly taken, without repeats."""
    unique = np.unique(np.round(corners, 6), axis=0)
    if len(unique) <= most:
        return np.asarray(unique)
    return np.asarray(unique[np.linspace(0, len(unique) - 1, most).astype(int)])
