"""The ``[survey]`` table: tape readings between named points, and the plate or holes drawn from them."""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, pi, sin
from typing import TYPE_CHECKING

from cutplan.errors import CutplanError, DrawingError
from cutplan.files.job.keys import Keys
from cutplan.findings import Finding
from cutplan.geometry.region import Region
from cutplan.geometry.vector import Point
from cutplan.texts import Message, code, listed, mm, say
from cutplan.texts import name as named

if TYPE_CHECKING:
    from cutplan.survey.tape import Reading, Side, Survey

#: Standard error of a point above which it is worth a warning [mm]: more than a chisel line's width (our own choice).
_UNSURE_MM = 1.0


@dataclass(frozen=True, slots=True)
class Surveyed:
    """The plate that the survey draws (None when it only locates points), its points [mm], and what was noticed."""

    region: Region | None
    points: dict[str, Point]
    findings: tuple[Finding, ...]


def read_survey(k: Keys) -> Surveyed:
    """Return what a tape survey gives; problems go to the report that ``k`` collects.

    ``base = ["A", "B"]`` puts A at the origin and B on the x axis; ``[[survey.known]]`` gives points with ``name`` and
    ``at`` instead. ``[[survey.tape]]`` holds ``from``, ``to``, ``length`` and its own ``error`` if it differs from
    ``reading_error``. ``[[survey.side]]`` says on which side of the line ``of = ["A", "B"]`` a ``point`` lies.
    ``outline = ["A", "B", "C"]`` draws the plate once round; ``[[survey.hole]]`` has ``point`` and ``diameter``.
    """
    from cutplan.survey.tape import adjust, surveyed_plate

    base = _names(k, "base", 2, 2) if k.has("base") else None
    known = {}
    for entry in k.take("known"):
        known[entry.take("name")] = entry.take("at")
        entry.close()
    readings, sides = _readings(k), _sides(k)
    outline = _names(k, "outline", 3, 1000) if k.has("outline") else ()
    holes = []
    for entry in k.take("hole"):
        holes.append((entry.take("point"), entry.take("diameter")))
        entry.close()
    k.close()
    if not readings:
        k.wrong(
            "tape",
            say("has no readings"),
            say("write {this} with {keys}", this=code("[[survey.tape]]"), keys=listed(("from", "to", "length"))),
        )
        return Surveyed(None, known, ())
    if base is None and not known:
        k.wrong(
            "base",
            say("is missing"),
            say(
                "name two points, {this}, or give {that} points",
                this=code('base = ["A", "B"]'),
                that=code("[[survey.known]]"),
            ),
        )
        return Surveyed(None, known, ())
    try:
        survey = adjust(known, readings, sides=sides, base=(base[0], base[1]) if base else None)
        region = surveyed_plate(survey, outline, holes) if outline else None
    except DrawingError as fault:
        k.wrong("tape", _with_place(fault), fault.hint)
        return Surveyed(None, _stand_ins({*known, *(p for r in readings for p in (r.a, r.b))}), ())
    return Surveyed(region, {p.name: p.at for p in survey.points}, (*survey.findings, *_noticed(survey, len(readings))))


def _readings(k: Keys) -> list[Reading]:
    from cutplan.survey.tape import Reading

    error, readings = k.take("reading_error"), []
    for entry in k.take("tape"):
        ends, length = (entry.take("from"), entry.take("to")), entry.take("length")
        readings.append(Reading(*ends, length, entry.take("error") or error))
        entry.close()
    return readings


def _sides(k: Keys) -> list[Side]:
    from cutplan.survey.tape import Side

    sides = []
    for entry in k.take("side"):
        of = _names(entry, "of", 2, 2)
        point, side = entry.take("point"), entry.take("side")
        if of:
            sides.append(Side(point, of[0], of[1], side))
        entry.close()
    return sides


def _noticed(survey: Survey, count: int) -> list[Finding]:
    """Points that are not well known, and how sure the whole is; ``count`` readings."""
    unsure = [
        Finding(
            "survey-unsure",
            "warning",
            say("point {point} is known to {error} only", point=named(p.name), error=mm(p.error_mm)),
            say("survey, {point}", point=named(p.name)),
            say("tape it from one more point, at about a right angle to the others"),
        )
        for p in survey.points
        if p.error_mm > _UNSURE_MM
    ]
    worst = max((p.error_mm for p in survey.points), default=0.0)
    note = Finding(
        "survey-adjusted",
        "note",
        say(
            "{count} readings, {spare} more than needed; largest standard error of a point {error}",
            count=count,
            spare=survey.spare_readings,
            error=mm(worst, 2),
        ),
        "survey",
        "",
    )
    return [*unsure, note]


def _names(k: Keys, key: str, fewest: int, most: int) -> tuple[str, ...]:
    value = k.take(key)
    good = isinstance(value, list) and fewest <= len(value) <= most and all(isinstance(v, str) for v in value)
    if not good:
        k.wrong(
            key,
            say("is not a list of {count} point names", count=fewest)
            if fewest == most
            else say("is not a list of {count} or more point names", count=fewest),
            say("write {this}", this=code('["A", "B"]')),
        )
        return ()
    return tuple(value)


def _with_place(fault: CutplanError) -> Message:
    what, where = (t if isinstance(t, Message) else named(t) for t in (fault.message, fault.where))
    return say("{what} ({where})", what=what, where=where) if fault.where else say("{what}", what=what)


def _stand_ins(names: set[str]) -> dict[str, Point]:
    """Return some place for every named point, so that a survey that failed is told once, not at each use of it."""
    ordered = sorted(names)
    around = [2.0 * pi * i / len(ordered) for i in range(len(ordered))]
    return {n: Point(1e3 * cos(a), 1e3 * sin(a)) for n, a in zip(ordered, around, strict=True)}
