"""What is doubtful about a study before anything is solved: a sentence for each slip of the tape or of the pen."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from cutplan.linkage.solved.course import side_of
from cutplan.linkage.solved.side import loop_of
from cutplan.linkage.solved.steer import steer_loop
from cutplan.linkage.study import Layout, SidePoints, Study
from cutplan.texts import Message, code, mm, number, say

#: Wheelbases between these belong to a vehicle that somebody sits in [mm].
_WHEELBASE_MM = (700.0, 8000.0)
#: The same for the distance of a steering axis from the middle of the vehicle [mm].
_AXIS_OUT_MM = (150.0, 1500.0)
#: Points of one part nearer to each other than this are one point, or an arm of no length [mm].
_APART_MM = 15.0
#: Largest lean of a steering axis [deg]: beyond it a point is wrong.
_LEAN_DEG = 40.0
#: Longest travel of a gear one way, and of a wheel up or down [mm].
_TRAVEL_MM = 300.0
#: Angle between rod and arm straight ahead below which nothing steers [deg].
_IN_LINE_DEG = 5.0

Doubt = tuple[str, Message, Message]


def doubts(study: Study) -> Iterator[Doubt]:
    """Yield key, sentence and advice for everything that cannot be right in a study."""
    size = list(_of_size(study))
    yield from size
    if size:
        return
    for name, side, sign in (("left", study.left, 1.0), ("right", study.right, -1.0)):
        if side is not None:
            found = list(_of_side(name, side, sign))
            yield from found
            if not found:
                yield from _in_line(study, name)


def _of_size(study: Study) -> Iterator[Doubt]:
    """Inches for millimetres and the other way: the whole vehicle has the wrong size."""
    base = study.wheelbase[0]
    out = abs(study.left.low.at[1])
    if base < _WHEELBASE_MM[0] and out < _AXIS_OUT_MM[0]:
        yield (
            "units",
            say("a wheelbase of {base} is too short for a vehicle: are the numbers inches?", base=mm(base, 0)),
            say('write units = "in", or give every length its unit'),
        )
    elif base > _WHEELBASE_MM[1] and out > _AXIS_OUT_MM[1]:
        yield (
            "units",
            say("a wheelbase of {base} is too long for a vehicle: are the numbers millimetres?", base=mm(base, 0)),
            say('write units = "mm"'),
        )
    elif not _WHEELBASE_MM[0] <= base <= _WHEELBASE_MM[1]:
        yield (
            "vehicle.wheelbase",
            say("a wheelbase of {base} belongs to no vehicle", base=mm(base, 0)),
            say("measure from the middle of the front wheel to the middle of the rear wheel"),
        )
    else:
        for key, longest in (("gear.travel", max(study.travel)), ("wheel_travel", max(study.wheel_travel))):
            if longest > _TRAVEL_MM:
                yield (
                    key,
                    say("a travel of {travel} is more than any vehicle has", travel=mm(longest, 0)),
                    say("check the value and its unit"),
                )


def _of_side(name: str, side: SidePoints, sign: float) -> Iterator[Doubt]:
    points = dict(side.named())
    wrong_side = [n for n in ("low", "high", "outer", "inner", "wheel") if sign * points[n].at[1] <= 0.0]
    if len(wrong_side) >= 3:
        yield (
            name,
            say("left and right are swapped: y counts to the left"),
            say("turn the sign of every y of this side"),
        )
        return
    for n in wrong_side:
        yield (
            f"{name}.{n}",
            say("this point lies on the other side of the vehicle: y counts to the left"),
            say("check the sign of its second length"),
        )
    yield from _coincide(name, side)
    low, high = (np.array(p.at) for p in (side.low, side.high))
    axis = high - low
    lean = np.degrees(np.arccos(np.clip(axis[2] / max(float(np.linalg.norm(axis)), 1e-9), -1.0, 1.0)))
    if np.linalg.norm(axis) >= _APART_MM and lean > 90.0:
        yield (f"{name}.high", say("the high point of the steering axis lies below its low point"), say("swap them"))
    elif np.linalg.norm(axis) >= _APART_MM and lean > _LEAN_DEG:
        yield (
            f"{name}.high",
            say("the steering axis leans by {lean}, more than any knuckle", lean=number(float(lean), "deg", 0)),
            say("check the two points of the axis"),
        )


def _coincide(name: str, side: SidePoints) -> Iterator[Doubt]:
    pairs = [("low", "high"), ("outer", "inner")]
    points = dict(side.named())
    if side.arms is not None:
        pairs += [("lower_front", "lower_rear"), ("upper_front", "upper_rear"), ("strut", "high")]
        pairs += [("low", "lower_front"), ("high", "upper_front")]
    for one, other in pairs:
        if one in points and other in points:
            apart = float(np.linalg.norm(np.subtract(points[one].at, points[other].at)))
            if apart < _APART_MM:
                yield (
                    f"{name}.{one}",
                    say(
                        "{one} and {other} are only {apart} apart: they cannot be two points of a linkage",
                        one=code(one),
                        other=code(other),
                        apart=mm(apart, 1),
                    ),
                    say("measure both again"),
                )
    low, high, outer = (np.array(p.at) for p in (side.low, side.high, side.outer))
    axis = (high - low) / max(float(np.linalg.norm(high - low)), 1e-9)
    arm = float(np.linalg.norm(np.cross(outer - low, axis)))
    if np.linalg.norm(high - low) >= _APART_MM and arm < _APART_MM:
        yield (
            f"{name}.outer",
            say("the steering arm has no length: the outer joint is {arm} from the steering axis", arm=mm(arm, 1)),
            say("check the outer joint and the two points of the axis"),
        )


def _in_line(study: Study, name: str) -> Iterator[Doubt]:
    layout = Layout(study)
    loop = loop_of(side_of(layout, layout.values, np.zeros(3), name))
    lever = float(np.degrees(steer_loop(loop, np.zeros(1), False).lever[0]))
    if not lever >= _IN_LINE_DEG:
        yield (
            f"{name}.inner",
            say(
                "tie rod and steering arm are in line straight ahead, {lever} from over centre: the gear cannot steer",
                lever=number(lever if np.isfinite(lever) else 0.0, "deg", 1),
            ),
            say("check the inner and outer joint and the steering axis"),
        )
