"""The one type for everything said to people: a key, which is its English text, with named values."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache
from string import Formatter

from cutplan.texts.values import Value


@dataclass(frozen=True, slots=True)
class Message:
    """Something to be said, not yet in anybody's words.

    Parameters
    ----------
    key : str
        The English text with its values as ``{name}`` fields; what catalogues are asked for.
    values : tuple of (str, Value)
        What the fields stand for: numbers with their unit, names that the user gave, other messages, lists of them.
    many : str
        The English text for any count but one, where the text depends on a count; else empty.
    count : int
        The count that decides between ``key`` and ``many``.
    context : str
        Tells apart two uses of one English text that another language says differently; else empty.

    Notes
    -----
    ``str(message)`` is the English text in millimetres: for tests and logs. Documents use
    :func:`cutplan.texts.render.rendered` with their reader.
    """

    key: str
    values: tuple[tuple[str, Value], ...] = ()
    many: str = ""
    count: int = 1
    context: str = ""

    def fill(self, **values: Value) -> Message:
        """Return the message with further values, for texts that are kept in tables."""
        return _checked(replace(self, values=(*self.values, *values.items())))

    def value(self, name: str) -> Value:
        """Return the value of a field.

        Raises
        ------
        KeyError
            When the message has no such value.
        """
        return dict(self.values)[name]

    def __bool__(self) -> bool:
        return bool(self.key)

    def __str__(self) -> str:
        from cutplan.texts.render import ENGLISH, rendered

        return rendered(self, ENGLISH)


def say(key: str, *, context: str = "", **values: Value) -> Message:
    """Return a message from its English text and values.

    Parameters
    ----------
    key : str
        The English text, always written as a literal: the catalogues are held complete by reading the sources.
    context : str
        Tells apart two uses of one English text.
    **values
        One for each field of the text; a bare ``str`` is refused, see :mod:`cutplan.texts.values`.

    Raises
    ------
    KeyError, TypeError
        When a field has no value, a value no field, or a value no type: a fault of the program.
    """
    return _checked(Message(key, tuple(values.items()), context=context))


def plural(one: str, many: str, count: int, *, context: str = "", **values: Value) -> Message:
    """Return a message whose text depends on a count; ``{count}`` may stand in either text.

    Parameters
    ----------
    one, many : str
        The English text for one, and for any other number.
    count : int
        How many [1].
    """
    return _checked(Message(one, (*values.items(), ("count", count)), many, count, context))


def template(key: str, *, context: str = "") -> Message:
    """Return a message whose values come later, through :meth:`Message.fill`: for texts kept in tables."""
    return Message(key, context=context)


def together(*parts: Message | str, sep: str = " ") -> Message:
    """Return messages said one after the other; empty ones are left out."""
    from cutplan.texts.values import Listing

    said = tuple(p for p in parts if p)
    if len(said) == 1 and isinstance(said[0], Message):
        return said[0]
    if not said:
        return Message("")
    return Message("{all}", (("all", Listing(tuple(_value(p) for p in said), sep, sep)),))


def _value(part: Message | str) -> Value:
    from cutplan.texts.values import Name

    return Name(part) if isinstance(part, str) else part


@cache
def fields(text: str) -> frozenset[str]:
    """Return the names of the fields in a text."""
    return frozenset(field for _, field, _, _ in Formatter().parse(text) if field)


@cache
def _specs(text: str) -> dict[str, str]:
    return {field: spec or "" for _, field, spec, _ in Formatter().parse(text) if field}


def _checked(message: Message) -> Message:
    wanted = fields(message.key) | (fields(message.many) if message.many else frozenset())
    given = {name for name, _ in message.values}
    if message.many:
        given.discard("count")
        wanted -= {"count"}
    if wanted != given:
        raise KeyError(f"{message.key!r}: values {sorted(given)} for fields {sorted(wanted)}")
    for field, value in message.values:
        if isinstance(value, str):
            raise TypeError(f"{message.key!r}: {field} is a bare string; use name(), code() or a message")
        if isinstance(value, float) and not _specs(message.key).get(field):
            raise TypeError(f"{message.key!r}: {field} is a bare number; use mm(), number() or {{{field}:.1f}}")
    return message
