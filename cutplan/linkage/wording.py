"""The words for figures and wishes, and the definition printed with every figure."""

from __future__ import annotations

from math import isfinite

from cutplan.linkage.study import FIGURES, Wish
from cutplan.texts import Message, mm, number, say, template
from cutplan.texts.values import Length, Number

#: Figure to its name.
LABELS: dict[str, Message] = {
    "inner_lock": template("inner wheel at full lock"),
    "outer_lock": template("outer wheel at full lock"),
    "least_angle": template("least angle between tie rod and steering arm"),
    "travel_left": template("travel left before over centre"),
    "departure": template("largest departure from Ackermann geometry"),
    "ackermann": template("Ackermann share at full lock"),
    "turning_circle": template("turning circle"),
    "ratio": template("steering ratio straight ahead"),
    "ratio_change": template("change of the steering ratio over the travel"),
    "bump_steer": template("toe change over wheel travel"),
    "rod_change": template("change of the tie rod's length"),
}
#: Figure to how it is defined, worst of both sides and both locks unless said.
DEFINITIONS: dict[str, Message] = {
    "inner_lock": template("steer angle of the wheel inside the turn at the end of the gear's travel, the larger lock"),
    "outer_lock": template(
        "steer angle of the wheel outside the turn at the end of the gear's travel, the smaller lock"
    ),
    "least_angle": template("seen along the steering axis, over the whole travel; nought is over centre"),
    "travel_left": template(
        "from the end of the gear's travel to where rod and arm come into line; negative: inside it"
    ),
    "departure": template(
        "inner wheel's angle less the one for which all wheels roll about one point on the line of the rear axle "
        "(ISO 8855, 7.1.9), largest over the travel, without its sign"
    ),
    "ackermann": template(
        "100 x (cot outer - cot inner) x wheelbase / distance of the steering axes on the road: nought is parallel, "
        "100 is Ackermann geometry; mean of both locks"
    ),
    "turning_circle": template(
        "diameter run by the middle of the outer front tyre about the mean of the points that both front wheels aim at "
        "on the line of the rear axle, at walking pace; half a tyre's width comes on top each side"
    ),
    "ratio": template(
        "turn of the steering wheel for one degree at the road wheels, mean of both; without the travel of one turn of "
        "the steering wheel: millimetres of travel for one degree"
    ),
    "ratio_change": template("largest change against straight ahead"),
    "bump_steer": template("largest change of one wheel's steer angle, gear at rest, counted at the lower ball joint"),
    "rod_change": template("against the gear where it is now; the rod is set for wheels straight ahead"),
}
#: Decimals of each figure.
_DIGITS = {"mm": 1, "deg": 1, "%": 0, "": 2}


def shown(figure: str, value: float) -> Length | Number | Message:
    """Return a figure's value in its unit [mm, deg or %] for a message; what has no value is said to have none."""
    if not isfinite(value):
        return say("unknown")
    unit = FIGURES[figure]
    if figure == "bump_steer":
        return number(value, unit, 2)
    if unit == "mm":
        return mm(value, 0 if figure == "turning_circle" else 1)
    return number(value, unit, _DIGITS[unit])


def wish_text(wish: Wish) -> Message:
    """Return a wish in words."""
    if wish.kind == "at least":
        return say("{figure}: at least {limit}", figure=LABELS[wish.figure], limit=shown(wish.figure, wish.limit))
    return say("{figure}: at most {limit}", figure=LABELS[wish.figure], limit=shown(wish.figure, wish.limit))
