"""Outlines for mesh and distortion tests."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


def circle(radius: float, centre: tuple[float, float] = (0.0, 0.0), count: int = 720) -> Floats:
    """Counter-clockwise polygon on a circle."""
    turn = np.linspace(0.0, 2.0 * np.pi, count, endpoint=False)
    return np.array(centre) + radius * np.column_stack([np.cos(turn), np.sin(turn)])


def rectangle(x0: float, y0: float, x1: float, y1: float, radius: float = 0.0) -> Floats:
    """Counter-clockwise rectangle, corners rounded by a radius."""
    if radius == 0.0:
        return np.array([[x0, y0], [x1, y0], [x1, y1], [x0, y1]], dtype=float)
    corners = [
        (x1 - radius, y0 + radius, -90.0),
        (x1 - radius, y1 - radius, 0.0),
        (x0 + radius, y1 - radius, 90.0),
        (x0 + radius, y0 + radius, 180.0),
    ]
    return np.vstack(
        [
            np.array([x, y]) + radius * np.column_stack([np.cos(a), np.sin(a)])
            for x, y, first in corners
            for a in [np.radians(np.linspace(first, first + 90.0, 24))]
        ]
    )
