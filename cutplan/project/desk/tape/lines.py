"""Tape readings as people write them down: two names and a length on each line."""

from __future__ import annotations

import re
from dataclasses import dataclass

from cutplan.errors import CutplanError
from cutplan.texts import Message, say
from cutplan.units import UnitName, parse_length

_NAME = r"[^\W_][\w.]{0,19}"
#: Two names with a dash, an arrow, a comma, a word or room between them, then the length.
_LINE = re.compile(
    rf"^\s*(?P<a>{_NAME})\s*(?:[-–—>→,;:\t/]+|\s+(?:to|bis)\s+|\s+)\s*(?P<b>{_NAME})\s*[-–=:;,\t ]\s*(?P<length>[^#]*?)\s*(?:#.*)?$"
)
_UNITS = frozenset(("mm", "cm", "m", "in", "ft", "inch"))
_MOST = 2000


@dataclass(frozen=True, slots=True)
class Taped:
    """One line: the names and the length as typed, or why it is no reading."""

    line: str
    a: str = ""
    b: str = ""
    typed: str = ""
    why: Message | str = ""


def read_lines(text: str, unit: UnitName) -> tuple[Taped, ...]:
    """Return the readings on the lines of a text, in order; empty lines and remarks after ``#`` are left out.

    Parameters
    ----------
    text : str
        What was typed or pasted: ``A B 340``, ``A-C 12 3/16``, ``B -> D: 41,5 cm``.
    unit : {"mm", "in"}
        Unit of lengths that carry none.
    """
    found = [line.strip() for line in text.splitlines()[:_MOST]]
    return tuple(_read(line, unit) for line in found if line and not line.startswith("#"))


def _read(line: str, unit: UnitName) -> Taped:
    match = _LINE.match(line)
    if match is None or match["b"].lower() in _UNITS:
        return Taped(line, why=say("two names and a length are wanted, such as: A B 340"))
    a, b, typed = match["a"], match["b"], match["length"].strip(" =:;,\t")
    if a == b:
        return Taped(line, why=say("both ends have the same name"))
    try:
        if parse_length(typed, unit) <= 0.0:
            return Taped(line, why=say("a distance is more than nothing"))
    except CutplanError as fault:
        return Taped(line, why=fault.message)
    return Taped(line, a, b, typed)
