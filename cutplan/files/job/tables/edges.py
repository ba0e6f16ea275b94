"""Which stretches of the outline carry no weld, named by side or by two points on the outline."""

from __future__ import annotations

from math import atan2, cos, pi, radians
from typing import Any

from cutplan.files.job.declared.joint import JOINT
from cutplan.files.job.keys import Keys
from cutplan.files.job.problems import shortened
from cutplan.geometry.contour import Contour
from cutplan.geometry.segment import Arc
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

    Of an arc of more than half a turn, such as a round plate's, the part that faces the direction. Neighbouring segments
    join into one span; the outline runs counter-clockwise, so outward is to its right.
    """
    runs: list[list[float]] = []
    along = 0.0
    limit = cos(_WITHIN_RAD) - 1e-9
    for segment in outline.segments:
        normal = segment.direction_at(0.5).turned(-0.5 * pi)
        end = along + segment.length
        if isinstance(segment, Arc) and abs(segment.sweep) > pi:
            facing = [(along + a, along + b) for a, b in _facing(segment, outward)]
        else:
            facing = [(along, end)] if normal.dot(outward) >= limit else []
        for a, b in facing:
            if runs and abs(runs[-1][1] - a) < 1e-9:
                runs[-1][1] = b
            else:
                runs.append([a, b])
        along = end
    if len(runs) > 1 and runs[0][0] == 0.0 and abs(runs[-1][1] - along) < 1e-9:
        first = runs.pop(0)
        runs[-1][1] = first[1]
    return [Span(a, b) for a, b in runs]


def _facing(arc: Arc, outward: Point) -> list[tuple[float, float]]:
    """Stretches [mm] along an arc whose outward normal is within 45 degrees of a direction; none of a hollow one."""
    if arc.sweep < 0.0:
        return []
    start = arc.start.minus(arc.centre)
    low = (atan2(outward.y, outward.x) - _WITHIN_RAD - atan2(start.y, start.x)) % (2.0 * pi)
    high = low + 2.0 * _WITHIN_RAD
    turns = ((0.0, high - 2.0 * pi), (low, high))
    return [(arc.radius * a, arc.radius * min(b, arc.sweep)) for a, b in turns if b > 1e-9 and a < arc.sweep]
