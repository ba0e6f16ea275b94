"""The map: every figure at every place of the gear, with its reading error and the margin to the wishes."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cutplan.linkage.bands import standard_errors
from cutplan.linkage.figures import figures
from cutplan.linkage.margins import margins
from cutplan.linkage.study import Layout
from cutplan.linkage.vectors import Floats

#: Places each way at which reading errors are computed; between them they are interpolated (they change slowly).
_COARSE = 9


@dataclass(frozen=True, slots=True)
class PlaceMap:
    """Figures over the shift of the gear; rows go up, columns forward.

    Parameters
    ----------
    forward, up : ndarray
        Shifts mapped [mm].
    values, errors : dict
        Figure to its values and standard errors, shape (up, forward), in the figure's unit.
    margin : ndarray
        Least margin to any wish in standard errors [-], same shape; minus infinity where nothing closes.
    """

    forward: Floats
    up: Floats
    values: dict[str, Floats]
    errors: dict[str, Floats]
    margin: Floats


def grid(forward: Floats, up: Floats) -> Floats:
    """Return the shifts of a grid [mm], shape (up, forward, 3)."""
    x, z = np.meshgrid(forward, up)
    return np.stack([x, np.zeros_like(x), z], axis=-1)


def place_map(layout: Layout) -> PlaceMap:
    """Return the map of a study over its range."""
    area = layout.study.range
    forward = np.linspace(*area.forward, area.count)
    up = np.linspace(*area.up, area.count)
    values = figures(layout, layout.values, grid(forward, up))
    few = np.linspace(*area.forward, _COARSE), np.linspace(*area.up, _COARSE)
    coarse = standard_errors(layout, grid(*few))
    errors = {name: _between(few[0], few[1], c, forward, up) for name, c in coarse.items()}
    wishes = layout.study.wishes
    worst = margins(wishes, values, errors).min(axis=0) if wishes else np.full(values["least_angle"].shape, np.inf)
    return PlaceMap(forward, up, values, errors, worst)


def _between(x0: Floats, y0: Floats, c: Floats, x: Floats, y: Floats) -> Floats:
    """Bilinear values of a coarse grid; a place without value takes the largest found."""
    known = c[np.isfinite(c)]
    c = np.where(np.isfinite(c), c, known.max() if known.size else 0.0)
    along = np.stack([np.interp(x, x0, line) for line in c])
    return np.stack([np.interp(y, y0, column) for column in along.T], axis=1)
