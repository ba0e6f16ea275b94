"""On which side of each other two shapes can lie: every edge of their convex pieces as a line that parts them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np


@dataclass(frozen=True, slots=True)
class Faces:
    """Lines that may part two shapes, one group for each pair of their convex pieces.

    A pair of pieces is apart when the second shape's way from the first, along the normal of any line of its group, is
    at least the need of that line.

    Parameters
    ----------
    normals : ndarray
        Unit normals, shape (n, 2) [1].
    needs : ndarray
        Least ways along them, shape (n,) [mm].
    starts : ndarray
        First line of each group, shape (g,).
    """

    normals: np.ndarray
    needs: np.ndarray
    starts: np.ndarray

    def best(self, way: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Return for each group the line that parts its pieces most, and by how much [mm].

        Parameters
        ----------
        way : ndarray
            From the first shape's place to the second's, shape (2,) [mm].
        """
        room = self.normals @ way - self.needs
        most = np.maximum.reduceat(room, self.starts)
        sizes = np.diff(np.append(self.starts, len(room)))
        at = np.flatnonzero(room == np.repeat(most, sizes))
        groups = np.searchsorted(self.starts, at, side="right") - 1
        return at[np.searchsorted(groups, np.arange(len(most)))], most


def faces(one: Sequence[np.ndarray], two: Sequence[np.ndarray]) -> Faces:
    """Return the lines between two shapes given as convex pieces about their own origins, counter-clockwise [mm]."""
    normals, needs, starts, count = [], [], [], 0
    outward = [(_outward(a), a) for a in one], [(_outward(b), b) for b in two]
    for na, a in outward[0]:
        for nb, b in outward[1]:
            both = np.vstack((na, -nb))
            normals.append(both)
            needs.append((both @ a.T).max(axis=1) - (both @ b.T).min(axis=1))
            starts.append(count)
            count += len(both)
    return Faces(np.vstack(normals), np.concatenate(needs), np.array(starts))


def _outward(piece: np.ndarray) -> np.ndarray:
    along = np.roll(piece, -1, axis=0) - piece
    long = np.hypot(along[:, 0], along[:, 1])
    keep = long > 0.0
    return np.asarray(np.column_stack((along[keep, 1], -along[keep, 0])) / long[keep, None])
