"""The torch path in the open numerical control language RS274/NGC, for a table whose control reads it [1]_.

Only words that the standard itself knows: G0 to G4, G17, G21, G40, G49, G80, G90, G94, M2, M3, M5, numbered parameters
and comments. No cutter compensation: the kerf is in the path. Heights, delay and feeds stand as parameters at the head.

.. [1] T. R. Kramer, F. M. Proctor, E. Messina, The NIST RS274NGC Interpreter, version 3, NISTIR 6556, 2000.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot

from cutplan.cutting.files.classes import class_layer, feed_mm_per_min
from cutplan.cutting.path.moves import Move, moves_of
from cutplan.cutting.result import CutPath, CutPlan
from cutplan.errors import GeometryError, JobError
from cutplan.geometry.segment import Arc, Line, Segment
from cutplan.geometry.vector import Point
from cutplan.pattern.job import Job
from cutplan.tables.cutting.cut_process import PROCESSES, process_word
from cutplan.tables.cutting.holes import SLOW_CORNER
from cutplan.texts import Message, Reader, inch_or_mm, mm, name, place, say

#: Decimals of coordinates: a tenth of a micrometre.
DIGITS = 4
#: Largest difference of an arc's radii at its two ends: a quarter of what the standard allows [mm].
RADIUS_MM = 0.0005
#: Height for moves between cuts [mm], pierce and cut height where the process has none of its own [mm].
SAFE_MM = 20.0
HEIGHTS_MM = (3.0, 1.5)
#: Pierce delay: seconds for each millimetre of thickness, and at least (common practice, from memory).
DELAY_S_PER_MM = 0.1
LEAST_DELAY_S = 0.3
#: Feed down to the cut height [mm/min] (our own choice).
DOWN_MM_PER_MIN = 1000.0
_SAFE, _PIERCE, _CUT, _DELAY, _DOWN, _FEED, _SLOW, _CORNER = range(101, 109)


@dataclass(frozen=True, slots=True)
class _Parameter:
    number: int
    value: float
    text: Message


def ngc_text(job: Job, plan: CutPlan) -> str:
    """Return the path as a program.

    Parameters
    ----------
    job : Job
        Title, feed and whether the torch is to be lit; without that the program is a dry run.
    plan : CutPlan
        A proved plan for a table.

    Returns
    -------
    str
        ASCII lines; arcs in centre format whose radii agree at both ends.

    Raises
    ------
    JobError
        For a process led by hand.
    GeometryError
        When an arc cannot be written true.
    """
    if plan.by_hand:
        raise JobError(
            say("a {process} is led by hand: there is no program for it", process=process_word(plan.process)),
            "cutting.process",
            say("choose a process that a table runs"),
        )
    return program(job, plan, plan.paths, _head(job, plan))


def program(job: Job, plan: CutPlan, paths: Sequence[CutPath], head: Sequence[Message]) -> str:
    """Return a program for cuts in their order.

    Parameters
    ----------
    job : Job
        Language, feed and whether the torch is to be lit.
    plan : CutPlan
        Process, thickness and speed.
    paths : sequence of CutPath
        What is cut.
    head : sequence of Message
        Remarks at the head.
    """
    read = Reader(job.shown.language)
    lines = [f"({_plain(read(text))})" for text in head]
    lines += [f"#{p.number}={_number(p.value)} ({_plain(read(p.text))})" for p in _parameters(job, plan, paths)]
    lines += ["G17 G21 G40 G49 G80 G90 G94", "M5", f"G0 Z#{_SAFE}"]
    for count, path in enumerate(paths, 1):
        lines += _cut_lines(count, path, plan, job, read)
    lines += ["M5", f"G0 Z#{_SAFE}", "M2"]
    return "\n".join(lines) + "\n"


def _head(job: Job, plan: CutPlan) -> list[Message]:
    box = plan.net.box
    return [
        say("{title}, revision {revision}", title=name(job.about.title), revision=name(job.about.revision)),
        say("middle of the torch, kerf {kerf} taken off: no cutter compensation", kerf=inch_or_mm(plan.kerf_mm, 2)),
        say(
            "{process}, {thickness}, plate from {low} to {high}",
            process=process_word(plan.process),
            thickness=inch_or_mm(plan.thickness_mm, None),
            low=place(box.xmin, box.ymin),
            high=place(box.xmax, box.ymax),
        ),
        *rules(job),
    ]


def rules(job: Job) -> list[Message]:
    """Return the remarks that every program carries: zero, whose figures rule, cautions, torch or dry run."""
    said = [
        say("zero of X and Y is the drawing's, zero of Z the top of the plate"),
        say("the manual of the machine rules: heights, delay and feeds below are from memory, try them on scrap"),
        say("structural part of a vehicle: local rules and the maker's instructions come first"),
    ]
    if job.cutting.torch_on:
        said.append(say("TORCH IS LIT by M3: clear the table, fume extraction on, eyes protected"))
    else:
        said.append(say("DRY RUN: the torch stays off; say cutting.torch_on = true in the job to light it"))
    return said


def _parameters(job: Job, plan: CutPlan, paths: Sequence[CutPath]) -> list[_Parameter]:
    pierce, cut = PROCESSES[plan.process].height_mm
    if cut <= 0.0:
        pierce, cut = HEIGHTS_MM
    feed = feed_mm_per_min(plan, job)
    slow = min((p.speed_share for p in paths), default=1.0)
    return [
        _Parameter(_SAFE, SAFE_MM, say("height for moves, mm")),
        _Parameter(_PIERCE, pierce, say("pierce height, mm")),
        _Parameter(_CUT, cut, say("cut height, mm")),
        _Parameter(_DELAY, max(LEAST_DELAY_S, DELAY_S_PER_MM * plan.thickness_mm), say("pierce delay, s")),
        _Parameter(_DOWN, DOWN_MM_PER_MIN, say("feed down to the cut height, mm/min")),
        _Parameter(_FEED, round(feed), say("feed on openings and outline, mm/min")),
        _Parameter(_SLOW, round(feed * slow), say("feed on slow holes, mm/min")),
        _Parameter(_CORNER, round(feed * SLOW_CORNER), say("feed in corners, mm/min")),
    ]


def _cut_lines(count: int, path: CutPath, plan: CutPlan, job: Job, read: Reader) -> list[str]:
    start = _rounded(path.pierce)
    what = say("cut {count}: {cut}, {layer}", count=count, cut=name(path.name), layer=name(class_layer(path)))
    lines = [
        f"({_plain(read(what))})",
        f"G0 X{_number(start.x)} Y{_number(start.y)}",
        f"G0 Z#{_PIERCE}",
    ]
    if job.cutting.torch_on:
        lines += ["M3", f"G4 P#{_DELAY}"]
    lines.append(f"G1 Z#{_CUT} F#{_DOWN}")
    feed, hold, here = 0, False, start
    for move in moves_of(path, plan.process):
        if move.hold != hold:
            text = say("height control off") if move.hold else say("height control on")
            lines.append(f"({_plain(read(text))})")
            hold = move.hold
        line, here = _move_line(move.segment, here, path.name)
        wanted = _feed_of(move)
        if line:
            lines.append(line if wanted == feed else f"{line} F#{wanted}")
            feed = wanted
    if hold:
        lines.append(f"({_plain(read(say('height control on')))})")
    if job.cutting.torch_on:
        lines.append("M5")
    lines.append(f"G0 Z#{_SAFE}")
    return lines


def _feed_of(move: Move) -> int:
    if move.hold and move.share == SLOW_CORNER:
        return _CORNER
    return _SLOW if move.share < 1.0 else _FEED


def _move_line(segment: Segment, here: Point, cut: str) -> tuple[str, Point]:
    """Return the line of one move from where the one before ended, and where it ends; rounded as written."""
    there = _rounded(segment.end)
    if isinstance(segment, Line):
        return ("" if there == here else f"G1 X{_number(there.x)} Y{_number(there.y)}"), there
    return _arc_line(segment, here, here if segment.is_circle else there, cut)


def _arc_line(arc: Arc, here: Point, there: Point, cut: str) -> tuple[str, Point]:
    centre = arc.centre
    if not arc.is_circle:
        if there == here:
            return "", there
        # the centre as near as can be, but on the middle line of the ends as they are written
        dx, dy = there.x - here.x, there.y - here.y
        chord = hypot(dx, dy)
        mx, my = 0.5 * (here.x + there.x), 0.5 * (here.y + there.y)
        rise = ((centre.x - mx) * -dy + (centre.y - my) * dx) / chord
        centre = Point(mx - dy / chord * rise, my + dx / chord * rise)
    i, j = round(centre.x - here.x, DIGITS), round(centre.y - here.y, DIGITS)
    first, last = hypot(i, j), hypot(there.x - here.x - i, there.y - here.y - j)
    if abs(first - last) > RADIUS_MM:
        raise GeometryError(
            say(
                "an arc of {cut} has radii that differ by {off} at its ends",
                cut=name(cut),
                off=mm(abs(first - last), 4),
            ),
            say("{place}", place=place(here.x, here.y, 3)),
            say("cut the drawing file instead"),
        )
    code = "G3" if arc.sweep > 0.0 else "G2"
    return f"{code} X{_number(there.x)} Y{_number(there.y)} I{_number(i)} J{_number(j)}", there


def _rounded(p: Point) -> Point:
    return Point(round(p.x, DIGITS), round(p.y, DIGITS))


def _number(value: float) -> str:
    text = f"{value:.{DIGITS}f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


#: Spelling of letters beyond ASCII.
_SPELLED = {ord(a): b for a, b in zip("äöüÄÖÜß×", ("ae", "oe", "ue", "Ae", "Oe", "Ue", "ss", "x"), strict=True)}


def _plain(text: str) -> str:
    """Return text that may stand in a comment: ASCII without brackets, short enough for a line."""
    bare = unicodedata.normalize("NFKD", text.translate(_SPELLED)).encode("ascii", "ignore").decode()
    return " ".join(bare.replace("(", "[").replace(")", "]").split())[:200]
