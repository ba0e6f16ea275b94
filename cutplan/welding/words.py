"""Values of the weld plan as they are said."""

from __future__ import annotations

from cutplan.tables.band import Band
from cutplan.texts import Message, band, name
from cutplan.texts.values import Banded, Value


def shown(value: Band, digits: int = 2) -> Banded:
    """Return a prediction as a value of a message: middle, and low and high in brackets."""
    return band(value.low, value.mid, value.high, "" if value.unit == "1" else value.unit, digits)


def as_value(text: Message | str) -> Value:
    """Return a message, or somebody's own words, as a value of another message."""
    return name(text) if isinstance(text, str) else text
