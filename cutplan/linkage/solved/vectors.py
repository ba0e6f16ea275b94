"""Small helpers for arrays whose last axis is a vector in vehicle axes (ISO 8855: x forward, y left, z up)."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

#: Turns a vector of the right side into its mirror image on the left.
MIRROR = np.array([1.0, -1.0, 1.0])
MIRROR.setflags(write=False)


def dot(a: Floats, b: Floats) -> Floats:
    """Return the scalar product over the last axis of (..., 3), with broadcasting."""
    return np.asarray(a[..., 0] * b[..., 0] + a[..., 1] * b[..., 1] + a[..., 2] * b[..., 2])


def cross(a: Floats, b: Floats) -> Floats:
    """Return the vector product over the last axis of (..., 3), with broadcasting."""
    return np.stack(
        [
            a[..., 1] * b[..., 2] - a[..., 2] * b[..., 1],
            a[..., 2] * b[..., 0] - a[..., 0] * b[..., 2],
            a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0],
        ],
        axis=-1,
    )


def length(a: Floats) -> Floats:
    """Return the length over the last axis of (..., 3)."""
    return np.sqrt(dot(a, a))


def unit(a: Floats) -> Floats:
    """Return the vectors, (..., 3), scaled to length one; a vector of no length gives not-a-number."""
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.asarray(a / length(a)[..., None])
