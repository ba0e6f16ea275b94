"""Reading errors carried through: the standard error of every figure, and what one millimetre at the mount costs."""

from __future__ import annotations

import numpy as np

from cutplan.linkage.figures import figures
from cutplan.linkage.study import Layout
from cutplan.linkage.vectors import Floats

#: Step of the differences as a share of each reading's standard error [-].
_STEP = 0.5
#: Step of the gear for the cost of one millimetre [mm].
_SHIFT_MM = 0.25


def standard_errors(layout: Layout, shift: Floats) -> dict[str, Floats]:
    """Return the standard error of every figure at each shift, in the figure's unit.

    First order: ``var(f) = sum((df/dp)**2 var(p))`` over all coordinates and the wheelbase, taken as independent, with
    central differences half a standard error wide. The mirror image shares the readings of the side measured.

    Parameters
    ----------
    layout : Layout
        Where the parameters stand, with their errors.
    shift : ndarray, shape (..., 3)
        Shifts of the gear [mm].
    """
    n = layout.values.size
    steps = np.diag(_STEP * layout.errors)
    rows = layout.values + np.concatenate([steps, -steps])
    rows = rows.reshape((2 * n,) + (1,) * (shift.ndim - 1) + (n,))
    out = {}
    for name, value in figures(layout, rows, shift[None]).items():
        slope = (value[:n] - value[n:]) / (2.0 * _STEP)
        out[name] = np.sqrt((slope**2).sum(axis=0))
    return out


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
