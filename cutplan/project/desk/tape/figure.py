"""The figure that tape readings give so far: points placed, misfits, mirror questions, and what to tape next."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Literal

from cutplan.errors import CutplanError, DrawingError
from cutplan.geometry.vector import Point
from cutplan.project.desk.shapes import number, place
from cutplan.survey.network import CRITICAL
from cutplan.survey.tape import Reading, Side, Survey, adjust
from cutplan.texts import ENGLISH, Reader
from cutplan.units import UnitName, parse_length

#: Normalised residual from which a reading is worth a look [-].
_LOOK = 2.0
#: Figures of more points are adjusted as a whole only, and no advice is sought for them.
_MANY = 40
#: Points known this well need no further reading [mm].
_WELL_KNOWN_MM = 0.4


@dataclass(slots=True)
class _Notes:
    """What the ``[survey]`` table holds so far, as far as it can be read."""

    known: dict[str, Point] = field(default_factory=dict)
    base: tuple[str, str] | None = None
    readings: list[Reading] = field(default_factory=list)
    rows: list[int] = field(default_factory=list)
    sides: list[Side] = field(default_factory=list)


def figure(data: Mapping[str, Any], read: Reader = ENGLISH) -> dict[str, Any]:
    """Return the figure of a job's tape readings as plain data; nothing is raised for readings still missing.

    Parameters
    ----------
    data : mapping
        The parsed job file.
    read : Reader
        Whose words are used.

    Returns
    -------
    dict
        ``points`` (name, at [mm], error_mm), ``readings`` (row of the file, residual_mm, grade), ``waiting`` (names
        with the number of readings they have), ``questions`` (point and both figures), ``next`` (what to tape next),
        ``trouble`` (what keeps the figure from closing).
    """
    notes = _notes(data)
    names = _names(notes)
    if notes.base is None and len(notes.known) < 2:
        return _nothing(names, notes)
    placed = _reachable(notes, names)
    inside = [r for r in notes.readings if r.a in placed and r.b in placed]
    if notes.base is not None and not notes.known and not any({r.a, r.b} == set(notes.base) for r in inside):
        return _nothing(names, notes)
    survey, questions, trouble = _grown(notes, placed, inside, read)
    out = _nothing([n for n in names if survey is None or n not in _found(survey)], notes)
    if survey is not None:
        out["points"] = [{"name": p.name, "at": place(p.at), "error_mm": number(p.error_mm)} for p in survey.points]
        out["readings"] = _graded(notes, survey)
        out["findings"] = [
            {"code": f.code, "severity": f.severity, "message": read(f.message), "fix": read(f.fix)}
            for f in survey.findings
        ]
        out["next"] = _next(notes, survey, inside) if not questions else None
    out["questions"] = questions
    out["trouble"] = trouble
    return out


def _nothing(names: Sequence[str], notes: _Notes) -> dict[str, Any]:
    counts = {n: sum(n in (r.a, r.b) for r in notes.readings) for n in names}
    return {
        "points": [],
        "readings": [],
        "findings": [],
        "waiting": [{"name": n, "have": c} for n, c in counts.items()],
        "questions": [],
        "next": None,
        "trouble": None,
    }


def _found(survey: Survey) -> set[str]:
    return {p.name for p in survey.points}


def _notes(data: Mapping[str, Any]) -> _Notes:
    unit: UnitName = "in" if data.get("units") == "in" else "mm"
    table = data.get("survey")
    notes = _Notes()
    if not isinstance(table, Mapping):
        return notes
    base = table.get("base")
    if isinstance(base, list) and len(base) == 2 and all(isinstance(n, str) for n in base) and base[0] != base[1]:
        notes.base = (base[0], base[1])
    error = _mm(table.get("reading_error", "0.5 mm"), unit) or 0.5
    for entry in _tables(table, "known"):
        at = entry.get("at")
        if isinstance(at, list) and len(at) == 2:
            x, y = (_mm(v, unit) for v in at)
            if x is not None and y is not None:
                notes.known[str(entry.get("name"))] = Point(x, y)
    for row, entry in enumerate(_tables(table, "tape")):
        a, b, mm = entry.get("from"), entry.get("to"), _mm(entry.get("length"), unit)
        if isinstance(a, str) and isinstance(b, str) and a != b and mm is not None and mm > 0.0:
            own = _mm(entry.get("error"), unit) or error
            notes.readings.append(Reading(a, b, mm, own))
            notes.rows.append(row)
    for entry in _tables(table, "side"):
        of, point, where = entry.get("of"), entry.get("point"), entry.get("side", "left")
        if isinstance(of, list) and len(of) == 2 and isinstance(point, str) and where in ("left", "right"):
            notes.sides.append(Side(point, str(of[0]), str(of[1]), where))
    return notes


def _tables(table: Mapping[str, Any], key: str) -> list[Mapping[str, Any]]:
    value = table.get(key, [])
    return [e for e in value if isinstance(e, Mapping)] if isinstance(value, list) else []


def _mm(value: Any, unit: UnitName) -> float | None:
    if value is None:
        return None
    try:
        return parse_length(value, unit)
    except CutplanError:
        return None


def _names(notes: _Notes) -> list[str]:
    first = [*(notes.base or ()), *notes.known]
    return list(dict.fromkeys([*first, *(n for r in notes.readings for n in (r.a, r.b))]))


def _reachable(notes: _Notes, names: Sequence[str]) -> list[str]:
    """Points that can be placed, in order: the base first, then each with two readings to points placed before."""
    placed = list(notes.known) or list(notes.base or ())
    while True:
        best, most = "", 1
        for name in names:
            if name not in placed:
                tied = len({o for r in notes.readings for o in (r.a, r.b) if name in (r.a, r.b) and o in placed})
                if tied > most:
                    best, most = name, tied
        if not best:
            return placed
        placed.append(best)


def _grown(
    notes: _Notes, placed: Sequence[str], inside: Sequence[Reading], read: Reader
) -> tuple[Survey | None, list[dict[str, Any]], dict[str, str] | None]:
    """Place the points one after the other; where two mirror figures fit, both are kept as a question."""
    sides = list(notes.sides)
    start = len(notes.known) or 2
    asked: list[str] = []
    line = notes.base or tuple(list(notes.known)[:2])
    if not notes.known and len(placed) > 2 and not sides:
        asked.append(placed[2])
        sides.append(Side(placed[2], line[0], line[1], "left"))
    survey: Survey | None = None
    trouble: dict[str, str] | None = None
    steps = range(start, len(placed) + 1) if len(placed) <= _MANY else [len(placed)]
    for count in steps:
        some = [r for r in inside if r.a in placed[:count] and r.b in placed[:count]]
        if not some:
            continue
        try:
            survey = _adjusted(notes, some, sides)
        except DrawingError as fault:
            newest = placed[count - 1]
            both = Side(newest, line[0], line[1], "left")
            try:
                survey = _adjusted(notes, some, [*sides, both])
            except DrawingError:
                trouble = {"message": read(fault.message), "where": read(fault.where), "fix": read(fault.hint)}
                break
            sides.append(both)
            asked.append(newest)
    questions = [q for name in asked[:3] if (q := _question(notes, name, line, sides, inside, placed))]
    return survey, questions, trouble


def _adjusted(notes: _Notes, readings: Sequence[Reading], sides: Sequence[Side]) -> Survey:
    return adjust(notes.known, readings, sides=sides, base=None if notes.known else notes.base)


def _question(
    notes: _Notes,
    name: str,
    line: tuple[str, ...],
    sides: Sequence[Side],
    inside: Sequence[Reading],
    placed: Sequence[str],
) -> dict[str, Any] | None:
    """Both figures that fit, for one point: left and right of the base line."""
    figures: dict[str, Any] = {"point": name, "of": [line[0], line[1]]}
    others = [s for s in sides if s.point != name]
    for way in _WAYS:
        try:
            survey = _adjusted(notes, inside, [*others, Side(name, line[0], line[1], way)])
        except DrawingError:
            upto = placed[: list(placed).index(name) + 1]
            some = [r for r in inside if r.a in upto and r.b in upto]
            try:
                survey = _adjusted(notes, some, [*others, Side(name, line[0], line[1], way)])
            except DrawingError:
                return None
        figures[way] = {p.name: place(p.at) for p in survey.points}
    return figures


_WAYS: tuple[Literal["left", "right"], ...] = ("left", "right")


def _graded(notes: _Notes, survey: Survey) -> list[dict[str, Any]]:
    """Every reading with its misfit and a word for it: good, look, wrong, or unchecked when no other would show it."""
    rows = {(id(r)): row for r, row in zip(notes.readings, notes.rows, strict=True)}
    out = []
    for checked in survey.readings:
        size = checked.normalised
        if not checked.used:
            grade = "wrong"
        elif not checked.checked:
            grade = "unchecked"
        else:
            grade = "wrong" if size > CRITICAL else "look" if size > _LOOK else "good"
        out.append(
            {
                "row": rows.get(id(checked.reading), -1),
                "from": checked.reading.a,
                "to": checked.reading.b,
                "mm": number(checked.reading.distance_mm),
                "residual_mm": number(checked.residual_mm),
                "grade": grade,
            }
        )
    return out


def _next(notes: _Notes, survey: Survey, inside: Sequence[Reading]) -> dict[str, Any] | None:
    """Return the reading that would tell most about the point that is known worst, or None when all are known well."""
    if not 3 <= len(survey.points) <= _MANY:
        return None
    worst = max(survey.points, key=lambda p: p.error_mm)
    if worst.error_mm < _WELL_KNOWN_MM:
        return None
    taped = {frozenset((r.a, r.b)) for r in inside}
    best: dict[str, Any] | None = None
    for other in survey.points:
        if other.name == worst.name or frozenset((other.name, worst.name)) in taped:
            continue
        distance = worst.at.distance(other.at)
        if distance < 1.0:
            continue
        extra = Reading(worst.name, other.name, distance, inside[0].error_mm)
        used = [c.reading for c in survey.readings if c.used]
        try:
            then = _adjusted(notes, [*used, extra], notes.sides)
        except DrawingError:
            continue
        error = next(p.error_mm for p in then.points if p.name == worst.name)
        if best is None or error < best["error_mm"]:
            best = {
                "from": worst.name,
                "to": other.name,
                "expect_mm": number(distance),
                "now_mm": number(worst.error_mm),
                "error_mm": number(error),
            }
    return best
