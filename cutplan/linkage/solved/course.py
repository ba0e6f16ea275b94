"""A whole linkage over the travel of the gear: both wheels, both sides in line, toe over wheel travel."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cutplan.linkage.solved.side import Loop, Side, loop_of
from cutplan.linkage.solved.steer import Steered, steer_loop
from cutplan.linkage.solved.suspension import carried, toe_and_wheel
from cutplan.linkage.solved.vectors import MIRROR, Floats, unit
from cutplan.linkage.study import Layout

#: Travels of the gear at which figures are taken, straight ahead among them.
TRAVELS = 61
#: Rises of the wheel at which toe is taken, rest among them.
RISES = 13


@dataclass(frozen=True, slots=True)
class Course:
    """Both sides over the travel; the right side's arrays are those of its mirror image except ``right``.

    Parameters
    ----------
    travel : ndarray, shape (n,)
        Travel of the gear, positive to the left [mm].
    left, right : ndarray
        Steer angles, positive to the left [rad].
    sides : tuple of Steered
        Left side, and mirror image of the right side.
    loops : tuple of Loop
        Closing conditions of the same.
    """

    travel: Floats
    left: Floats
    right: Floats
    sides: tuple[Steered, Steered]
    loops: tuple[Loop, Loop]


def travels(layout: Layout, count: int = TRAVELS) -> Floats:
    """Return the (count,) travels of the gear from its right to its left end [mm], straight ahead in the middle place."""
    right, left = layout.study.travel
    half = count // 2
    return np.concatenate([-np.linspace(0.0, right, half + 1)[:0:-1], np.linspace(0.0, left, half + 1)])


def side_of(layout: Layout, row: Floats, shift: Floats, which: str) -> Side:
    """Return one side of rows of parameters with the gear shifted; the right side as its mirror image.

    Parameters
    ----------
    layout : Layout
        Where the parameters stand.
    row : ndarray, shape (..., parameters)
        Rows of parameters [mm].
    shift : ndarray, shape (..., 3)
        Shift of the gear [mm].
    which : {"left", "right"}
        The side.
    """
    mirrored = which == "right"
    own = "right" if mirrored and layout.study.right is not None else "left"
    turn = MIRROR if mirrored and own == "right" else np.ones(3)
    get = {n: layout.point(row, own, n) * turn for n in ("low", "high", "outer", "inner")}
    way = np.array([0.0, 1.0, 0.0])
    if layout.study.right is not None:
        way = unit(layout.point(row, "left", "inner") - layout.point(row, "right", "inner"))
    camber = layout.study.camber
    spin = np.array([0.0, np.cos(camber), -np.sin(camber)])
    flip = MIRROR if mirrored else np.ones(3)
    return Side(get["low"], get["high"], get["outer"], get["inner"] + shift * flip, spin, way * flip)


def course(layout: Layout, row: Floats, shift: Floats, travel: Floats, with_rate: bool = True) -> Course:
    """Return both wheels' angles over the travel for many rows and shifts at once.

    Tie rods are set to length for wheels straight ahead at the gear's middle, as an alignment does.

    Parameters
    ----------
    layout : Layout
        Where the parameters stand.
    row : ndarray, shape (..., parameters)
        Rows of parameters [mm].
    shift : ndarray, shape (..., 3)
        Shifts of the gear, forward, left, up [mm].
    travel : ndarray, shape (n,)
        Travels of the gear [mm].
    with_rate : bool
        Whether the rates are wanted.
    """
    loop, loop_r = (loop_of(side_of(layout, row, shift, which)) for which in ("left", "right"))
    left = steer_loop(loop, travel, with_rate)
    alike = layout.study.right is None and not np.any(shift[..., 1])
    if alike and np.array_equal(travel, -travel[::-1]):
        other = Steered(left.steer[..., ::-1], -left.rate[..., ::-1], left.lever[..., ::-1], left.turn[..., ::-1])
    else:
        other = steer_loop(loop_r, travel, with_rate)
    return Course(travel, left.steer, -other.steer, (left, other), (loop, loop_r))


def toe_change(layout: Layout, row: Floats, shift: Floats, rise: Floats, which: str) -> Floats:
    """Return the steer angle of one wheel, toe-out positive, less that at rest [rad] at rises of its ball joint.

    Parameters
    ----------
    layout : Layout
        Where the parameters stand; the study has arms.
    row, shift : ndarray
        As for :func:`course` [mm].
    rise : ndarray, shape (m,)
        Heights of the lower ball joint above rest [mm].
    which : {"left", "right"}
        The side.
    """
    side = side_of(layout, row, shift, which)
    own = "right" if which == "right" and layout.study.right is not None else "left"
    turn = MIRROR if own == "right" else np.ones(3)

    def point(name: str) -> Floats:
        return layout.point(row, own, name) * turn

    lower = (point("lower_front"), point("lower_rear"))
    upper: tuple[Floats, Floats] | Floats
    if f"{own}.upper_front" in layout.place:
        upper = (point("upper_front"), point("upper_rear"))
    else:
        upper = point("strut") if f"{own}.strut" in layout.place else side.low
    knuckle = carried(side, point("wheel"), lower, upper, rise)
    steer, _ = toe_and_wheel(side, knuckle)
    return steer
