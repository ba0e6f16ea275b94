"""Measured readings: one line of the form each; the reader names every line that cannot be used."""

from __future__ import annotations

import csv
from collections.abc import Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from io import StringIO
from typing import Literal, cast

from cutplan.errors import CutplanError, JobError
from cutplan.inspection.cells import plain
from cutplan.texts import Message, code, every, mm, name, plural, say, template, together
from cutplan.texts.values import Name
from cutplan.units import UnitName, parse_length
from cutplan.welding.bench.result import FIT, TACKS

ReadingKind = Literal["distance", "x", "y", "dial", "feeler", "gap", "before", "open", "tacked", "welded", "done"]
#: Stages at which the datum distances are taken, in order: each is a kind of reading.
STAGES: tuple[ReadingKind, ...] = ("before", "open", "tacked", "welded")
KINDS: tuple[ReadingKind, ...] = ("distance", "x", "y", "dial", "feeler", "gap", *STAGES, "done")
COLUMNS = ("kind", "name", "to", "after", "plan", "measured", "unit", "note")
#: A bead welded against the planned direction.
TURNED = "turned"
#: Kinds that may be read on the way, with the bead welded last in column ``after``.
ON_THE_WAY: tuple[ReadingKind, ...] = ("gap", "dial")
#: More lines than this are refused: no plate needs them.
MOST_LINES = 5000
#: Longest line that is read; no form has one, and the standard's own reader stops at cells of 131,072 letters.
LONGEST_LINE = 20_000
#: Longest length that is believed [mm].
_LONGEST_MM = 20_000.0


@dataclass(frozen=True, slots=True)
class Reading:
    """One measured value.

    Parameters
    ----------
    kind : ReadingKind
        distance (between two named points), x or y (of a named point, in the measurer's own axes), dial (height at a
        numbered place of a pad), before, open, tacked, welded (a datum distance at that stage), feeler (gap under a straight-edge on a pad, or from pad to pad), gap (root opening
        at a station), done (a bead as it was welded; ``turned`` in column to: against the planned direction).
    name, to : str
        What was measured: point, pad or station; the second point, or the place on the pad.
    measured_mm : float or None
        The value [mm]; None where the form was left empty.
    line : int
        Line of the file, from 1.
    note : str
        What the measurer wrote.
    after : str
        When it was read: empty on the finished part, ``fit`` before the first tack, ``tacks``, or the bead, sleeve or rib welded last.
    planned_mm : float or None
        What the form says was planned [mm]; None where it says nothing that can be read.
    """

    kind: ReadingKind
    name: str
    to: str
    measured_mm: float | None
    line: int = 0
    note: str = ""
    after: str = ""
    planned_mm: float | None = None

    @property
    def label(self) -> str:
        """Name for lists, such as ``H1-H2`` or ``gap G3``."""
        if self.kind == "distance" or self.kind in STAGES:
            return f"{self.name}-{self.to}"
        if self.kind == "feeler" and self.to:
            return f"feeler {self.name}-{self.to}"
        return f"{self.kind} {self.name}" + (f".{self.to}" if self.to else "")

    @property
    def said(self) -> Message:
        """The same for people: the kind in their language, the names as they are."""
        between = self.kind == "distance" or self.kind in STAGES
        at = name(f"{self.name}.{self.to}" if self.to and not between and self.kind != "feeler" else self.name)
        if between:
            return say("{first}-{second}", first=at, second=name(self.to))
        if self.kind == "feeler":
            return say("feeler {place}", place=name(f"{self.name}-{self.to}" if self.to else self.name))
        words = {"gap": template("gap {place}"), "dial": template("dial {place}")}
        return words.get(self.kind, template("{place}")).fill(place=at)


def read_readings(text: str, unit: UnitName = "mm", where: str = "readings") -> tuple[Reading, ...]:
    """Return the readings of a measured form.

    Parameters
    ----------
    text : str
        Contents of the file: comma, semicolon or tab between columns, first line the column names.
    unit : {"mm", "in"}
        Unit of numbers that carry none and have no entry in the unit column.
    where : str
        Name of the file for messages.

    Raises
    ------
    JobError
        With every line that cannot be used, and what to try.
    """
    lines = text.lstrip("\ufeff").splitlines()
    if not lines or not lines[0].strip():
        raise JobError(
            say("the file of readings is empty"), where, say("fill in the form that comes with the job sheet")
        )
    if len(lines) > MOST_LINES:
        raise JobError(
            say("{count} lines of readings, at most {most} are taken", count=len(lines), most=MOST_LINES), where
        )
    if any(len(line) > LONGEST_LINE for line in lines):
        raise JobError(
            say("a line of readings is longer than {most} letters", most=LONGEST_LINE), where, say("give the form only")
        )
    head = lines[0]
    mark = max(",;\t", key=head.count)
    rows = csv.reader(StringIO("\n".join(lines)), delimiter=mark)
    names = [n.strip().lower() for n in next(rows)]
    top = f"{where}:1"
    problems: list[Message] = [
        _problem(top, say("column {name} is not known{near}", name=_quoted(n), near=_nearest(n, COLUMNS)))
        for n in names
        if n and n not in COLUMNS
    ]
    problems += [
        _problem(top, say("column {name} is missing", name=_quoted(n)))
        for n in ("kind", "name", "measured")
        if n not in names
    ]
    found: list[Reading] = []
    if not problems:
        for row in rows:
            cells = {n: c.strip() for n, c in zip(names, row, strict=False)}
            if not any(cells.values()) or cells.get("kind", "").startswith("#"):
                continue
            at = f"{where}:{rows.line_num}"
            if len(row) > len(names) and any(c.strip() for c in row[len(names) :]):
                problems.append(
                    _problem(at, say("more cells than columns; a decimal comma needs quotes or semicolons"))
                )
                continue
            reading = _reading(cells, unit, at, rows.line_num, problems)
            if reading is not None:
                found.append(reading)
    if problems:
        raise JobError(
            plural("1 problem in the readings", "{count} problems in the readings", len(problems)),
            together(*problems, sep="\n         "),
            say("correct these lines and run it again"),
        )
    return tuple(found)


def _problem(at: str, what: Message) -> Message:
    """What is wrong in a line of the file."""
    return say("{line}: {what}", line=code(at), what=what)


def _quoted(text: str) -> Name:
    return name(f"'{text}'")


def _reading(cells: dict[str, str], unit: UnitName, at: str, line: int, problems: list[Message]) -> Reading | None:
    """One line as a reading; None, and why, where it cannot be used."""
    kind = cells.get("kind", "").lower()
    if kind not in KINDS:
        wrong = say("kind {kind} is not known{near}", kind=_quoted(kind), near=_nearest(kind, KINDS))
        problems.append(_problem(at, wrong))
        return None
    first, to, after = (plain(cells.get(column, "")) for column in ("name", "to", "after"))
    after = after.lower() if after.lower() in (FIT, TACKS) else after
    wrong = _misused(kind, first, to, after)
    if wrong:
        problems.append(_problem(at, wrong))
        return None
    value: float | None = None
    unit_here = cells.get("unit", "").lower() or unit
    if cells.get("measured", ""):
        found = _value(kind, cells["measured"], unit_here)
        if isinstance(found, Message):
            problems.append(_problem(at, found))
            return None
        value = found
    plan = _value(kind, cells["plan"], unit_here) if cells.get("plan", "") else Message("")
    return Reading(
        kind, first, to, value, line, cells.get("note", ""), after, plan if isinstance(plan, float) else None
    )


def _misused(kind: ReadingKind, first: str, to: str, after: str) -> Message:
    """What does not go together in a line; empty where all does."""
    if not first:
        return say("no name")
    if kind in ("distance", "dial", *STAGES) and not to:
        return say("a reading of kind {kind} needs something in column 'to'", kind=code(kind))
    if after and kind not in ON_THE_WAY:
        return say("a reading of kind {kind} is not read on the way; leave column 'after' empty", kind=code(kind))
    if kind == "done" and to not in ("", TURNED):
        return say("column 'to' of a bead is empty, or {turned} against the planned direction", turned=_quoted(TURNED))
    return Message("")


def _value(kind: ReadingKind, written: str, unit: str) -> float | Message:
    """The length that was written down [mm]; or why it is none that can be."""
    if unit not in ("mm", "in"):
        if unit.isdigit():
            return say("unit {unit} is not mm or in; a decimal comma needs quotes or semicolons", unit=_quoted(unit))
        return say("unit {unit} is not mm or in", unit=_quoted(unit))
    try:
        value = parse_length(written, cast(UnitName, unit)) if _has_unit(written) else parse_length(f"{written} {unit}")
    except CutplanError:
        return say("{text} is not a length", text=_quoted(written))
    if abs(value) > _LONGEST_MM:
        return say("{length} is longer than any plate here", length=mm(value, None))
    if value < 0.0 and kind in ("distance", "feeler", "gap", *STAGES):
        return say("a reading of kind {kind} cannot be negative", kind=code(kind))
    return value


def _has_unit(written: str) -> bool:
    return not written[-1].isdigit() and written[-1] not in ".,"


def _nearest(word: str, known: Sequence[str]) -> Message:
    """The word that was probably meant, or those that there are."""
    near = get_close_matches(word, known, 1)
    return say(" (nearest: {name})", name=_quoted(near[0])) if near else say(" (known: {names})", names=every(known))
