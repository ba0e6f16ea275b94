"""Places along the card's edge where the edge is looked for, each with the direction out of the material."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

#: Distance between neighbouring sites [mm].
SITE_MM = 0.6


@dataclass(frozen=True)
class Sites:
    """Places (n, 2) [mm], unit normals (n, 2) out of the material, ring of each and distance along it [mm]."""

    xy: np.ndarray
    normal: np.ndarray
    ring: np.ndarray
    along: np.ndarray

    def moved(self, offset_mm: np.ndarray) -> Sites:
        """Return the sites moved along their normals by offsets (n,) [mm]."""
        return replace(self, xy=self.xy + self.normal * offset_mm[:, None])

    def chosen(self, mask: np.ndarray) -> Sites:
        """Return the sites of a mask."""
        return Sites(self.xy[mask], self.normal[mask], self.ring[mask], self.along[mask])


def sites_on(rings: Sequence[np.ndarray], smooth_mm: float = 1.2) -> Sites:
    """Return sites along closed polygons; material lies on the left of travel.

    Parameters
    ----------
    rings : sequence of (n, 2) arrays
        Closed polygons [mm], the first point not repeated.
    smooth_mm : float
        How far along the edge its direction is averaged [mm].
    """
    from scipy.ndimage import gaussian_filter1d

    xy, normal, which, along = [], [], [], []
    for number, ring in enumerate(rings):
        p = resampled(ring, SITE_MM)
        step = np.hypot(*(np.roll(p, -1, axis=0) - p).T).mean()
        q = gaussian_filter1d(p, smooth_mm / step, axis=0, mode="wrap")
        # smoothing draws round holes in: put back by the mean of what it moved along the normal
        direction = np.roll(q, -1, axis=0) - np.roll(q, 1, axis=0)
        direction /= np.hypot(direction[:, 0], direction[:, 1])[:, None]
        out = np.stack([direction[:, 1], -direction[:, 0]], axis=1)
        pulled = ((p - q) * out).sum(axis=1)
        q = q + out * gaussian_filter1d(pulled, 2.0 * smooth_mm / step, mode="wrap")[:, None]
        xy.append(q)
        normal.append(out)
        which.append(np.full(len(q), number))
        along.append(np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(q, axis=0).T))]))
    return Sites(np.concatenate(xy), np.concatenate(normal), np.concatenate(which), np.concatenate(along))


def resampled(ring: np.ndarray, step_mm: float) -> np.ndarray:
    """Return a closed polygon with points at even distances.

    Parameters
    ----------
    ring : (n, 2) array
        The polygon [mm].
    step_mm : float
        Distance wanted [mm].
    """
    closed = np.vstack([ring, ring[:1]])
    run = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(closed, axis=0).T))])
    many = max(12, round(run[-1] / step_mm))
    at = np.arange(many) * run[-1] / many
    return np.stack([np.interp(at, run, closed[:, 0]), np.interp(at, run, closed[:, 1])], axis=1)
