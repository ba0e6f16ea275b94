"""Fields as dots: how large the value is at each, which step of a scale it falls into, and that step's colour."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from cutplan.geometry.vector import Box

Floats = NDArray[np.float64]
Dots = NDArray[np.uint8]


def on_triangles(
    points: Floats, triangles: NDArray[np.int64], values: Floats, box: Box, dots: tuple[int, int]
) -> Floats:
    """Return fields that are linear in each triangle of a mesh as dots (fields, rows, columns) from the top; NaN beside it.

    Parameters
    ----------
    points : ndarray (n, 2)
        Corners [mm].
    triangles : ndarray (m, 3)
        Numbers of their corners.
    values : ndarray (fields, n)
        Each field at the corners.
    box : Box
        What the dots cover [mm].
    dots : (int, int)
        How many there are across and up.
    """
    from PIL import Image, ImageDraw

    # the middle of the first dot from the upper left is the origin
    x = (points[:, 0] - box.xmin) * dots[0] / box.width - 0.5
    y = (box.ymax - points[:, 1]) * dots[1] / box.height - 0.5
    (x0, x1, x2), (y0, y1, y2) = x[triangles].T, y[triangles].T
    image = Image.new("I", dots, 0)
    draw = ImageDraw.Draw(image)
    for k, corners in enumerate(np.column_stack((x0, y0, x1, y1, x2, y2)).tolist(), 1):
        draw.polygon(corners, fill=k)
    owner = np.asarray(image) - 1
    down, across = np.indices(owner.shape)
    twice = (x1 - x0) * (y2 - y0) - (x2 - x0) * (y1 - y0)
    found = []
    for v0, v1, v2 in (v[triangles].T for v in values):
        by_x = ((v1 - v0) * (y2 - y0) - (v2 - v0) * (y1 - y0)) / twice
        by_y = ((x1 - x0) * (v2 - v0) - (x2 - x0) * (v1 - v0)) / twice
        level = v0 - by_x * x0 - by_y * y0
        found.append(np.where(owner < 0, np.nan, by_x[owner] * across + by_y[owner] * down + level[owner]))
    return np.array(found)


def on_grid(values: Floats, dots: tuple[int, int]) -> Floats:
    """Return a field on a grid (rows, columns), lowest row first, as dots (rows, columns) from the top, linear between."""
    from PIL import Image

    rows, columns = values.shape
    inside = (0.5, 0.5, columns - 0.5, rows - 0.5)  # from the first place of the grid to the last
    grid = Image.fromarray(values[::-1].astype(np.float32))
    return np.asarray(grid.resize(dots, Image.Resampling.BILINEAR, inside), dtype=np.float64)


def scale(stops: Sequence[tuple[float, str]], count: int) -> list[str]:
    """Return so many colours as ``#rrggbb``, evenly from end to end of a scale of stops (share [1], colour)."""
    at = np.linspace(0.0, 1.0, count)
    shares = [share for share, _ in stops]
    parts = [np.interp(at, shares, [int(c[k : k + 2], 16) for _, c in stops]) for k in (1, 3, 5)]
    return ["#" + "".join(f"{round(float(v)):02x}" for v in rgb) for rgb in zip(*parts, strict=True)]


def coloured(values: Floats, levels: Sequence[float], colours: Sequence[str], line: str = "") -> Dots:
    """Return dots (rows, columns, 3) in the colours of their steps, white where there is no value.

    Parameters
    ----------
    values : ndarray (rows, columns)
        The field [mm or degC].
    levels : sequence of float
        Where one step ends and the next begins, rising, one fewer than colours [mm or degC].
    colours : sequence of str
        Colours of the steps.
    line : str
        Colour of the lines between steps; empty: none.
    """
    step = np.where(np.isnan(values), len(colours), np.searchsorted(levels, values, side="right"))
    table = np.array([[int(c[k : k + 2], 16) for k in (1, 3, 5)] for c in (*colours, "#ffffff", line or "#ffffff")])
    if line:
        up, right = step[1:] != step[:-1], step[:, 1:] != step[:, :-1]
        for part in (step[1:], step[:-1]):
            part[up] = len(colours) + 1
        for part in (step[:, 1:], step[:, :-1]):
            part[right] = len(colours) + 1
    return table[step].astype(np.uint8)
