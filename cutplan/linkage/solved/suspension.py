"""Toe change over wheel travel: the knuckle carried by its control arms, in closed form at every rise."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cutplan.linkage.solved.side import Side
from cutplan.linkage.solved.vectors import Floats, cross, dot, length, unit


@dataclass(frozen=True, slots=True)
class Carried:
    """A knuckle's steering axis at each rise, and where the outer joint and the wheel are in the knuckle.

    ``low`` and ``high`` are points of the axis [mm], shape (..., m, 3); ``along`` and ``radius`` the outer joint's
    place along and across the axis [mm]; ``spin`` and ``wheel`` are resolved along the axis, the arm and across both.
    """

    low: Floats
    high: Floats
    along: Floats
    radius: Floats
    spin: Floats
    wheel: Floats


def swung(pivots: tuple[Floats, Floats], joint: Floats) -> tuple[Floats, Floats, Floats]:
    """Return foot [mm] and the two vectors [mm] of the circle that a joint describes about two pivots; places are (..., 3)."""
    axis = unit(pivots[1] - pivots[0])
    foot = pivots[0] + axis * dot(joint - pivots[0], axis)[..., None]
    arm = joint - foot
    return foot, arm, cross(axis, arm)


def closed(a: Floats, b: Floats, k: Floats, sign: Floats) -> tuple[Floats, Floats]:
    """Return cosine and sine of the angle with ``a cos + b sin = k`` on the branch ``sign``, any shape; not-a-number if none."""
    r2 = a * a + b * b
    with np.errstate(invalid="ignore", divide="ignore"):
        h = sign * np.sqrt(r2 - k * k)
        return (a * k - b * h) / r2, (b * k + a * h) / r2


def raised(pivots: tuple[Floats, Floats], joint: Floats, rise: Floats) -> Floats:
    """Return the joint of a swinging arm at heights above its own [mm], shape (..., m, 3).

    Parameters
    ----------
    pivots : tuple of ndarray
        Two points of the arm's pivot axis [mm].
    joint : ndarray
        Ball joint at rest [mm].
    rise : ndarray, shape (m,)
        Heights above rest [mm].
    """
    foot, arm, quarter = swung(pivots, joint)
    a, b = arm[..., 2, None], quarter[..., 2, None]
    cos, sin = closed(a, b, arm[..., 2, None] + rise, np.where(b > 0.0, -1.0, 1.0))
    return np.asarray(foot[..., None, :] + arm[..., None, :] * cos[..., None] + quarter[..., None, :] * sin[..., None])


def on_circle_at(pivots: tuple[Floats, Floats], joint: Floats, rest: Floats, moved: Floats) -> Floats:
    """Return the joint of a swinging arm that keeps its distance from a moved point [mm], shape (..., m, 3).

    Parameters
    ----------
    pivots, joint : ndarray
        Pivot axis and ball joint at rest [mm].
    rest, moved : ndarray
        The other point at rest, shape (..., 3), and moved, shape (..., m, 3) [mm].
    """
    foot, arm, quarter = swung(pivots, joint)
    d = moved - foot[..., None, :]
    a, b = dot(d, arm[..., None, :]), dot(d, quarter[..., None, :])
    keep = dot(joint - rest, joint - rest)[..., None]
    k = 0.5 * (dot(arm, arm)[..., None] + dot(d, d) - keep)
    cos, sin = closed(a, b, k, np.where(dot(rest - foot, quarter) > 0.0, -1.0, 1.0)[..., None])
    return np.asarray(foot[..., None, :] + arm[..., None, :] * cos[..., None] + quarter[..., None, :] * sin[..., None])


def carried(
    side: Side, wheel: Floats, lower: tuple[Floats, Floats], upper: tuple[Floats, Floats] | Floats, rise: Floats
) -> Carried:
    """Return a knuckle's places at heights of its lower ball joint.

    Parameters
    ----------
    side : Side
        The side at rest.
    wheel : ndarray
        Middle of the tyre's contact at rest [mm].
    lower : tuple of ndarray
        Two points of the lower arm's pivot axis [mm].
    upper : tuple of ndarray, or ndarray
        Two points of the upper arm's pivot axis [mm]; or one point of the strut's line [mm].
    rise : ndarray, shape (m,)
        Heights of the lower ball joint above rest [mm].
    """
    low = raised(lower, side.low, rise)
    axis0 = side.high - side.low
    if isinstance(upper, tuple):
        high = on_circle_at(upper, side.high, side.low, low)
        local = np.broadcast_to(unit(axis0)[..., None, :], low.shape)
    else:
        high = np.broadcast_to(side.high[..., None, :], low.shape)
        way = unit(side.high - upper)
        part = dot(axis0, way)[..., None]
        reach = high - low
        slide = np.sqrt(part**2 - dot(axis0, axis0)[..., None] + dot(reach, reach)) - part
        local = unit(axis0[..., None, :] + way[..., None, :] * slide[..., None])
    joint = (side.outer - side.low)[..., None, :]
    along = dot(joint, local)
    across = joint - local * along[..., None]
    e1 = unit(across)
    e2 = cross(local, e1)

    def resolved(v: Floats) -> Floats:
        v = v[..., None, :]
        return np.stack(np.broadcast_arrays(dot(v, local), dot(v, e1), dot(v, e2)), axis=-1)

    return Carried(low, high, along, length(across), resolved(side.spin), resolved(wheel - side.low))


def toe_and_wheel(side: Side, knuckle: Carried) -> tuple[Floats, Floats]:
    """Return steer angle [rad] and place of the wheel's contact [mm] at each of (rises,), for a gear that stands still.

    The outer joint lies on three spheres at once: about both ends of the steering axis and about the inner joint.
    The first two give a circle about the axis, and the third closes it as in :func:`cutplan.linkage.solved.steer.steer_loop`. Exact.

    Parameters
    ----------
    side : Side
        The side at rest; its inner joint may have more leading axes than the knuckle.
    knuckle : Carried
        The knuckle over its rises.
    """
    axis = unit(knuckle.high - knuckle.low)
    foot = knuckle.low + axis * knuckle.along[..., None]
    rest = side.outer - side.low
    along0 = unit(side.high - side.low)
    arm0 = rest - along0 * dot(rest, along0)[..., None]
    e1 = unit(arm0[..., None, :] - axis * dot(arm0[..., None, :], axis)[..., None])
    e2 = cross(axis, e1)
    d = side.inner[..., None, :] - foot
    rod2 = dot(side.inner - side.outer, side.inner - side.outer)[..., None]
    k = (knuckle.radius**2 + dot(d, d) - rod2) / (2.0 * knuckle.radius)
    rest_b = dot(side.inner - side.outer, cross(along0, arm0))[..., None]
    cos, sin = closed(dot(d, e1), dot(d, e2), k, np.where(rest_b > 0.0, -1.0, 1.0))
    to_joint = e1 * cos[..., None] + e2 * sin[..., None]
    third = cross(axis, to_joint)

    def placed(v: Floats) -> Floats:
        return np.asarray(axis * v[..., 0, None] + to_joint * v[..., 1, None] + third * v[..., 2, None])

    spin = placed(knuckle.spin)
    return np.arctan2(-spin[..., 0], spin[..., 1]), knuckle.low + placed(knuckle.wheel)
