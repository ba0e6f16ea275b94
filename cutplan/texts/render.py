"""Messages put into words: once, at the door, in the language and units of the reader."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from cutplan.texts.catalogue import lookup
from cutplan.texts.message import Message
from cutplan.texts.values import Banded, Length, Listing, Name, Number, Place, Span
from cutplan.units import MM_PER_INCH, UnitName, inch_text

#: Units as people read them.
UNIT_TEXT = {"um": "µm", "mm2": "mm²", "in2": "in²", "degC": "°C", "deg": "°", "N/mm2": "N/mm²", "1": ""}


@dataclass(frozen=True, slots=True)
class Reader:
    """Who reads: a language code and the units of the shop, ``mm`` or ``in``."""

    language: str = "en"
    units: UnitName = "mm"

    def __call__(self, text: Message | str) -> str:
        """Return a message in this reader's words; a plain string is somebody's own words and stays."""
        return rendered(text, self)


#: The reader that ``str(message)`` is for.
ENGLISH = Reader()


def rendered(text: Message | str, reader: Reader = ENGLISH) -> str:
    """Return a message in the words and units of a reader; a plain string is somebody's own words and stays.

    Raises
    ------
    CutplanError
        When there is no catalogue for the language.
    """
    if isinstance(text, str):
        return text
    words = lookup(text, reader.language)
    if not text.values:
        return words.format() if "{" in words else words
    return words.format_map({name: shown(value, reader) for name, value in text.values})


def shown(value: Any, reader: Reader = ENGLISH) -> Any:
    """Return one value of a message as the reader sees it; bare numbers stay numbers for the text to format."""
    if isinstance(value, (int, float)):
        return value
    if isinstance(value, Message):
        return rendered(value, reader)
    if isinstance(value, Name):
        return value.text
    if isinstance(value, Length):
        return _length(value, reader)
    if isinstance(value, Number):
        if value.unit == "cm/min" and reader.units == "in":  # a welder's speed, in whole numbers in either unit
            return f"{value.value * 10.0 / MM_PER_INCH:.0f} in/min"
        unit = UNIT_TEXT.get(value.unit, value.unit)
        # a degree of an angle stands at its number, one of heat does not
        return f"{_digits(value.value, value.digits)}{'' if unit == '°' else ' '}{unit}".rstrip()
    if isinstance(value, Place):
        return _place(value, reader)
    if isinstance(value, Span):
        return _span(value, reader)
    if isinstance(value, Banded):
        return _banded(value, reader)
    if isinstance(value, Listing):
        return _listing(value, reader)
    raise TypeError(f"{value!r} is no value of a message")


def _digits(value: float, digits: int | None) -> str:
    text = f"{value:g}" if digits is None else f"{value:.{digits}f}"
    return text.lstrip("-") if float(text) == 0 else text


def _length(value: Length, reader: Reader) -> str:
    metric = f"{_digits(value.mm, value.digits)} mm"
    if reader.units == "mm" or (value.metric and not _sixty_fourths(value.mm)):
        return metric
    beside = metric if value.digits is not None else f"{_digits(round(value.mm, 2), None)} mm"
    return f"{inch_text(value.mm)} in ({beside})"


def _sixty_fourths(mm: float) -> bool:
    """Whether a size by standard is one of an inch: a whole number of its sixty-fourths, such as 38.1 mm; 42.4 mm is none."""
    parts = mm / MM_PER_INCH * 64.0
    return abs(parts - round(parts)) < 1e-3


def _bare(value: Length | Number, beside: Length | Number, reader: Reader) -> str:
    """A number whose unit stands beside it already."""
    if isinstance(value, Number):
        same = isinstance(beside, Number) and beside.unit == value.unit
        return _digits(value.value, value.digits) if same else str(shown(value, reader))
    return _digits(value.mm, value.digits)


def _in_inches(values: tuple[Length | Number, ...], reader: Reader) -> list[str] | None:
    """The lengths in inches, without unit, for a reader of inches; None for any other value or reader."""
    lengths = [v for v in values if isinstance(v, Length) and not v.metric]
    if reader.units == "mm" or len(lengths) < len(values):
        return None
    told = [inch_text(v.mm) for v in lengths]
    # one way of telling for all of them: no fraction beside thousandths
    mixed = any("." in t for t in told) and any("/" in t for t in told)
    return [f"{v.mm / MM_PER_INCH:.3f}" for v in lengths] if mixed else told


def _span(value: Span, reader: Reader) -> str:
    to = _word("to", reader)
    metric = f"{_bare(value.low, value.high, reader)} {to} {shown(value.high, Reader(reader.language))}"
    inches = _in_inches((value.low, value.high), reader)
    return f"{inches[0]} {to} {inches[1]} in ({metric})" if inches else metric


def _banded(value: Banded, reader: Reader) -> str:
    to = _word("to", reader)
    low, high = _bare(value.low, value.mid, reader), _bare(value.high, value.mid, reader)
    metric = f"{shown(value.mid, Reader(reader.language))} ({low} {to} {high})"
    inches = _in_inches((value.mid, value.low, value.high), reader)
    return f"{inches[0]} in ({inches[1]} {to} {inches[2]}), {metric}" if inches else metric


def _place(value: Place, reader: Reader) -> str:
    x, y = _digits(value.x_mm, value.digits), _digits(value.y_mm, value.digits)
    if reader.units == "mm":
        return f"({x}, {y}) mm"
    return f"({inch_text(value.x_mm)}, {inch_text(value.y_mm)}) in ({x}, {y} mm)"


def _word(key: str, reader: Reader) -> str:
    return lookup(Message(key), reader.language)


def _listing(value: Listing, reader: Reader) -> str:
    items = [str(shown(i, reader)) for i in value.items]
    sep, last = (f" {_word(j, reader)} " if j.isalpha() else j for j in (value.sep, value.last))
    return items[0] if len(items) == 1 else sep.join(items[:-1]) + (last + items[-1] if items else "")
