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
from cutplan.texts import Message, name, say, template
from cutplan.units import UnitName, parse_length

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
        When it was read: empty on the finished part, ``fit`` before the first tack, ``tacks``, or the bead welded last.
    """

    kind: ReadingKind
    name: str
    to: str
    measured_mm: float | None
    line: int = 0
    note: str = ""
    after: str = ""

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
        at = name(f"{self.name}.{self.to}" if self.to and self.kind not in ("distance", "feeler") else self.name)
        if self.kind == "distance":
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
        raise JobError("the file of readings is empty", where, "fill in the form that comes with the job sheet")
    if len(lines) > MOST_LINES:
        raise JobError(f"{len(lines)} lines of readings, at most {MOST_LINES} are taken", where)
    if any(len(line) > LONGEST_LINE for line in lines):
        raise JobError(f"a line of readings is longer than {LONGEST_LINE} letters", where, "give the form only")
    head = lines[0]
    mark = max(",;\t", key=head.count)
    rows = csv.reader(StringIO("\n".join(lines)), delimiter=mark)
    names = [n.strip().lower() for n in next(rows)]
    problems = [f"{where}:1: column {n!r} is not known{_nearest(n, COLUMNS)}" for n in names if n and n not in COLUMNS]
    problems += [f"{where}:1: column {n!r} is missing" for n in ("kind", "name", "measured") if n not in names]
    found: list[Reading] = []
    if not problems:
        for row in rows:
            cells = {n: c.strip() for n, c in zip(names, row, strict=False)}
            if not any(cells.values()) or cells.get("kind", "").startswith("#"):
                continue
            at = f"{where}:{rows.line_num}"
            if len(row) > len(names) and any(c.strip() for c in row[len(names) :]):
                problems.append(f"{at}: more cells than columns; a decimal comma needs quotes or semicolons")
                continue
            reading = _reading(cells, unit, at, rows.line_num, problems)
            if reading is not None:
                found.append(reading)
    if problems:
        count = "1 problem" if len(problems) == 1 else f"{len(problems)} problems"
        raise JobError(f"{count} in the readings", "\n         ".join(problems), "correct these lines and run it again")
    return tuple(found)


def _reading(cells: dict[str, str], unit: UnitName, at: str, line: int, problems: list[str]) -> Reading | None:
    kind = cells.get("kind", "").lower()
    if kind not in KINDS:
        problems.append(f"{at}: kind {kind!r} is not known{_nearest(kind, KINDS)}")
        return None
    name, to = plain(cells.get("name", "")), plain(cells.get("to", ""))
    if not name:
        problems.append(f"{at}: no name")
        return None
    if kind in ("distance", "dial", *STAGES) and not to:
        problems.append(f"{at}: a {kind} needs something in column 'to'")
        return None
    written, own = cells.get("measured", ""), cells.get("unit", "").lower() or unit
    value: float | None = None
    if written:
        if own not in ("mm", "in"):
            comma = "; a decimal comma needs quotes or semicolons" if own.isdigit() else ""
            problems.append(f"{at}: unit {own!r} is not mm or in{comma}")
            return None
        try:
            value = (
                parse_length(written, cast(UnitName, own)) if _has_unit(written) else parse_length(f"{written} {own}")
            )
        except CutplanError as error:
            problems.append(f"{at}: {error.message}")
            return None
        if abs(value) > 20_000.0:
            problems.append(f"{at}: {value:g} mm is longer than any plate here")
            return None
        if value < 0.0 and kind in ("distance", "feeler", "gap", *STAGES):
            problems.append(f"{at}: a {kind} cannot be negative")
            return None
    after = plain(cells.get("after", ""))
    if after and kind not in ON_THE_WAY:
        problems.append(f"{at}: a {kind} is not read on the way; leave column 'after' empty")
        return None
    if kind == "done" and to not in ("", TURNED):
        problems.append(f"{at}: column 'to' of a bead is empty, or {TURNED!r} against the planned direction")
        return None
    return Reading(kind, name, to, value, line, cells.get("note", ""), after)


def _has_unit(written: str) -> bool:
    return not written[-1].isdigit() and written[-1] not in ".,"


def _nearest(word: str, known: Sequence[str]) -> str:
    near = get_close_matches(word, known, 1)
    return f" (nearest: {near[0]!r})" if near else f" (known: {', '.join(known)})"
