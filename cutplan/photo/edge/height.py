"""The pictures combined: one edge from all of them, and the height of the card's face from their parallax."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from cutplan.photo.edge.edges import Edges
from cutplan.photo.edge.sites import Sites

#: Floor of the standard error of one edge in one picture [mm]: face's edge seen against the backing; behind a wall.
_FLOOR_MM, _WALL_FLOOR_MM = 0.012, 0.06
#: Residuals beyond this many standard errors count less (Huber's rule).
_HUBER = 2.0


@dataclass(frozen=True)
class Combined:
    """Edge of all pictures together.

    ``offset`` (n,) [mm] out of each site, not a number where no picture shows it; ``error`` (n,) [mm]; ``pictures`` (n,)
    how many show it; ``surface`` (6,) terms 1, x, y, xx, xy, yy of what the face lies higher than taken [mm], about
    ``middle`` and in units of ``size`` [mm]; ``surface_cov`` (6, 6); ``spread_mm`` is how far the pictures disagree.
    """

    offset: np.ndarray
    error: np.ndarray
    pictures: np.ndarray
    surface: np.ndarray
    surface_cov: np.ndarray
    middle: np.ndarray
    size: float
    spread_mm: float
    residual: np.ndarray

    def higher(self, xy: np.ndarray) -> np.ndarray:
        """Return how much higher than taken the face lies at places (n, 2) [mm]."""
        return np.asarray(terms((xy - self.middle) / self.size) @ self.surface)

    def higher_error(self, xy: np.ndarray) -> np.ndarray:
        """Return the standard error of :meth:`higher` [mm]."""
        t = terms((xy - self.middle) / self.size)
        return np.asarray(np.sqrt(np.maximum(np.einsum("ni,ij,nj->n", t, self.surface_cov, t), 0.0)))


def terms(q: np.ndarray) -> np.ndarray:
    """Return the six terms of a surface of second order at places (n, 2), shape (n, 6)."""
    x, y = q[:, 0], q[:, 1]
    return np.stack([np.ones(len(q)), x, y, x * x, x * y, y * y], axis=1)


def combine(sites: Sites, edges: Sequence[Edges], solve_height: bool) -> Combined:
    """Return the edge and the height that agree best with all pictures.

    Parameters
    ----------
    sites : Sites
        Where the edge was looked for.
    edges : sequence of Edges
        What each picture shows.
    solve_height : bool
        Whether the height is solved; it needs two pictures from different sides.

    Notes
    -----
    Each picture sees the edge moved by height times lean. At each site the mean over the pictures takes the edge's own
    place out; what is left is linear in the six terms of the height (least squares with Huber weights).
    """
    offset = np.stack([e.offset for e in edges])
    lean = np.stack([e.lean for e in edges])
    wall = np.stack([e.wall for e in edges])
    formal = np.stack([e.error for e in edges])
    seen = np.isfinite(offset)
    sigma = np.sqrt(formal**2 + np.where(wall > 0.0, _WALL_FLOOR_MM, _FLOOR_MM) ** 2)
    weight = np.where(seen, 1.0 / np.maximum(sigma, 1e-6) ** 2, 0.0)
    value = np.where(seen, offset, 0.0)
    middle = sites.xy.mean(axis=0)
    size = float(np.abs(sites.xy - middle).max())
    base = terms((sites.xy - middle) / size)
    surface, cov = np.zeros(6), np.zeros((6, 6))
    robust = np.ones_like(value)
    many = seen.sum(axis=0)
    left = np.zeros_like(value)
    for _ in range(6):
        w = weight * robust
        total = np.maximum(w.sum(axis=0), 1e-12)
        if solve_height:
            surface, cov = _surface(value, lean, base, w, total)
        corrected = value - lean * (base @ surface)
        place = (w * corrected).sum(axis=0) / total
        left = np.where(seen, corrected - place, 0.0)
        size_of = np.where(seen, np.abs(left) / np.maximum(sigma, 1e-6), 0.0)
        robust = np.minimum(1.0, _HUBER / np.maximum(size_of, 1e-9))
    place = np.where(many > 0, place, np.nan)
    several = seen & (many > 1)
    spread = float(np.sqrt(np.mean(left[several] ** 2))) if several.any() else 0.0
    unit = float(np.sqrt(np.mean((left[several] / sigma[several]) ** 2) * 1.3)) if several.any() else 1.0
    return Combined(
        place,
        np.sqrt(1.0 / total) * max(unit, 0.5),
        many,
        surface,
        cov * unit**2 * _ALIKE,
        middle,
        size,
        spread,
        np.where(seen, left, np.nan),
    )


#: Neighbouring sites see the same pixels and grain: so many of them count as one.
_ALIKE = 12.0


def _surface(
    value: np.ndarray, lean: np.ndarray, base: np.ndarray, w: np.ndarray, total: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    a = lean[..., None] * base[None]
    mean_a = (w[..., None] * a).sum(axis=0) / total[:, None]
    mean_v = (w * value).sum(axis=0) / total
    a = a - mean_a
    v = value - mean_v
    flat = (w[..., None] * a).reshape(-1, 6)
    # the bends of a card are small: a weak expectation keeps terms at zero that the pictures say nothing of
    normal = flat.T @ a.reshape(-1, 6) + np.diag([1.0, 1.0, 1.0, 0.25, 0.25, 0.25])
    inverse = np.linalg.inv(normal)
    return inverse @ (flat.T @ v.reshape(-1)), inverse
