"""The linkage solved in space: the wheel's angle at every travel of the gear, in closed form, without stepping."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cutplan.linkage.solved.side import Loop, Side, loop_of
from cutplan.linkage.solved.vectors import Floats


@dataclass(frozen=True, slots=True)
class Steered:
    """One side over the travel of the gear; arrays end in the axis of travels, not-a-number where nothing closes.

    Parameters
    ----------
    steer : ndarray
        Steer angle of the wheel about the vertical, positive to the left [rad] (ISO 8855, 7.1.1).
    rate : ndarray
        Change of the steer angle with travel [rad/mm].
    lever : ndarray
        Angle between tie rod and steering arm seen along the steering axis, 0 to 90 degrees [rad]: 0 is over centre.
    turn : ndarray
        Angle about the steering axis [rad].
    """

    steer: Floats
    rate: Floats
    lever: Floats
    turn: Floats


def steer_loop(loop: Loop, travel: Floats, with_rate: bool = True) -> Steered:
    """Return the steer angles of a left side at every travel of the gear.

    The outer joint runs on a circle about the steering axis and stays on a sphere about the inner joint, so
    ``A cos t + B sin t = K`` (see :class:`Loop`). With ``R**2 = A**2 + B**2`` and ``H = sqrt(R**2 - K**2)`` both
    ``cos t = (A K - c B H) / R**2`` and ``sin t = (B K + c A H) / R**2`` follow without a trigonometric function; the
    sign ``c`` is that of straight ahead and holds as long as ``H > 0``. Derived, exact.

    Parameters
    ----------
    loop : Loop
        Closing condition of one linkage or many; leading axes broadcast.
    travel : ndarray, shape (n,)
        Travels of the gear along its way [mm].
    with_rate : bool
        Whether the rate is wanted; False leaves it empty and saves time.
    """
    s = np.asarray(travel, dtype=float)
    e = _last(loop)
    a = e["a0"] + s * e["a1"]
    b = e["b0"] + s * e["b1"]
    k = e["a0"] + (s * (2.0 * e["q"] + s)) / (2.0 * e["r"])
    r2 = a * a + b * b
    sign = np.where(e["b0"] > 0.0, -1.0, 1.0)
    with np.errstate(invalid="ignore", divide="ignore"):
        h = np.sqrt(r2 - k * k)
        signed = sign * h
        cos = (a * k - b * signed) / r2
        sin = (b * k + a * signed) / r2
        n1, n2, n0 = loop.spin_1[..., None, :], loop.spin_2[..., None, :], loop.spin_along[..., None, :]
        nx = n0[..., 0] + n1[..., 0] * cos + n2[..., 0] * sin
        ny = n0[..., 1] + n1[..., 1] * cos + n2[..., 1] * sin
        steer = np.arctan2(-nx, ny)
        lever = np.arctan2(h, np.abs(e["r"] - k))
        rate = np.zeros(0)
        if with_rate:
            turn_rate = (e["a1"] * cos + e["b1"] * sin - (e["q"] + s) / e["r"]) / signed
            dx = n2[..., 0] * cos - n1[..., 0] * sin
            dy = n2[..., 1] * cos - n1[..., 1] * sin
            rate = (nx * dy - dx * ny) / (nx * nx + ny * ny) * turn_rate
    return Steered(steer, rate, lever, np.arctan2(sin, cos) if with_rate else np.zeros(0))


def outer_joint(side: Side, travel: Floats) -> Floats:
    """Return the place of the outer joint at every travel [mm], shape (..., n, 3)."""
    loop = loop_of(side)
    turn = steer_loop(loop, travel).turn[..., None]
    return np.asarray(
        loop.foot[..., None, :] + loop.arm[..., None, :] * np.cos(turn) + loop.quarter[..., None, :] * np.sin(turn)
    )


def _last(loop: Loop) -> dict[str, Floats]:
    """Return the scalars of a condition with one more axis for the travels."""
    return {name: np.asarray(getattr(loop, name))[..., None] for name in ("a0", "b0", "a1", "b1", "q", "r")}
