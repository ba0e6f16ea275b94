"""The figures of a linkage, each for any number of rows of parameters and shifts of the gear at once."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from cutplan.linkage.solved.ackermann import departure, inner_outer, percent
from cutplan.linkage.solved.course import RISES, Course, course, side_of, toe_change, travels
from cutplan.linkage.solved.over_centre import over_centre
from cutplan.linkage.solved.vectors import Floats, length, unit
from cutplan.linkage.study import FIGURES, Layout

#: A steer angle below this share of a turn tells nothing of a turning circle [rad].
_STRAIGHT = 1e-6


def pivot_on_road(layout: Layout, row: Floats, side: str) -> Floats:
    """Return where a side's steering axis meets the road [mm], shape (..., 3)."""
    low, high = layout.point(row, side, "low"), layout.point(row, side, "high")
    road = layout.point(row, side, "wheel")[..., 2]
    axis = unit(high - low)
    return np.asarray(low + axis * ((road - low[..., 2]) / axis[..., 2])[..., None])


def pivots_mm(layout: Layout, row: Floats) -> Floats:
    """Return the distance of the two steering axes on the road [mm]; ``row`` holds places in its last axis, (..., 3)."""
    left = pivot_on_road(layout, row, "left")[..., 1]
    if layout.study.right is None:
        return 2.0 * left
    return np.asarray(left - pivot_on_road(layout, row, "right")[..., 1])


def figures(
    layout: Layout, row: Floats, shift: Floats, travel: Floats | None = None, only: frozenset[str] | None = None
) -> dict[str, Floats]:
    """Return every figure of ``FIGURES`` that the study gives grounds for; not-a-number where the linkage cannot close.

    Parameters
    ----------
    layout : Layout
        Where the parameters stand.
    row : ndarray, shape (..., parameters)
        Rows of parameters [mm].
    shift : ndarray, shape (..., 3)
        Shifts of the gear, forward, left, up [mm]; leading axes broadcast with those of ``row``.
    travel : ndarray or None
        Travels of the gear [mm]; None: 61 over the study's travel.
    only : frozenset of str or None
        Names wanted; None: all.
    """
    wants: Callable[[str], bool] = FIGURES.__contains__ if only is None else only.__contains__
    s = travels(layout) if travel is None else travel
    c = course(layout, row, shift, s, with_rate=wants("ratio") or wants("ratio_change"))
    out = _angles(layout, row, c)
    if wants("least_angle"):
        out["least_angle"] = np.degrees(np.minimum(c.sides[0].lever.min(axis=-1), c.sides[1].lever.min(axis=-1)))
    if wants("travel_left"):
        out["travel_left"] = travel_left(c, alike=layout.study.right is None)
    if wants("ratio") or wants("ratio_change"):
        out |= _ratio(layout, c)
    if wants("turning_circle"):
        out["turning_circle"] = turning_circle(layout, row, c)
    if wants("bump_steer") and layout.study.left.arms is not None:
        out["bump_steer"] = _bump(layout, row, shift)
    if wants("rod_change"):
        out["rod_change"] = _rod_change(layout, row, shift)
    return {k: v for k, v in out.items() if wants(k)}


def _angles(layout: Layout, row: Floats, c: Course) -> dict[str, Floats]:
    base, pivots = row[..., -1], pivots_mm(layout, row)
    inner, outer = inner_outer(c.left[..., [0, -1]], c.right[..., [0, -1]])
    share = percent(c.left[..., [0, -1]], c.right[..., [0, -1]], base[..., None], pivots[..., None])
    astray = departure(c.left, c.right, base[..., None], pivots[..., None])
    return {
        "inner_lock": np.degrees(inner.max(axis=-1)),
        "outer_lock": np.degrees(outer.min(axis=-1)),
        "departure": np.degrees(np.abs(astray).max(axis=-1)),
        "ackermann": share.mean(axis=-1),
    }


def travel_left(c: Course, alike: bool) -> Floats:
    """Return for each place, (places,), the least travel left before a side is over centre [mm]; negative: over centre inside the travel.

    Parameters
    ----------
    c : Course
        Both sides over the travel.
    alike : bool
        Whether the right side is the left's mirror image.
    """
    low, high = -c.travel[0], c.travel[-1]
    below, above = over_centre(c.loops[0])
    rest = np.minimum(above - high, -below - low)
    if alike and np.array_equal(c.loops[0].a0, c.loops[1].a0):
        return np.asarray(np.minimum(rest, np.minimum(-below - high, above - low)))
    below, above = over_centre(c.loops[1])
    return np.asarray(np.minimum(rest, np.minimum(above - high, -below - low)))


def _ratio(layout: Layout, c: Course) -> dict[str, Floats]:
    """Ratio of the steering wheel's angle to the mean of the road wheels' (per degree: travel [mm] when not told)."""
    middle = c.travel.size // 2
    rate = np.abs(0.5 * (c.sides[0].rate - c.sides[1].rate))
    per_turn = layout.study.per_turn
    with np.errstate(divide="ignore", invalid="ignore"):
        ratio = np.radians(1.0) / rate if per_turn is None else 2.0 * np.pi / per_turn / rate
        change = np.abs(ratio / ratio[..., middle, None] - 1.0).max(axis=-1)
    return {"ratio": ratio[..., middle], "ratio_change": 100.0 * change}


def turning_circle(layout: Layout, row: Floats, c: Course) -> Floats:
    """Return the diameter of the circle of the outer front tyre's middle, the wider of both locks [mm].

    The centre lies on the line of the rear axle, at the mean of the two places that the two front wheels point to.

    Parameters
    ----------
    layout : Layout
        Where the parameters stand.
    row : ndarray, shape (..., parameters)
        Rows of parameters [mm].
    c : Course
        Both sides over the travel.
    """
    widest = None
    for end in (0, -1):
        steer = (c.left[..., end], c.right[..., end])
        across, ahead = [], []
        for which, angle in zip(("left", "right"), steer, strict=True):
            x, y = _contact(layout, row, which, angle)
            ahead.append(x)
            across.append(y)
        rear = layout.point(row, "left", "wheel")[..., 0] - row[..., -1]
        with np.errstate(divide="ignore", invalid="ignore"):
            centre = [
                y + (x - rear) / np.where(np.abs(a) > _STRAIGHT, np.tan(a), np.nan)
                for x, y, a in zip(ahead, across, steer, strict=True)
            ]
        middle = 0.5 * (centre[0] + centre[1])
        radius = [np.hypot(x - rear, y - middle) for x, y in zip(ahead, across, strict=True)]
        here = 2.0 * np.maximum(*radius)
        widest = here if widest is None else np.maximum(widest, here)
    assert widest is not None
    return widest


def _contact(layout: Layout, row: Floats, which: str, angle: Floats) -> tuple[Floats, Floats]:
    """Place of a tyre's contact on the road with the wheel turned about the pivot on the road."""
    own = which if layout.study.right is not None else "left"
    sign = -1.0 if own != which else 1.0
    pivot, wheel = pivot_on_road(layout, row, own), layout.point(row, own, "wheel")
    dx, dy = wheel[..., 0] - pivot[..., 0], sign * (wheel[..., 1] - pivot[..., 1])
    cos, sin = np.cos(angle), np.sin(angle)
    return pivot[..., 0] + dx * cos - dy * sin, sign * pivot[..., 1] + dx * sin + dy * cos


def rises(layout: Layout, count: int = RISES) -> Floats:
    """Return the (count,) rises of the lower ball joint over which toe is followed, rest in the middle place [mm]."""
    down, up = layout.study.wheel_travel
    half = count // 2
    return np.concatenate([-np.linspace(0.0, down, half + 1)[:0:-1], np.linspace(0.0, up, half + 1)])


def _bump(layout: Layout, row: Floats, shift: Floats) -> Floats:
    rise = rises(layout)
    worst = np.abs(toe_change(layout, row, shift, rise, "left")).max(axis=-1)
    if layout.study.right is not None or np.any(shift[..., 1]):
        worst = np.maximum(worst, np.abs(toe_change(layout, row, shift, rise, "right")).max(axis=-1))
    return np.asarray(np.degrees(worst))


def _rod_change(layout: Layout, row: Floats, shift: Floats) -> Floats:
    """Largest change of a tie rod's length against the gear where it is."""
    worst = None
    for which in ("left", "right"):
        moved, here = (side_of(layout, row, d, which) for d in (shift, np.zeros(3)))
        change = np.abs(length(moved.inner - moved.outer) - length(here.inner - here.outer))
        worst = change if worst is None else np.maximum(worst, change)
    assert worst is not None
    return worst
