"""The shift with the largest margin to every limit, its own standard error, and the tolerance left for the mount."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product

import numpy as np

from cutplan.linkage.places.bands import ErrorField, cost_of_shift, standard_errors
from cutplan.linkage.places.margins import HELD, margins, score
from cutplan.linkage.places.place_map import PlaceMap
from cutplan.linkage.solved.figures import figures
from cutplan.linkage.solved.vectors import Floats
from cutplan.linkage.study import Layout

#: Points each way of the grid that closes in on the best place; it shrinks to this share at each stage.
_POINTS, _SHRINK, _STAGES = 9, 0.5, 12
#: The least and most that a mount's position tolerance is told [mm]: finer is no welded work, coarser is no work.
FINEST_MM, COARSEST_MM = 0.2, 5.0
_STEP_MM = 0.1
#: The shift is told to what a tape can set [mm].
_TAPE_MM = 0.5


@dataclass(frozen=True, slots=True)
class Recommended:
    """The place recommended.

    Parameters
    ----------
    shift : ndarray, shape (3,)
        Shift of the gear, forward, left, up [mm].
    shift_error : ndarray, shape (3,)
        Its standard error from the readings [mm].
    values, errors : dict
        Figures there with their standard errors, in the figure's unit.
    margins : tuple of float
        Margin to every wish in standard errors [-].
    costs : dict
        Change of every figure with 1 mm of error at the mount, forward, left, up.
    tolerance_mm : float or None
        Distance that the mount may be off in any direction with every wish still held [mm]; None: a wish is not held.
    at_edge : bool
        Whether the place lies on the edge of the map: a better one may lie beyond.
    """

    shift: Floats
    shift_error: Floats
    values: dict[str, Floats]
    errors: dict[str, Floats]
    margins: tuple[float, ...]
    costs: dict[str, Floats]
    tolerance_mm: float | None
    at_edge: bool

    @property
    def margin(self) -> float:
        """Least margin to any wish in standard errors [-]."""
        return min(self.margins)


def best_shift(layout: Layout, rows: Floats, start: Floats, field: ErrorField, span: Floats) -> Floats:
    """Return the shift of the best score (nearly the largest least margin) for each row of parameters [mm], shape (rows, 3).

    A grid about the best place so far is evaluated for all rows at once and halved; ridges, where two limits meet,
    need no derivative.

    Parameters
    ----------
    layout : Layout
        Where the parameters stand; its range bounds the answer.
    rows : ndarray, shape (rows, parameters)
        Rows of parameters [mm].
    start : ndarray, shape (3,)
        Where the search begins [mm].
    field : ErrorField
        Standard errors by which margins are counted, in the figure's unit.
    span : ndarray, shape (2,)
        Half width of the first grid forward and up [mm].
    """
    wishes = layout.study.wishes
    only = frozenset(w.figure for w in wishes)
    area = layout.study.range
    line = np.linspace(-1.0, 1.0, _POINTS)
    x, z = (v.ravel() for v in np.meshgrid(line, line))
    at = np.broadcast_to(start, (len(rows), 3)).copy()
    for stage in range(_STAGES):
        half = span * _SHRINK**stage
        places = np.repeat(at[:, None, :], x.size, axis=1)
        places[..., 0] = np.clip(places[..., 0] + half[0] * x, *area.forward)
        places[..., 2] = np.clip(places[..., 2] + half[1] * z, *area.up)
        values = figures(layout, rows[:, None, :], places, only=only)
        best = score(margins(wishes, values, field.at(places))).argmax(axis=1)
        at = places[np.arange(len(rows)), best]
    return at


def recommend(layout: Layout, chart: PlaceMap) -> Recommended | None:
    """Return the place of largest margin, or None when the linkage closes at no place of the map.

    Parameters
    ----------
    layout : Layout
        The study's parameters; it has wishes.
    chart : PlaceMap
        Its map, from which the search starts.
    """
    if not np.isfinite(chart.margin).any():
        return None
    row, column = np.unravel_index(int(chart.score.argmax()), chart.score.shape)
    start = np.array([chart.forward[column], 0.0, chart.up[row]])
    step = np.array([np.ptp(chart.forward), np.ptp(chart.up)]) / (len(chart.up) - 1)
    shift = best_shift(layout, layout.values[None], start, chart.field, 2.0 * step)[0]
    spread = shift_errors(layout, shift, chart.field)
    return _told(layout, np.round(shift / _TAPE_MM) * _TAPE_MM, spread)


def at_place(layout: Layout, shift: Floats) -> Recommended:
    """Return what is known of a place chosen by hand, (3,) [mm]; its shift has no error of its own."""
    return _told(layout, shift, np.zeros(3))


def _told(layout: Layout, shift: Floats, shift_error: Floats) -> Recommended:
    values = figures(layout, layout.values, shift)
    errors = standard_errors(layout, shift)
    wishes = layout.study.wishes
    found = margins(wishes, values, errors) if wishes else np.zeros(0)
    costs = cost_of_shift(layout, shift)
    area = layout.study.range
    edge = any(
        np.isclose(v, ends, rtol=0.0, atol=1e-6).any() for v, ends in ((shift[0], area.forward), (shift[2], area.up))
    )
    tolerance = mount_tolerance(layout, shift, errors) if wishes else None
    return Recommended(shift, shift_error, values, errors, tuple(float(m) for m in found), costs, tolerance, bool(edge))


def shift_errors(layout: Layout, shift: Floats, field: ErrorField) -> Floats:
    """Return the standard error of the recommended shift [mm], shape (3,): the search repeated with each reading off.

    Parameters
    ----------
    layout : Layout
        The study's parameters with their errors.
    shift : ndarray, shape (3,)
        The recommended shift [mm].
    field : ErrorField
        Standard errors by which margins are counted, in the figure's unit.
    """
    steps = np.diag(layout.errors)
    rows = layout.values + np.concatenate([steps, -steps])
    area = layout.study.range
    span = 0.5 * np.array([area.forward[1] - area.forward[0], area.up[1] - area.up[0]])
    moved = best_shift(layout, rows, shift, field, span)
    n = layout.values.size
    return np.asarray(np.sqrt((((moved[:n] - moved[n:]) / 2.0) ** 2).sum(axis=0)))


def mount_tolerance(layout: Layout, shift: Floats, errors: dict[str, Floats]) -> float | None:
    """Return how far the mount may be off in any direction with every wish held by two standard errors [mm], or None.

    Tried in every direction of a cube's faces, edges and corners at growing distances: figures that are the worst of two
    sides have kinks, so a slope would tell too much room.

    Parameters
    ----------
    layout : Layout
        The study's parameters and wishes.
    shift : ndarray, shape (3,)
        Place of the gear [mm].
    errors : dict
        Standard errors of the figures there, in the figure's unit.
    """
    wishes = layout.study.wishes
    radius = np.linspace(0.0, COARSEST_MM, round(COARSEST_MM / _STEP_MM) + 1)
    ways = np.array([w for w in product((-1.0, 0.0, 1.0), repeat=3) if any(w)])
    ways /= np.linalg.norm(ways, axis=1)[:, None]
    places = shift + radius[:, None, None] * ways
    values = figures(layout, layout.values, places, only=frozenset(w.figure for w in wishes))
    held = (margins(wishes, values, errors) >= HELD).all(axis=(0, 2))
    good = len(radius) if held.all() else int(np.argmin(held))
    tolerance = float(radius[good - 1]) if good else 0.0
    return tolerance if tolerance >= FINEST_MM else None
