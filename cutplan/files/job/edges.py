"""Which stretches of the outline carry no weld, named by side or by two points on the outline."""

from __future__ import annotations

from math import cos, pi, radians
from typing import Any

from cutplan.files.job.declared.joint import JOINT
from cutplan.files.job.keys import Keys
from cutplan.files.job.problems import shortened
from cutplan.geometry.contour import Contour
from cutplan.geometry.vector import Point
from cutplan.pattern.joint import Span
from cutplan.texts import code, every, mm, name, say

_SIDES = {"right": Point(1.0, 0.0), "top": Point(0.0, 1.0), "left": Point(-1.0, 0.0), "bottom": Point(0.0, -1.0)}
_FACING = {"right": say("right"), "top": say("top"), "left": say("left"), "bottom": say("bottom")}
_WITHIN_RAD = radians(45.0)
_FAR_MM = 2.0  # a named point may lie this far off the outline


def unwelded_spans(joint: Keys, outline: Contour) -> tuple[Span, ...]:
    """Return the stretches named by ``unwelded = ["top", { from = [x, y], to = [x, y] }]`` on a ccw outline."""
    value: Any = joint.take("unwelded")
    if not isinstance(value, list) or len(value) > 200:
        joint.wrong(
            "unwelded",
            say("is not a list"),
            say("write {this} or {that}", this=code('["top"]'), that=code("[{ from = [x, y], to = [x, y] }]")),
        )
        return ()
    spans: list[Span] = []
    for i, entry in enumerate(value):
        key = f"unwelded[{i}]"
        if isinstance(entry, str):
            if entry not in _SIDES:
                joint.wrong(
                    key,
                    say("{side} is no side of the plate", side=name(shortened(entry))),
                    say("one of {choices}", choices=every([code(f'"{s}"') for s in _SIDES])),
                )
                continue
            found = side_spans(outline, _SIDES[entry])
            if not found:
                joint.wrong(
                    key,
                    say("the outline has no straight or curved edge facing {side}", side=_FACING[entry]),
                    say("name it by two points"),
                )
            spans.extend(found)
        else:
            ends = Keys(entry, joint.name(key), joint.problems, joint.unit, JOINT["unwelded"])
            spans.append(Span(_along(ends, "from", outline), _along(ends, "to", outline)))
            ends.close()
    return tuple(spans)


def _along(ends: Keys, key: str, outline: Contour) -> float:
    point = ends.take(key)
    along, gap = outline.nearest(point)
    if gap > _FAR_MM:
        ends.wrong(key, say("lies {gap} off the outline", gap=mm(gap)), say("give a point on the plate's edge"))
    return along


def side_spans(outline: Contour, outward: Point) -> list[Span]:
    """Return the runs of segments whose outward normal at mid length is within 45 degrees of a direction.

    Neighbouring segments join into one span; the outline runs counter-clockwise, so outward is to its right.
    """
    runs: list[list[float]] = []
    along = 0.0
    limit = cos(_WITHIN_RAD) - 1e-9
    for segment in outline.segments:
        normal = segment.direction_at(0.5).turned(-0.5 * pi)
        end = along + segment.length
        if normal.dot(outward) >= limit and not (hasattr(segment, "sweep") and abs(segment.sweep) > pi):
            if runs and abs(runs[-1][1] - along) < 1e-9:
                runs[-1][1] = end
            else:
                runs.append([along, end])
        along = end
    if len(runs) > 1 and runs[0][0] == 0.0 and abs(runs[-1][1] - along) < 1e-9:
        first = runs.pop(0)
        runs[-1][1] = first[1]
    return [Span(a, b) for a, b in runs]
