"""The text of a new job file: the declarations written out, with the answers that are known already."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from cutplan.files.job.declared.job import JOB
from cutplan.files.job.declared.key import Key, Offer
from cutplan.files.job.shop.read import quoted
from cutplan.texts import Message, Reader, code, every, say
from cutplan.texts.values import Listing
from cutplan.units import MM_PER, MM_PER_INCH, UnitName, inch_fraction

#: Column in which what is said beside a line begins.
_COLUMN = 31


@dataclass(frozen=True, slots=True)
class Answer:
    """What is written for a key.

    Parameters
    ----------
    value : Any
        What stands there; lengths in millimetres.
    note : Message or None
        What is said beside it; None: the key's own help.
    """

    value: Any
    note: Message | None = None


#: Answers by key: an :class:`Answer`, answers of a table, several of them, or None for a key that is left out.
Answers = Mapping[str, Any]


def begun(answers: Answers, units: UnitName, reader: Reader) -> str:
    """Return the text of a new job file.

    Parameters
    ----------
    answers : Answers
        What is known already; every other key is written as it is offered.
    units : {"mm", "in"}
        Unit of the file.
    reader : Reader
        Who reads what is said beside the keys.
    """
    head = (
        say(
            "A job for cutplan. Lengths without a unit are in the unit named here; a text may carry its own: {ways}.",
            ways=every([code('"38 mm"'), code('"1 1/2 in"'), code('"3/16 in"')]),
        ),
        say("Coordinates are those of the drawing. Lines that begin with # say nothing until it is taken away."),
    )
    lines = [f"# {reader(line)}" for line in head]
    return "\n".join([*lines, *_body(JOB, answers, "", Writer(units, reader)), ""])


@dataclass(frozen=True, slots=True)
class Writer:
    """How lines are written: unit of the file, who reads it, and what stands before each line."""

    units: UnitName
    reader: Reader
    mark: str = ""

    def line(self, text: str, note: Message, mark: str = "") -> str:
        """Return a line with what is said beside it."""
        return f"{self.mark or mark}{text}".ljust(_COLUMN - 1) + f" # {self.reader(note)}"


def _body(key: Key, answers: Answers, path: str, writer: Writer) -> list[str]:
    """Return the lines of a table's keys and of the tables in it."""
    lines = []
    for inner in key.keys:
        if inner.kind not in ("table", "tables"):
            lines += _plain(inner, answers, writer)
    for inner in key.keys:
        if inner.kind in ("table", "tables"):
            lines += _tables(inner, answers, f"{path}.{inner.name}" if path else inner.name, writer)
    return lines


def _plain(key: Key, answers: Answers, writer: Writer) -> list[str]:
    given = answers.get(key.name, key.offer)
    if given is None:
        return []
    value, off = given.value, False
    if isinstance(given, Offer):
        value = given.inch if writer.units == "in" and given.inch is not None else given.value
        off = given.off
    text = f"{key.name} = {_written(value, key.kind, writer.units)}"
    return [writer.line(text, given.note or _told(key), "# " if off else "")]


def _tables(key: Key, answers: Answers, path: str, writer: Writer) -> list[str]:
    given = answers.get(key.name)
    if given is None and key.offer is None:
        return []
    if given is None and key.offer is not None and key.offer.off:
        writer = Writer(writer.units, writer.reader, "# ")
    several: Sequence[Answers] = given if isinstance(given, list) else [given or {}]
    lines = []
    for table in several:
        head = f"[[{path}]]" if key.kind == "tables" else f"[{path}]"
        note = table[""].note if "" in table else key.help
        lines += ["", writer.line(head, note), *_body(key, table, path, writer)]
    return lines


def _told(key: Key) -> Message:
    """Return what is said beside a key: what it is, and the words that it takes."""
    words = tuple(code(w) for w in key.words if w)
    return say("{words}: {what}", words=Listing(words, ", ", "or"), what=key.help) if words else key.help


def _written(value: Any, kind: str, units: UnitName) -> str:
    """Return a value as TOML; lengths [mm] in the unit of the file."""
    if isinstance(value, (list, tuple)):
        return f"[{', '.join(_written(v, kind, units) for v in value)}]"
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, str):
        return quoted(value)
    if isinstance(value, float) and kind in ("length", "lengths", "point"):
        return _length(value, units)
    return f"{value:g}"


def _length(mm: float, units: UnitName) -> str:
    """Return a length as it is written in the file's own unit: a fraction of an inch where it is one.

    One of whole tenths of a millimetre that is none of whole thousandths of an inch was measured in millimetres and stays so.
    """
    if units == "mm":
        return f'"{_number(mm, "mm")} mm"'
    whole = mm / MM_PER_INCH * 64.0
    if abs(whole - round(whole)) < 1e-3:
        return f'"{inch_fraction(mm)} in"'
    if _whole(mm * 10.0) and not _whole(mm / MM_PER_INCH * 1000.0):
        return f'"{_number(mm, "mm")} mm"'
    return f'"{_number(mm, "in")} in"'


def _whole(value: float) -> bool:
    return abs(value - round(value)) < 1e-6


def _number(mm: float, units: UnitName) -> str:
    return f"{mm / MM_PER[units]:.4f}".rstrip("0").rstrip(".")
