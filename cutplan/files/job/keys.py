"""A reader of TOML tables that collects every problem with its key path instead of stopping at the first."""

from __future__ import annotations

import difflib
import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any

from cutplan.errors import CutplanError
from cutplan.files.job.declared.key import FARTHEST_MM, Key, Kind
from cutplan.files.job.problems import MOST_KEPT, Problems, shortened
from cutplan.geometry.vector import Point
from cutplan.texts import Message, code, every, mm, number, say, span
from cutplan.texts.values import Name
from cutplan.units import UnitName, parse_length

_HUGE = 1e300  # a number beyond this is none
#: What the trade also says for a choice, in lower case: understood, and answered with the standard's word.
ALSO_CALLED = {
    "MIG": "GMAW",
    "mig": "GMAW",
    "MAG": "GMAW",
    "mag": "GMAW",
    "MIG/MAG": "GMAW",
    "gmaw": "GMAW",
    "TIG": "GTAW",
    "tig": "GTAW",
    "WIG": "GTAW",
    "wig": "GTAW",
    "gtaw": "GTAW",
    "plasma": "air plasma",
    "angle grinder": "cut-off disc",
    "grinder": "cut-off disc",
}


class Keys:
    """One TOML table being read; :meth:`close` refuses the keys that nobody asked for.

    ``of`` is the table's declaration: with it :meth:`take` reads each key as it is declared, and a key that is not
    declared cannot be asked for.
    """

    def __init__(self, data: Any, path: str, problems: Problems, unit: UnitName, of: Key | None = None) -> None:
        self.of = of
        self.problems = problems
        self.path = path
        self.unit: UnitName = unit
        if not isinstance(data, dict):
            problems.add(path, say("is not a table"), _write("[section]", "{ key = value }"))
            data = {}
        self.data: dict[str, Any] = data
        self.asked: list[str] = []

    def name(self, key: str) -> str:
        return f"{self.path}.{key}" if self.path else key

    def has(self, key: str) -> bool:
        """Return whether the key is there; counts as asked for."""
        if self.of is not None:
            _ = self.of[key]
        self.asked.append(key)
        return key in self.data

    def take(self, name: str) -> Any:
        """Return what the table says for a declared key, or what is declared for one that is left out.

        Raises
        ------
        KeyError
            When the key is not declared: a fault of the program.
        """
        if self.of is None:
            raise KeyError(name)
        key = self.of[name]
        there = self.has(name)
        if key.need is not None and not there:
            self.wrong(name, say("is missing"), key.need)
        if key.default is None and key.need is None and not there and key.kind not in _NEVER_NONE:
            return None
        return _READ[key.kind](self, key)

    def values(self, *but: str) -> dict[str, Any]:
        """Return every plain key of the declared table by its field, those named left out."""
        keys = self.of.keys if self.of is not None else ()
        return {k.goes_to: self.take(k.name) for k in keys if k.kind not in _NOT_PLAIN and k.name not in but}

    def _get(self, key: str, default: Any) -> Any:
        return self.data[key] if self.has(key) else default

    def wrong(self, key: str, message: Message | str, hint: Message | str = "") -> None:
        self.problems.add(self.name(key), message, hint)

    def need(self, key: str, hint: Message | str) -> bool:
        """Return whether a required key is there, reporting its absence."""
        if self.has(key):
            return True
        self.wrong(key, say("is missing"), hint)
        return False

    def raw(self, key: str, default: Any = None) -> Any:
        return self._get(key, default)

    def text(self, key: str, default: str = "", longest: int = 300) -> str:
        value = self._get(key, default)
        if not isinstance(value, str) or len(value) > longest or any(ord(c) < 32 or ord(c) == 127 for c in value):
            if value is not default:
                what = say("is not a line of text of at most {longest} characters", longest=longest)
                self.wrong(key, what, say("write it in quotes: {text}", text=code('"..."')))
            return default
        return value

    def flag(self, key: str, default: bool = False) -> bool:
        value = self._get(key, default)
        if not isinstance(value, bool):
            self.wrong(
                key,
                say("{value} is neither true nor false", value=_shown(value)),
                say("write true or false without quotes"),
            )
            return default
        return value

    def choice(self, key: str, allowed: Sequence[str], default: str) -> Any:
        value = self._get(key, default)
        if isinstance(value, str) and ALSO_CALLED.get(value) in allowed:
            return ALSO_CALLED[value]
        if isinstance(value, str):
            value = next((a for a in allowed if a.casefold() == value.strip().casefold()), value)
        if value not in allowed:
            near = difflib.get_close_matches(shortened(value), allowed, 1)
            all_ = every([code(f'"{a}"') for a in allowed])
            hint = _meant(f'"{near[0]}"') if near else say("one of {choices}", choices=all_)
            self.wrong(key, say("{value} is not known", value=_shown(value)), hint)
            return default
        return value

    def number(self, key: str, default: float, low: float = -math.inf, high: float = math.inf, what: str = "") -> float:
        value = self._get(key, default)
        if isinstance(value, bool) or not isinstance(value, (int, float)) or not -_HUGE <= value <= _HUGE:
            self.wrong(key, say("{value} is not a number", value=_shown(value)), say("write a plain number"))
            return default
        if not low <= value <= high:
            limits = span(low, high, what or "1", None)
            outside = say("{value} is outside {limits}", value=number(value), limits=limits)
            self.wrong(key, outside, say("check the value"))
            return default
        return float(value)

    def count(self, key: str, default: int, low: int, high: int) -> int:
        value = self._get(key, default)
        if isinstance(value, bool) or not isinstance(value, int) or not low <= value <= high:
            what = say("{value} is not a whole number from {low} to {high}", value=_shown(value), low=low, high=high)
            self.wrong(key, what, say("check the value"))
            return default
        return value

    def length(self, key: str, default_mm: float, low_mm: float = 0.0, high_mm: float = FARTHEST_MM) -> float:
        """Return a length [mm] within limits; a length outside them is a problem."""
        return self._length(self._get(key, None), key, default_mm, low_mm, high_mm)

    def length_or_none(self, key: str, low_mm: float = 0.0, high_mm: float = FARTHEST_MM) -> float | None:
        return self.length(key, low_mm, low_mm, high_mm) if self.has(key) else None

    def _length(self, value: Any, key: str, default_mm: float, low_mm: float, high_mm: float) -> float:
        if value is None:
            return default_mm
        try:
            length_mm = parse_length(value, self.unit)
        except CutplanError as error:
            self.wrong(key, error.message, error.hint)
            return default_mm
        except (ValueError, OverflowError):  # a whole number of hundreds of digits
            self.wrong(key, say("{value} is not a length", value=_shown(value)), say("write a plain number"))
            return default_mm
        if not low_mm <= length_mm <= high_mm:
            limits = span(low_mm, high_mm, digits=None)
            outside = say("{value} is outside {limits}", value=mm(length_mm, None), limits=limits)
            self.wrong(key, outside, say("check the value and its unit"))
            return default_mm
        return length_mm

    def lengths(self, key: str, low_mm: float = 0.0) -> tuple[float, ...]:
        value = self._get(key, [])
        if not isinstance(value, list) or len(value) > 1000:
            self.wrong(key, say("is not a list of lengths"), _write("[10, 20]"))
            return ()
        return tuple(self._length(v, f"{key}[{i}]", low_mm, low_mm, FARTHEST_MM) for i, v in enumerate(value))

    def texts(self, key: str) -> tuple[str, ...]:
        value = self._get(key, [])
        if not isinstance(value, list) or len(value) > 1000 or not all(isinstance(v, str) for v in value):
            self.wrong(key, say("is not a list of words"), _write('["up", "down"]'))
            return ()
        return tuple(value)

    def numbers(self, key: str, low: float, high: float) -> tuple[float, ...]:
        value = self._get(key, [])
        good = (
            isinstance(value, list)
            and len(value) <= 1000
            and all(isinstance(v, (int, float)) and not isinstance(v, bool) and low <= v <= high for v in value)
        )
        if not good:
            limits = span(low, high, "1", None)
            self.wrong(key, say("is not a list of numbers from {limits}", limits=limits), _write("[90, 90]"))
            return ()
        return tuple(float(v) for v in value)

    def point(self, key: str, default: Point = Point(0.0, 0.0)) -> Point:
        return self._point(self._get(key, None), key, default)

    def _point(self, value: Any, key: str, default: Point) -> Point:
        if value is None:
            return default
        if not isinstance(value, list) or len(value) != 2:
            self.wrong(key, say("{value} is not a point", value=_shown(value)), say("write two lengths: [x, y]"))
            return default
        return Point(
            self._length(value[0], key + "[0]", default.x, -FARTHEST_MM, FARTHEST_MM),
            self._length(value[1], key + "[1]", default.y, -FARTHEST_MM, FARTHEST_MM),
        )

    def points(self, key: str, fewest: int) -> tuple[Point, ...]:
        value = self._get(key, None)
        if not isinstance(value, list) or len(value) < fewest or len(value) > 10_000:
            self.wrong(key, say("is not a list of at least {fewest} points", fewest=fewest), _write("[[x, y], [x, y]]"))
            return ()
        return tuple(self._point(v, f"{key}[{i}]", Point(0.0, 0.0)) for i, v in enumerate(value))

    def table(self, key: str) -> Keys:
        """Return a sub-table; an absent one reads as empty."""
        return Keys(self._get(key, {}), self.name(key), self.problems, self.unit, self._below(key))

    def _below(self, key: str) -> Key | None:
        return self.of[key] if self.of is not None else None

    def tables(self, key: str, most: int = 10_000) -> list[Keys]:
        """Return an array of tables; an absent one reads as empty."""
        value = self._get(key, [])
        if not isinstance(value, list) or len(value) > most:
            hint = say("write {head} before each", head=code(f"[[{self.name(key)}]]"))
            self.wrong(key, say("is not a list of at most {most} tables", most=most), hint)
            return []
        below = self._below(key)
        return [Keys(v, f"{self.name(key)}[{i}]", self.problems, self.unit, below) for i, v in enumerate(value)]

    def filled(self, usual: Mapping[str, Any]) -> Keys:
        """Return the same table with values for keys that it leaves out."""
        return Keys({**usual, **self.data}, self.path, self.problems, self.unit, self.of)

    def empty(self, key: str, of: Key | None = None) -> Keys:
        """Return an empty table of its own, for a reader that wants one."""
        return Keys({}, self.name(key), self.problems, self.unit, of)

    def close(self, also: Iterable[str] = ()) -> None:
        """Report every key that was not asked for, with the nearest known one."""
        known = list(dict.fromkeys([*self.asked, *also]))
        declared = {k.name for k in self.of.keys} if self.of is not None else set()
        for key in self.data:
            if key not in known:
                if self.problems.count > MOST_KEPT:
                    self.problems.count += 1
                    continue
                near = difflib.get_close_matches(key[:60], known, 1, 0.5)
                here = say("known here: {keys}", keys=every([code(k) for k in known[:16]]))
                if key in declared:
                    self.wrong(key, say("does not go with the other keys of this table"), here)
                    continue
                self.wrong(key, say("is not a known key"), _meant(f'"{near[0]}"') if near else here)


_ORIGIN = Point(0.0, 0.0)
#: How a key of each kind is read.
_READ: dict[Kind, Callable[[Keys, Key], Any]] = {
    "text": lambda k, key: k.text(key.name, key.default or "", key.most),
    "flag": lambda k, key: k.flag(key.name, bool(key.default)),
    "choice": lambda k, key: k.choice(key.name, key.words, key.words[0] if key.default is None else key.default),
    "number": lambda k, key: k.number(key.name, _number_of(key), *key.limits, key.unit),
    "count": lambda k, key: k.count(
        key.name, int(key.limits[0]) if key.default is None else key.default, int(key.limits[0]), int(key.limits[1])
    ),
    "length": lambda k, key: k.length(key.name, _number_of(key), *key.limits),
    "lengths": lambda k, key: k.lengths(key.name, key.limits[0]),
    "numbers": lambda k, key: k.numbers(key.name, *key.limits),
    "texts": lambda k, key: k.texts(key.name),
    "point": lambda k, key: k.point(key.name, key.default or _ORIGIN),
    "points": lambda k, key: k.points(key.name, key.most),
    "names": lambda k, key: k.raw(key.name, key.default),
    "reading": lambda k, key: k.raw(key.name),
    "inline": lambda k, key: k.table(key.name),
    "spans": lambda k, key: k.raw(key.name, []),
    "date": lambda k, key: k.raw(key.name, key.default),
    "table": lambda k, key: k.table(key.name),
    "tables": lambda k, key: k.tables(key.name, key.most),
}
_NEVER_NONE = ("text", "table", "tables", "points")
#: Kinds that need a reader of their own.
_NOT_PLAIN = ("table", "tables", "names", "reading", "inline", "spans", "date")


def _number_of(key: Key) -> float:
    return key.limits[0] if key.default is None else float(key.default)


def _shown(value: object) -> Name:
    """A value as it stands in the file, cut short."""
    return code(f'"{shortened(value)}"' if isinstance(value, str) else shortened(value))


def _meant(word: str) -> Message:
    return say("did you mean {word}?", word=code(word))


def _write(*ways: str) -> Message:
    """Show how it is written."""
    if len(ways) == 1:
        return say("write {this}", this=code(ways[0]))
    return say("write {this} or {that}", this=code(ways[0]), that=code(ways[1]))
