"""Study file (TOML) to a :class:`~cutplan.linkage.study.Study`; every problem located, all in one report."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

from cutplan.files.job.declared.key import FARTHEST_MM
from cutplan.files.job.keys import Keys
from cutplan.files.job.problems import Problems
from cutplan.files.job.toml import read_toml
from cutplan.linkage.declared import ERROR_MM, STUDY
from cutplan.linkage.study import FIGURES, Arms, Measured, Range, SidePoints, Study, Wish
from cutplan.linkage.study_checks import doubts
from cutplan.texts import say
from cutplan.units import UnitName

#: Length along a steering axis given by its angles at which its second point is set [mm].
_AXIS_MM = 300.0
#: Wishes of a study that states none. From memory: common practice, on the careful side.
USUAL_WISHES = (
    Wish("least_angle", "at least", 30.0),
    Wish("travel_left", "at least", 15.0),
    Wish("departure", "at most", 5.0),
)


def read_study(path: str | Path) -> Study:
    """Return the study in a TOML file, in millimetres and radians.

    Parameters
    ----------
    path : str or Path
        The study file.

    Raises
    ------
    JobError
        With every problem of the file, each with its key path.
    """
    path = Path(path)
    return study_from(read_toml(path, "study"), path.name)


def study_from(data: dict[str, Any], source: str) -> Study:
    """Return the study in parsed TOML data; ``source`` names the file for errors."""
    problems = Problems(source)
    stated = data.get("units")
    if stated not in ("mm", "in"):
        problems.add("units", say("the study does not say its units"), say('write units = "mm" or units = "in"'))
    unit: UnitName = "in" if stated == "in" else "mm"
    top = Keys(data, "", problems, unit, STUDY)
    top.has("units")
    error = top.take("reading_error")
    vehicle, gear, travel = top.take("vehicle"), top.take("gear"), top.take("wheel_travel")
    left = _side(top.take("left"), error)
    base_error = vehicle.take("wheelbase_error")
    study = Study(
        title=top.take("title") or source,
        left=left,
        wheelbase=(
            vehicle.take("wheelbase"),
            3.0 * error if base_error is None else base_error,
        ),
        travel=_travel(gear),
        right=_side(top.take("right"), error) if top.has("right") else None,
        per_turn=gear.take("per_turn"),
        wheel_travel=(travel.take("down"), travel.take("up")),
        camber=math.radians(vehicle.take("camber_deg")),
        wishes=_wishes(top.take("wish")) or USUAL_WISHES,
        range=_range(top.take("map")),
        source=source,
        display=unit,
        language=top.take("language"),
    )
    for table in (vehicle, gear, travel, top):
        table.close()
    if not problems.lines:
        for key, message, hint in doubts(study):
            problems.add(key, message, hint)
    problems.raise_if_any()
    return study


def _side(k: Keys, error: float) -> SidePoints:
    low = _measured(k, "low", error)
    by_angles = k.has("caster_deg") or k.has("inclination_deg")
    high = _by_angles(k, low) if by_angles else _measured(k, "high", error)
    side = SidePoints(
        low,
        high,
        _measured(k, "outer", error),
        _measured(k, "inner", error),
        _measured(k, "wheel", error),
        _arms(k.take("arms"), error) if k.has("arms") else None,
    )
    if by_angles and k.has("high"):
        k.wrong("high", say("the steering axis is given twice"), say("give two points, or one point and two angles"))
    if by_angles and side.arms is not None:
        k.wrong(
            "arms",
            say("control arms need both ends of the steering axis"),
            say("give low and high in place of caster and inclination"),
        )
    k.close()
    return side


def _by_angles(k: Keys, low: Measured) -> Measured:
    """Second point of an axis given by its angles: caster leans its top backward, inclination inward."""
    caster = math.radians(k.take("caster_deg"))
    inclination = math.radians(k.take("inclination_deg"))
    wrong = _AXIS_MM * math.radians(k.take("angle_error_deg"))
    x, y, z = low.at
    inward = -1.0 if y >= 0.0 else 1.0
    top = (x - _AXIS_MM * math.tan(caster), y + inward * _AXIS_MM * math.tan(inclination), z + _AXIS_MM)
    return Measured(top, (math.hypot(wrong, low.error[0]), math.hypot(wrong, low.error[1]), low.error[2]))


def _measured(k: Keys, key: str, error: float) -> Measured:
    """A point: ``[x, y, z]``, or ``{ at = [x, y, z], error = 2 }`` with an error for all or for each coordinate."""
    value = k.take(key)
    if value is None:  # told as missing
        return Measured((0.0, 0.0, 0.0), (error,) * 3)
    if not isinstance(value, dict):
        return Measured(_three(k, key), (error,) * 3)
    inner = k.table(key)
    place = _three(inner, "at")
    if isinstance(inner.raw("error"), list):
        errors = inner.lengths("error", ERROR_MM[0])
        if len(errors) != 3:
            inner.wrong("error", say("a reading error is one length or three"), say("write error = [1, 1, 2]"))
            errors = (error,) * 3
    else:
        errors = (inner.length("error", error, *ERROR_MM),) * 3
    inner.close()
    return Measured(place, (errors[0], errors[1], errors[2]))


def _three(k: Keys, key: str) -> tuple[float, float, float]:
    values = k.lengths(key, -FARTHEST_MM)
    if len(values) != 3:
        k.wrong(key, say("a point has three lengths"), say("write [forward, left, up], measured from one origin"))
        return (0.0, 0.0, 0.0)
    return (values[0], values[1], values[2])


def _arms(k: Keys, error: float) -> Arms:
    lower = (_measured(k, "lower_front", error), _measured(k, "lower_rear", error))
    if k.has("upper_front") or k.has("upper_rear"):
        arms = Arms(lower, (_measured(k, "upper_front", error), _measured(k, "upper_rear", error)))
    else:
        arms = Arms(lower, (), _measured(k, "strut", error) if k.has("strut") else None)
    k.close()
    return arms


def _travel(k: Keys) -> tuple[float, float]:
    if not k.has("travel"):
        k.take("travel")  # told as missing
        return (1.0, 1.0)
    if isinstance(k.raw("travel"), list):
        both = k.take("travel")
        if len(both) == 2:
            return (both[0], both[1])
        k.wrong(
            "travel", say("the travel is one length each way, or two"), say("write travel = [60, 58], right and left")
        )
        return (1.0, 1.0)
    one = k.length("travel", 1.0, 1.0)
    return (one, one)


def _wishes(k: Keys) -> tuple[Wish, ...]:
    found = []
    for figure in FIGURES:
        if not k.has(figure):
            continue
        table = k.take(figure)
        least, most = table.take("at_least"), table.take("at_most")
        found += [Wish(figure, "at least", least)] if least is not None else []
        found += [Wish(figure, "at most", most)] if most is not None else []
        table.close()
    k.close()
    return tuple(found)


def _range(k: Keys) -> Range:
    base = Range()
    ends = []
    for key, usual in (("forward", base.forward), ("up", base.up)):
        values = k.take(key) if k.has(key) else usual
        if len(values) != 2 or not values[0] < values[1]:
            k.wrong(key, say("the map needs two lengths, the smaller first"), say("write [-40, 40]"))
            values = usual
        ends.append((values[0], values[1]))
    area = Range(ends[0], ends[1], k.take("count"))
    k.close()
    return area
