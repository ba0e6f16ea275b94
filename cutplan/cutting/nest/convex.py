"""Convex pieces of a shape: triangles put together again as long as what comes of it has no dent."""

from __future__ import annotations

from typing import TYPE_CHECKING, cast

import numpy as np

if TYPE_CHECKING:
    from shapely import Polygon
    from shapely.geometry.base import BaseGeometry

#: Turn to the right that still counts as straight on, over the lengths of both edges [1].
_STRAIGHT = 1e-9


def convex_pieces(shape: Polygon) -> list[np.ndarray]:
    """Return convex polygons, counter-clockwise, that make up a shape without holes.

    Parameters
    ----------
    shape : Polygon
        The shape; its holes are filled [mm].

    Returns
    -------
    list of ndarray
        Corners of each piece, shape (n, 2) [mm].
    """
    import shapely

    ring = shapely.Polygon(shape.exterior)
    hull = ring.convex_hull
    if hull.area - ring.area <= _STRAIGHT * ring.area:
        return [_corners(hull)]
    corners: dict[tuple[float, float], int] = {}
    pieces: dict[int, list[int]] = {}
    for n, triangle in enumerate(shapely.constrained_delaunay_triangles(ring).geoms):
        pieces[n] = [corners.setdefault((x, y), len(corners)) for x, y in _corners(triangle).tolist()]
    points = np.array(list(corners))
    _merge(points, pieces)
    return [points[piece] for piece in pieces.values()]


def _corners(shape: BaseGeometry) -> np.ndarray:
    from shapely.geometry.polygon import orient

    return np.asarray(orient(cast("Polygon", shape)).exterior.coords)[:-1, :2]


def _merge(points: np.ndarray, pieces: dict[int, list[int]]) -> None:
    """Put two pieces together over each inner edge that can go without leaving a dent at either end."""
    owner = {edge: n for n, piece in pieces.items() for edge in _edges(piece)}
    for u, v in sorted(owner):
        a, b = owner[u, v], owner.get((v, u), -1)
        if u > v or b < 0 or a == b:
            continue
        one, two = _from(pieces[a], v), _from(pieces[b], u)  # v ... u and u ... v
        if _bulges(points, one[-2], u, two[1]) and _bulges(points, two[-2], v, one[1]):
            pieces[a] = one + two[1:-1]
            del pieces[b]
            owner.update(dict.fromkeys(_edges(pieces[a]), a))


def _edges(piece: list[int]) -> list[tuple[int, int]]:
    return list(zip(piece, piece[1:] + piece[:1], strict=True))


def _from(piece: list[int], first: int) -> list[int]:
    at = piece.index(first)
    return piece[at:] + piece[:at]


def _bulges(points: np.ndarray, before: int, at: int, after: int) -> bool:
    (ax, ay), (bx, by) = points[at] - points[before], points[after] - points[at]
    return bool(ax * by - ay * bx >= -_STRAIGHT * (np.hypot(ax, ay) * np.hypot(bx, by)))
