"""Reading errors carried through: the standard error of every figure, and what one millimetre at the mount costs."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from cutplan.linkage.solved.figures import figures
from cutplan.linkage.solved.vectors import Floats
from cutplan.linkage.study import Layout

#: Step of the differences as a share of each reading's standard error [-].
_STEP = 0.5
#: Step of the gear for the cost of one millimetre [mm].
_SHIFT_MM = 0.25


def standard_errors(layout: Layout, shift: Floats) -> dict[str, Floats]:
    """Return the standard error of every figure at each shift, in the figure's unit.

    First order: ``var(f) = sum((df/dp)**2 var(p))`` over all coordinates and the wheelbase, taken as independent; the
    slope is the root mean square of both one-sided differences, half a standard error wide, so that a figure that is
    the worst of two sides keeps its error where they meet. The mirror image shares the readings of the side measured.

    Parameters
    ----------
    layout : Layout
        Where the parameters stand, with their errors.
    shift : ndarray, shape (..., 3)
        Shifts of the gear [mm].
    """
    n = layout.values.size
    steps = np.diag(_STEP * layout.errors)
    rows = layout.values + np.concatenate([steps, -steps, np.zeros((1, n))])
    rows = rows.reshape((2 * n + 1,) + (1,) * (shift.ndim - 1) + (n,))
    out = {}
    for name, value in figures(layout, rows, shift[None]).items():
        change = (value[:-1] - value[-1]) / _STEP
        out[name] = np.sqrt(0.5 * (change**2).sum(axis=0))
    return out


@dataclass(frozen=True, slots=True)
class ErrorField:
    """Standard errors on a coarse grid of places; they change slowly, so between its points they are interpolated.

    ``forward`` and ``up`` are the grid's shifts [mm]; ``values`` are shaped (up, forward), in the figure's unit.
    """

    forward: Floats
    up: Floats
    values: dict[str, Floats]

    def at(self, places: Floats) -> dict[str, Floats]:
        """Return the standard errors at places of any shape (..., 3) [mm], in the figure's unit."""
        column, across = _cell(self.forward, places[..., 0])
        row, along = _cell(self.up, places[..., 2])
        out = {}
        for name, v in self.values.items():
            low = v[row, column] * (1.0 - across) + v[row, column + 1] * across
            high = v[row + 1, column] * (1.0 - across) + v[row + 1, column + 1] * across
            out[name] = low * (1.0 - along) + high * along
        return out


def _cell(line: Floats, x: Floats) -> tuple[NDArray[np.intp], Floats]:
    at = np.clip((x - line[0]) / (line[1] - line[0]), 0.0, len(line) - 1.0)
    cell = np.minimum(at.astype(np.intp), len(line) - 2)
    return cell, at - cell


def error_field(layout: Layout, count: int = 9) -> ErrorField:
    """Return the standard errors over a study's map; a place that does not close takes the largest error found."""
    area = layout.study.range
    forward, up = np.linspace(*area.forward, count), np.linspace(*area.up, count)
    x, z = np.meshgrid(forward, up)
    values = standard_errors(layout, np.stack([x, np.zeros_like(x), z], axis=-1))
    return ErrorField(forward, up, {name: _known(v) for name, v in values.items()})


def _known(v: Floats) -> Floats:
    good = np.isfinite(v)
    return np.where(good, v, v[good].max() if good.any() else 0.0)


def cost_of_shift(layout: Layout, shift: Floats) -> dict[str, Floats]:
    """Return the change of every figure with one millimetre of error at the mount, shape (3,), forward, left, up.

    Parameters
    ----------
    layout : Layout
        Where the parameters stand.
    shift : ndarray, shape (3,)
        Place of the gear [mm].
    """
    steps = _SHIFT_MM * np.eye(3)
    places = shift + np.concatenate([steps, -steps])
    values = figures(layout, layout.values, places)
    return {name: (v[:3] - v[3:]) / (2.0 * _SHIFT_MM) for name, v in values.items()}
