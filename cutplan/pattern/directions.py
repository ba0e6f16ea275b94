"""Which face of the plate is looked at, and from where: derived from the vehicle's directions on it.

Forward, left and up are the axes of the vehicle, right-handed in this order: left is forward turned a quarter to the
left as seen from above. On a flat plate two of them can lie in the drawing, at right angles; the third then points at
the viewer or away, and tells where the viewer stands. Axes that no right-handed vehicle has are refused.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, radians, sin
from typing import Literal

from cutplan.findings import Finding
from cutplan.pattern.wishes import Marks
from cutplan.texts import Message, code, listed, number, say

Side = Literal["front", "rear", "left", "right", "top", "underside"]
_AXES = ("forward", "left", "up")
#: The third axis of each pair, in cyclic order: forward x left = up, left x up = forward, up x forward = left.
_THIRD = {("forward", "left"): "up", ("left", "up"): "forward", ("up", "forward"): "left"}
#: Where a viewer stands at whom this axis points, and from whom it points away.
_SEEN_FROM: dict[str, tuple[Side, Side]] = {
    "forward": ("front", "rear"),
    "left": ("left", "right"),
    "up": ("top", "underside"),
}
#: Two axes may be this far off a right angle: a drawing of a tilted face [deg].
_SQUARE_DEG = 15.0

#: Said to people: from which side of the vehicle the plate is looked at.
VIEWS: dict[Side, Message] = {
    "front": say("you look at it from the vehicle's FRONT, backward"),
    "rear": say("you look at it from BEHIND the vehicle, forward"),
    "left": say("you look at it from the vehicle's LEFT"),
    "right": say("you look at it from the vehicle's RIGHT"),
    "top": say("you look at it from ABOVE"),
    "underside": say("you look at it from BELOW"),
}


@dataclass(frozen=True, slots=True)
class View:
    """From which side of the vehicle the face in the drawing is looked at."""

    side: Side

    @property
    def mirrored(self) -> View:
        """The view of the same face of the part for the other side of the vehicle."""
        return View({"left": "right", "right": "left"}.get(self.side, self.side))  # type: ignore[arg-type]

    @property
    def words(self) -> Message:
        """The view in a sentence."""
        return VIEWS[self.side]


def view(marks: Marks) -> View | None:
    """Return from where the plate is looked at, or None when fewer than two directions lie in it, or they are wrong."""
    known = {n: d for n, d in marks.arrows if n in _AXES}
    if len(known) != 2 or any(f.severity == "error" for f in direction_findings(marks)):
        return None
    return _view(known)


def _view(known: dict[str, float]) -> View | None:
    for (a, b), third in _THIRD.items():
        if a in known and b in known:
            toward = sin(radians(known[b] - known[a])) > 0.0  # b is a turned left: the third points at the viewer
            return View(_SEEN_FROM[third][0 if toward else 1])
    return None


def direction_findings(marks: Marks) -> list[Finding]:
    """Return an error for directions that cannot be: three in one plane, or two that are not at right angles."""
    known = [(n, d) for n, d in marks.arrows if n in _AXES]
    if len(known) == 3:
        message = say("forward, up and left cannot all lie in a flat plate")
        fix = say("leave out the one that points out of the plate")
        return [Finding("directions-impossible", "error", message, "marks", fix)]
    if len(known) < 2:
        return []
    (a, first), (b, second) = known
    if abs(cos(radians(second - first))) <= sin(radians(_SQUARE_DEG)):
        return _against_hand(marks)
    message = say(
        "{a} points to {first} and {b} to {second}: on a vehicle they are at right angles",
        a=code(f"{a}_deg"),
        first=number(first, "deg"),
        b=code(f"{b}_deg"),
        second=number(second, "deg"),
    )
    fix = say(
        "correct one of {keys}: they are counted counter-clockwise from the drawing's right",
        keys=listed([f"{a}_deg", f"{b}_deg"]),
    )
    return [Finding("directions-impossible", "error", message, "marks", fix)]


def _against_hand(marks: Marks) -> list[Finding]:
    """Return a warning when the outside of one side's part would be looked at from the other side of the vehicle."""
    seen = _view(dict(marks.arrows))
    other = {"left": "right", "right": "left"}.get(marks.hand)
    if seen is None or seen.side != other or "outside" not in marks.side_out:
        return []
    message = say(
        "the marks speak of the outside of a {hand} part, but with these directions {view}",
        hand=say("left") if marks.hand == "left" else say("right"),
        view=seen.words,
    )
    fix = say("turn one of the directions by 180 degrees, or name the face: {this}", this=code('side_out = "inside"'))
    return [Finding("directions-against-hand", "warning", message, "marks", fix)]
