"""The edge of the card from rough shape to exact pieces: searched, fitted, searched again along the pieces."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from cutplan.geometry.vector import Point
from cutplan.photo.adjustment.camera import Views
from cutplan.photo.edge.edges import BESIDE_MM, Edges, Optics, best_blur, measure
from cutplan.photo.edge.fitted import Fit, fit, members, residuals
from cutplan.photo.edge.height import Combined, combine
from cutplan.photo.edge.pieces import Piece, split
from cutplan.photo.edge.silhouette import Silhouette
from cutplan.photo.edge.sites import SITE_MM, Sites, sites_on
from cutplan.photo.picture import Picture

#: How far the edge is looked for from the rough shape, and once it is known [mm].
_ROUGH_REACH_MM, _REACH_MM = 2.6, 0.9
#: A piece shorter than this cannot be told from the blur of a corner [mm].
_SHORTEST_MM = 0.5


@dataclass(frozen=True)
class Outline:
    """The edge in pieces.

    ``fits`` one for each ring, outline first; ``sites`` lie on the pieces, ``piece`` (n,) tells on which; ``points``
    (n, 2) are where the edge was seen [mm]; ``height`` (n,) of the face there [mm]; ``edges`` what each picture shows;
    ``combined`` of all pictures; ``optics`` of each picture.
    """

    fits: tuple[Fit, ...]
    sites: Sites
    piece: np.ndarray
    points: np.ndarray
    weight: np.ndarray
    height: np.ndarray
    edges: tuple[Edges, ...]
    combined: Combined
    optics: tuple[Optics, ...]


@dataclass(frozen=True)
class _Bench:
    pictures: tuple[Picture, ...]
    views: Views
    thickness_mm: float
    colour: np.ndarray
    solve_height: bool

    def look(
        self, sites: Sites, height: np.ndarray, reach: float, optics: Sequence[Optics]
    ) -> tuple[tuple[Edges, ...], Combined]:
        edges = tuple(
            measure(p, self.views, i, sites, height, self.thickness_mm, self.colour, reach, optics[i])
            for i, p in enumerate(self.pictures)
        )
        return edges, combine(sites, edges, self.solve_height)


def find_outline(
    pictures: Sequence[Picture],
    views: Views,
    rough: Silhouette,
    thickness_mm: float,
    height_mm: float,
    sigma_mm: float,
    solve_height: bool,
) -> Outline:
    """Return the outline and the holes of the card in pieces.

    Parameters
    ----------
    pictures : sequence of Picture
        The pictures.
    views : Views
        Where they were taken.
    rough : Silhouette
        Where to begin.
    thickness_mm : float
        Thickness of the card [mm].
    height_mm : float
        Height of its face over the marks [mm].
    sigma_mm : float
        How far the edge may stray from its pieces, as a standard error [mm].
    solve_height : bool
        Whether the pictures tell the height of the face.
    """
    bench = _Bench(tuple(pictures), views, thickness_mm, rough.colour, solve_height)
    optics = tuple(Optics() for _ in pictures)
    sites = sites_on(rough.rings)
    height = np.full(len(sites.xy), height_mm)
    _, combined = bench.look(sites, height, _ROUGH_REACH_MM, optics)
    raised = combined
    sites = _again(sites.moved(_filled(sites, combined.offset)))
    height = height_mm + raised.higher(sites.xy)
    optics = tuple(
        best_blur(p, views, i, sites, height, thickness_mm, rough.colour, optics[i]) for i, p in enumerate(pictures)
    )
    _, combined = bench.look(sites, height, _REACH_MM, optics)
    moved = sites.moved(_filled(sites, combined.offset))
    height_terms = [raised, combined]
    fits = []
    for ring in range(int(sites.ring.max()) + 1):
        mine = sites.ring == ring
        points = moved.xy[mine]
        fits.append(_robust_fit(points, split(points, sigma_mm), _weights(combined.error[mine])))
    return _along_pieces(bench, fits, height_mm, height_terms, optics)


def _again(sites: Sites) -> Sites:
    rings = [sites.xy[sites.ring == r] for r in range(int(sites.ring.max()) + 1)]
    return sites_on(rings, 0.8)


def _filled(sites: Sites, offset: np.ndarray) -> np.ndarray:
    """Offsets with the sites that no picture shows filled from their neighbours."""
    out = offset.copy()
    for ring in np.unique(sites.ring):
        mine = sites.ring == ring
        good = np.isfinite(out[mine])
        if good.any() and not good.all():
            along = sites.along[mine]
            out[mine] = np.interp(along, along[good], out[mine][good])
    return np.asarray(np.nan_to_num(out))


def _weights(error: np.ndarray) -> np.ndarray:
    return np.asarray(1.0 / np.maximum(np.nan_to_num(error, nan=1.0), 0.008) ** 2)


def _robust_fit(points: np.ndarray, pieces: Sequence[Piece], weight: np.ndarray) -> Fit:
    result = _sound_fit(points, pieces, weight)
    for _ in range(2):
        off = np.abs(off_pieces(result, points))
        scale = max(0.01, 1.4826 * float(np.median(off)))
        result = _sound_fit(points, result.pieces, weight * np.minimum(1.0, 2.5 * scale / np.maximum(off, 1e-9)))
    return result


def _sound_fit(points: np.ndarray, pieces: Sequence[Piece], weight: np.ndarray) -> Fit:
    """A fit whose every piece runs where its points are; a piece too short to be told from its neighbours is dropped."""
    result = fit(points, pieces, weight)
    while len(result.pieces) > 1:
        wrong = _unsound(result, points)
        if wrong is None:
            break
        left = (
            [Piece(True, 0, len(points) - 1)] if len(result.pieces) < 4 else without(result.pieces, wrong, len(points))
        )
        result = fit(points, left, weight)
    return result


def _unsound(result: Fit, points: np.ndarray) -> int | None:
    """The piece that is drawn furthest from its points, if any lies off by more than a millimetre or has no length."""
    worst, found = 1.0, None
    for k, (piece, segment) in enumerate(zip(result.pieces, result.contour().segments, strict=True)):
        if segment.length < _SHORTEST_MM:
            return k
        mine = members(len(points), piece)
        middle = points[mine[len(mine) // 2]]
        at = [segment.point_at(t) for t in (0.25, 0.5, 0.75)]
        gap = max(float(np.hypot(*(points[mine] - [q.x, q.y]).T).min()) for q in at)
        gap = max(gap, segment.nearest(Point(*middle.tolist()))[1])
        if gap > worst:
            worst, found = gap, k
    return found


def without(pieces: Sequence[Piece], drop: int, n: int) -> list[Piece]:
    """Return pieces less one; its points go half to the piece before and half to the next."""
    gone = pieces[drop]
    middle = (gone.first + ((gone.last - gone.first) % n) // 2) % n
    out = list(pieces)
    out[drop - 1] = replace(out[drop - 1], last=middle)
    out[(drop + 1) % len(out)] = replace(out[(drop + 1) % len(out)], first=middle)
    del out[drop]
    return out


def off_pieces(result: Fit, points: np.ndarray) -> np.ndarray:
    """Return how far points (n, 2) lie from the pieces that they belong to [mm]; near corners that means little."""
    out = np.zeros(len(points))
    for k, piece in enumerate(result.pieces):
        mine = members(len(points), piece)
        out[mine] = residuals(piece.round, result.values[k], points[mine] - result.origin)[0]
    return out


def _on_pieces(fits: Sequence[Fit]) -> tuple[Sites, np.ndarray, np.ndarray]:
    """Sites on the pieces with exact normals, the piece of each, and how it curves out of the material [1/mm]."""
    xy, normal, ring, along, piece, curve = [], [], [], [], [], []
    for number, one in enumerate(fits):
        run = 0.0
        for k, segment in enumerate(one.contour().segments):
            many = max(6, round(segment.length / SITE_MM))
            bend = -one.turning[k] / one.values[k, 2] if one.pieces[k].round else 0.0
            for i in range(many):
                t = (i + 0.5) / many
                at, way = segment.point_at(t), segment.direction_at(t)
                xy.append((at.x, at.y))
                normal.append((way.y, -way.x))
                ring.append(number)
                along.append(run + t * segment.length)
                piece.append(k)
                curve.append(bend)
            run += segment.length
    sites = Sites(np.array(xy), np.array(normal), np.array(ring), np.array(along))
    return sites, np.array(piece), np.array(curve)


def _along_pieces(
    bench: _Bench, fits: Sequence[Fit], height_mm: float, raised: list[Combined], optics: Sequence[Optics]
) -> Outline:
    sites, piece, curve = _on_pieces(fits)
    height = height_mm + sum((c.higher(sites.xy) for c in raised), np.zeros(len(sites.xy)))
    edges, combined = bench.look(sites, height, _REACH_MM, optics)
    # blur draws a curved edge towards its centre, and so does the averaging beside it (second order, exact for a circle
    # much larger than the blur)
    per_px = np.mean(
        [
            bench.views.mm_per_px(i, np.array([*sites.xy.mean(axis=0), height_mm])) * o.blur_px
            for i, o in enumerate(optics)
        ]
    )
    pulled = 0.5 * curve * (per_px**2 + float(np.mean(np.square(BESIDE_MM))))
    points = sites.xy + sites.normal * (_filled(sites, combined.offset) - pulled)[:, None]
    weight = np.where(np.isfinite(combined.offset), _weights(combined.error), 1e-6)
    final = []
    for number, one in enumerate(fits):
        mine = np.nonzero(sites.ring == number)[0]
        final.append(_robust_fit(points[mine], _renumbered(one, piece[mine]), weight[mine]))
    return Outline(tuple(final), sites, piece, points, weight, height, edges, combined, tuple(optics))


def _renumbered(one: Fit, piece: np.ndarray) -> list[Piece]:
    if one.is_circle:
        return [Piece(True, 0, len(piece) - 1)]
    out = []
    for k, old in enumerate(one.pieces):
        at = np.nonzero(piece == k)[0]
        out.append(replace(old, first=int(at[0]), last=int(at[-1])))
    return out
