"""Values of a message: lengths, numbers with their unit, names that the user gave, lists; each knows how it is shown."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeAlias, Union

if TYPE_CHECKING:
    from cutplan.texts.message import Message


@dataclass(frozen=True, slots=True)
class Name:
    """The user's own words, or a token that no language changes (key, command, file, layer, standard): shown as is."""

    text: str

    def __str__(self) -> str:
        return self.text


@dataclass(frozen=True, slots=True)
class Length:
    """A length [mm] with the decimals of its millimetre; an inch shop sees the fraction first unless ``metric``."""

    mm: float
    digits: int | None = 1
    metric: bool = False


@dataclass(frozen=True, slots=True)
class Number:
    """A number [unit] with its decimals; ``digits`` None writes the shortest of six figures."""

    value: float
    unit: str = ""
    digits: int | None = None


@dataclass(frozen=True, slots=True)
class Span:
    """From one value to another: ``1.27 to 2.54 mm``; the unit of the last one stands for both where they agree."""

    low: Length | Number
    high: Length | Number


@dataclass(frozen=True, slots=True)
class Banded:
    """A prediction: middle with its low and high in brackets, ``433 N/mm2 (206 to 943)``."""

    mid: Length | Number
    low: Length | Number
    high: Length | Number


@dataclass(frozen=True, slots=True)
class Place:
    """A place on the plate [mm]: ``(412.0, 18.0) mm``."""

    x_mm: float
    y_mm: float
    digits: int = 1


@dataclass(frozen=True, slots=True)
class Listing:
    """Several values: ``sep`` between them, ``last`` before the last one; ``and`` and ``to`` are words of the reader."""

    items: tuple[Value, ...]
    sep: str = ", "
    last: str = "and"


Value: TypeAlias = Union[
    int, float, str, Name, Length, Number, Span, Banded, Place, Listing, "Message"
]  # str only to be refused with a clear word


def mm(value: float, digits: int | None = 1) -> Length:
    """Return a length [mm] to be shown with ``digits`` decimals (None: the shortest)."""
    return Length(float(value), digits)


def inch_or_mm(value: float, digits: int | None = 1) -> Length:
    """Return a length [mm] that stays metric for every reader: a thickness by standard, a file's own unit."""
    return Length(float(value), digits, True)


def number(value: float, unit: str = "", digits: int | None = None) -> Number:
    """Return a number [unit] to be shown with ``digits`` decimals (None: the shortest)."""
    return Number(float(value), unit, digits)


def name(text: object) -> Name:
    """Return the user's own words, or a name made from them: never translated, never reshaped."""
    return Name(str(text))


def code(text: object) -> Name:
    """Return a token that no language changes: a key of the job file, a command, a file, a layer, a standard."""
    return Name(str(text))


def place(x_mm: float, y_mm: float, digits: int = 1) -> Place:
    """Return a place [mm]."""
    return Place(float(x_mm), float(y_mm), digits)


def size(*lengths_mm: float, digits: int | None = 1) -> Listing:
    """Return lengths [mm] joined by ``x``: ``25.0 mm x 3.0 mm``."""
    return Listing(tuple(Length(float(v), digits) for v in lengths_mm), " x ", " x ")


def span(low: float, high: float, unit: str = "mm", digits: int | None = 1) -> Span:
    """Return a range of numbers [unit]; millimetres follow the reader's units."""
    if unit == "mm":
        return Span(Length(low, digits), Length(high, digits))
    return Span(Number(low, unit, digits), Number(high, unit, digits))


def band(low: float, mid: float, high: float, unit: str = "mm", digits: int | None = 1) -> Banded:
    """Return a prediction [unit] with its band."""
    if unit == "mm":
        return Banded(Length(mid, digits), Length(low, digits), Length(high, digits))
    return Banded(Number(mid, unit, digits), Number(low, unit, digits), Number(high, unit, digits))


def sourced(text: Message | str) -> Value:
    """Return where a figure comes from as a value: a message of ours, or a citation, which no language changes."""
    return Name(text) if isinstance(text, str) else text


def listed(items: Iterable[Value | str]) -> Listing:
    """Return values joined for reading: ``D1, D2 and D3``; strings are names."""
    return Listing(tuple(Name(i) if isinstance(i, str) else i for i in items))


def every(items: Iterable[Value | str], sep: str = ", ") -> Listing:
    """Return values joined by one separator throughout; strings are names."""
    return Listing(tuple(Name(i) if isinstance(i, str) else i for i in items), sep, sep)


def to(first: Value | str, last: Value | str) -> Listing:
    """Return a run from one to another: ``C3 to C5``; strings are names."""
    return Listing(tuple(Name(i) if isinstance(i, str) else i for i in (first, last)), "to", "to")
