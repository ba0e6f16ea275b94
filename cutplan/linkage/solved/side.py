"""One side of a steering linkage as arrays: steering axis, joints of the tie rod, the way of the gear."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cutplan.linkage.solved.vectors import MIRROR, Floats, cross, dot, length, unit


@dataclass(frozen=True, slots=True)
class Side:
    """Left side of one or many linkages, or the mirror image of a right side; each array ends in a vector of three.

    Parameters
    ----------
    low, high : ndarray
        Two points of the steering axis, low below high [mm].
    outer : ndarray
        Joint of tie rod and steering arm, wheels straight ahead [mm].
    inner : ndarray
        Joint of tie rod and gear, gear in the middle [mm].
    spin : ndarray
        Unit vector along the wheel's axis of rotation to the left, wheels straight ahead [-].
    way : ndarray
        Unit vector along which positive travel moves the inner joint [-].
    """

    low: Floats
    high: Floats
    outer: Floats
    inner: Floats
    spin: Floats
    way: Floats

    def mirrored(self) -> Side:
        """Return the mirror image in the vehicle's middle plane; travel counts the same way in space as before."""
        return Side(
            self.low * MIRROR,
            self.high * MIRROR,
            self.outer * MIRROR,
            self.inner * MIRROR,
            self.spin * MIRROR,
            self.way * MIRROR,
        )


@dataclass(frozen=True, slots=True)
class Loop:
    """What the closing condition of one side needs, derived once: ``A cos t + B sin t = K`` at every travel.

    With the arm's radius ``r``, its foot on the steering axis as origin, ``e1`` along the arm and ``e2`` a quarter turn
    further: ``A = a0 + s a1``, ``B = b0 + s b1`` are the inner joint's coordinates along ``e1`` and ``e2`` [mm] at
    the travel ``s`` [mm], and ``K = a0 + (2 s q + s**2) / (2 r)`` [mm], because the rod's length is that of straight
    ahead; ``q`` [mm] is the inner joint's distance from the foot along the way of the gear. ``spin_along``,
    ``spin_1`` and ``spin_2`` are the parts of the wheel's axis [-] that stay, that follow the cosine and the sine of the turn.
    """

    a0: Floats
    b0: Floats
    a1: Floats
    b1: Floats
    q: Floats
    r: Floats
    spin_along: Floats
    spin_1: Floats
    spin_2: Floats
    foot: Floats
    arm: Floats
    quarter: Floats


def loop_of(side: Side) -> Loop:
    """Return the closing condition of a side; broadcasts over all leading axes."""
    axis = unit(side.high - side.low)
    to_outer = side.outer - side.low
    foot = side.low + axis * dot(to_outer, axis)[..., None]
    radius = length(side.outer - foot)
    with np.errstate(invalid="ignore", divide="ignore"):
        e1 = (side.outer - foot) / radius[..., None]
    e2 = cross(axis, e1)
    d0 = side.inner - foot
    along = dot(side.spin, axis)
    across = side.spin - axis * along[..., None]
    return Loop(
        a0=dot(d0, e1),
        b0=dot(d0, e2),
        a1=dot(side.way, e1),
        b1=dot(side.way, e2),
        q=dot(d0, side.way),
        r=radius,
        spin_along=axis * along[..., None],
        spin_1=across,
        spin_2=cross(axis, across),
        foot=foot,
        arm=e1 * radius[..., None],
        quarter=e2 * radius[..., None],
    )
