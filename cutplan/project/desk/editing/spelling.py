"""How a length is written into a job file: as the user typed it, or as the number it replaces was written."""

from __future__ import annotations

import re
from fractions import Fraction
from typing import Any

from cutplan.units import MM_PER, UnitName, inch_fraction, parse_length

_PLAIN = re.compile(r"^\s*[-+]?(?:\d+(?:[.,]\d*)?|[.,]\d+)\s*$")
_UNIT = re.compile(r"(mm|cm|m|in|inch|inches|\"|″|ft|'|′)\s*$", re.IGNORECASE)
_SAME = {"inch": "in", "inches": "in", '"': "in", "″": "in", "'": "ft", "′": "ft"}
#: Decimals of a length that was pointed at rather than typed: a hundredth of a millimetre, or less.
_DIGITS = {"mm": 2, "cm": 3, "m": 5, "in": 4, "ft": 5}
#: A length this near to a sixty-fourth of an inch is that fraction [mm].
_ON_FRACTION_MM = 0.001


def typed_length(text: str, shown: UnitName, unit: UnitName) -> int | float | str:
    """Return what a job file holds for a length [unit of the job] as it was typed.

    Parameters
    ----------
    text : str
        What was typed: ``38``, ``38,5``, ``1 1/2 in``.
    shown : {"mm", "in"}
        Unit of a plain number in the field.
    unit : {"mm", "in"}
        Unit of plain numbers in the job file.

    Raises
    ------
    CutplanError
        When it is no length.
    """
    parse_length(text, shown)
    tidy = " ".join(text.split())
    if not _PLAIN.match(tidy):
        return tidy if _UNIT.search(tidy) or shown == unit else f"{tidy} {shown}"
    return _number(tidy) if shown == unit else f"{tidy} {shown}"


def pointed_length(mm: float, like: Any, unit: UnitName) -> int | float | str:
    """Return what a job file holds for a length that was pointed at, spelled like the value that it replaces.

    Parameters
    ----------
    mm : float
        The length [mm].
    like : object
        The value that stood there; None when nothing did.
    unit : {"mm", "in"}
        Unit of plain numbers in the job file.
    """
    if isinstance(like, str):
        found = _UNIT.search(like)
        name = _SAME.get(found[1].lower(), found[1].lower()) if found else unit
        if name == "in" and "/" in like and _on_fraction(mm):
            return f"{inch_fraction(mm)} in"
        return f"{_plain(mm, name)} {name}"
    return _number(_plain(mm, unit))


def _on_fraction(mm: float) -> bool:
    parts = Fraction(mm / MM_PER["in"]).limit_denominator(64)
    return 64 % parts.denominator == 0 and abs(float(parts) * MM_PER["in"] - mm) < _ON_FRACTION_MM


def _plain(mm: float, name: str) -> str:
    text = f"{mm / MM_PER[name]:.{_DIGITS[name]}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text == "-0" else text


def _number(text: str) -> int | float:
    text = text.replace(",", ".").lstrip("+")
    return float(text) if "." in text else int(text)
