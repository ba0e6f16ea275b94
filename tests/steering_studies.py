"""Steering linkages of our own invention, for the tests."""

from __future__ import annotations

import numpy as np

from cutplan.linkage.solved.side import Side
from cutplan.linkage.solved.vectors import Floats, unit
from cutplan.linkage.study import Arms, Measured, SidePoints, Study, Wish


def at(*place: float, error: float = 1.0) -> Measured:
    """Return a point measured to the same error each way [mm]."""
    return Measured((place[0], place[1], place[2]), (error, error, error))


def side_points(arms: str = "two", sign: float = 1.0) -> SidePoints:
    """Return the left side of a light vehicle, or with sign -1 its mirror image."""

    def p(x: float, y: float, z: float) -> Measured:
        return at(x, sign * y, z)

    carried = {
        "two": Arms((p(120, 330, 215), p(-130, 330, 215)), (p(80, 370, 430), p(-90, 370, 420))),
        "strut": Arms((p(120, 330, 215), p(-130, 330, 215)), (), p(-12, 545, 330)),
        "none": None,
    }[arms]
    return SidePoints(p(5, 560, 190), p(-25, 520, 470), p(-125, 535, 255), p(-115, 300, 262), p(0, 620, 0), carried)


WISHES = (
    Wish("least_angle", "at least", 40.0),
    Wish("travel_left", "at least", 20.0),
    Wish("departure", "at most", 6.0),
    Wish("bump_steer", "at most", 1.0),
)


def study(arms: str = "two", both: bool = False) -> Study:
    """Return a study of that vehicle with wishes that a region of places holds."""
    right = side_points(arms, -1.0) if both else None
    wishes = WISHES if arms != "none" else WISHES[:3]
    return Study("light truck", side_points(arms), (2300.0, 3.0), (62.0, 62.0), right, 48.0, wishes=wishes)


def random_sides(count: int, seed: int) -> Side:
    """Return random plausible left sides [mm], arms ahead of and behind the axle."""
    rng = np.random.default_rng(seed)

    def box(x: float, y: float, z: float, half: float) -> Floats:
        return np.array([x, y, z]) + rng.uniform(-half, half, (count, 3))

    ahead = np.where(rng.random(count) < 0.5, 1.0, -1.0)[:, None] * np.array([1.0, 0.0, 0.0])
    low, high = box(0, 560, 190, 20), box(-20, 525, 470, 30)
    outer = box(0, 545, 255, 25) + ahead * rng.uniform(80.0, 170.0, (count, 1))
    inner = box(0, 300, 260, 60) + ahead * 120.0
    spin = unit(np.array([0.0, 1.0, 0.0]) + rng.uniform(-0.03, 0.03, (count, 3)))
    way = np.broadcast_to(np.array([0.0, 1.0, 0.0]), (count, 3))
    return Side(low, high, outer, inner, spin, way)
