"""The record of one key, and short ways to write one of each kind."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Literal

from cutplan.texts import Message

Kind = Literal[
    "text",
    "date",
    "flag",
    "choice",
    "number",
    "count",
    "length",
    "lengths",
    "numbers",
    "texts",
    "point",
    "points",
    "names",
    "reading",
    "inline",
    "table",
    "tables",
    "spans",
]
#: Longest length that a job may state [mm]: 100 m.
FARTHEST_MM = 100_000.0


@dataclass(frozen=True, slots=True)
class Offer:
    """How a new job file offers a key or a table.

    Parameters
    ----------
    value, inch : Any
        What stands there, in a metric job and in an inch one (None: the same); lengths in millimetres.
    off : bool
        As a comment, which the user takes the mark away from.
    note : Message or None
        What is said beside it; None: the key's own help.
    """

    value: Any = None
    inch: Any = None
    off: bool = False
    note: Message | None = None


@dataclass(frozen=True, slots=True)
class Key:
    """All that is known of one key of the job file.

    Parameters
    ----------
    name : str
        As it is written in the file.
    kind : Kind
        What it takes; a ``table`` or one of several ``tables`` holds ``keys``, as does a table that is written
        ``inline``; a ``reading`` is a point by itself or such a table.
    help : Message
        What it is, in half a sentence.
    default : Any
        What it is when left out: lengths in mm, numbers in ``unit``; None: nothing.
    limits : (float, float)
        Least and greatest value: lengths in mm, numbers in ``unit``.
    unit : str
        Unit of a number.
    words : tuple of str
        What a choice takes.
    most : int
        Most characters of a text, most tables of a list; fewest points of a line.
    need : Message or None
        It must be given, and this says what it is or how to find it.
    usual : Message or None
        What stands for it when it is left out, where that is no plain value.
    offer : Offer or None
        How a new job file shows it; None: not at all.
    field : str
        Name in the record that it is read into; empty: its own name, with ``_mm`` behind a length's.
    keys : tuple of Key
        What a table holds.
    """

    name: str
    kind: Kind
    help: Message
    default: Any = None
    limits: tuple[float, float] = (-math.inf, math.inf)
    unit: str = ""
    words: tuple[str, ...] = ()
    most: int = 0
    need: Message | None = None
    usual: Message | None = None
    offer: Offer | None = None
    field: str = ""
    keys: tuple[Key, ...] = ()

    @property
    def goes_to(self) -> str:
        """Name of the field that it is read into."""
        return self.field or (f"{self.name}_mm" if self.kind in ("length", "lengths") else self.name)

    def __getitem__(self, name: str) -> Key:
        """Return one of a table's keys.

        Raises
        ------
        KeyError
            When none of the name is declared: a fault of the program.
        """
        for key in self.keys:
            if key.name == name:
                return key
        raise KeyError(f"{self.name} declares no key {name!r}")


def length(
    name: str, help: Message, default: float | None = None, low: float = 0.0, high: float = FARTHEST_MM, **rest: Any
) -> Key:
    """Return a key that takes a length; default and limits [mm]."""
    return Key(name, "length", help, default, (low, high), "mm", **rest)


def figure(
    name: str, help: Message, unit: str, low: float, high: float, default: float | None = None, **rest: Any
) -> Key:
    """Return a key that takes a number; default and limits in its unit [unit]."""
    return Key(name, "number", help, default, (low, high), unit, **rest)


def count(name: str, help: Message, default: int | None, low: int, high: int, **rest: Any) -> Key:
    """Return a key that takes a whole number [1]."""
    return Key(name, "count", help, default, (low, high), "1", **rest)


def text(name: str, help: Message, most: int = 300, default: str = "", **rest: Any) -> Key:
    """Return a key that takes a line of text of at most so many characters [1]."""
    return Key(name, "text", help, default, most=most, **rest)


def flag(name: str, help: Message, default: bool | None = False, **rest: Any) -> Key:
    """Return a key that is true or false; None: the rules decide when it is left out."""
    return Key(name, "flag", help, default, **rest)


def choice(name: str, help: Message, words: Sequence[str], default: str | None = None, **rest: Any) -> Key:
    """Return a key that takes one of several words."""
    return Key(name, "choice", help, default, words=tuple(words), **rest)


def point(name: str, help: Message, **rest: Any) -> Key:
    """Return a key that takes a place ``[x, y]``."""
    return Key(name, "point", help, **rest)


def table(name: str, help: Message, *keys: Key, **rest: Any) -> Key:
    """Return a key that holds a table."""
    return Key(name, "table", help, keys=keys, **rest)


def tables(name: str, help: Message, *keys: Key, most: int = 10_000, **rest: Any) -> Key:
    """Return a key that holds at most so many tables [1]."""
    return Key(name, "tables", help, most=most, keys=keys, **rest)
