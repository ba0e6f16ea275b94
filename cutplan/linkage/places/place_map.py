"""The map: every figure at every place of the gear, with its reading error and the margin to the wishes."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cutplan.linkage.places.bands import ErrorField, error_field
from cutplan.linkage.places.margins import margins, score
from cutplan.linkage.solved.figures import figures
from cutplan.linkage.solved.vectors import Floats
from cutplan.linkage.study import Layout


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
    score : ndarray
        How good each place is [-], see :func:`cutplan.linkage.places.margins.score`.
    field : ErrorField
        The standard errors at any place [the figure's unit].
    """

    forward: Floats
    up: Floats
    values: dict[str, Floats]
    errors: dict[str, Floats]
    margin: Floats
    score: Floats
    field: ErrorField


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
    field = error_field(layout)
    errors = field.at(grid(forward, up))
    wishes = layout.study.wishes
    found = margins(wishes, values, errors)
    return PlaceMap(forward, up, values, errors, found.min(axis=0), score(found), field)
