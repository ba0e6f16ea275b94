"""The unit that a note in a drawing names, such as "all dimensions in inches"."""

from __future__ import annotations

import re
from typing import Literal

#: What a note speaks of, at most four words, and the unit: in English and in German.
_NOTE = re.compile(
    r"""\b(?:dimensions?|dims?|measurements?|measures|units?|lengths|sizes|ma(?:ß|ss)e|ma(?:ß|ss)angaben|einheit(?:en)?)\b
    (?:\W+\w+){0,4}?\W+(?:(?P<mm>mm|millimet(?:er|re)s?|millimetern?)|(?P<inch>inch(?:es)?|zoll))\b""",
    re.IGNORECASE | re.VERBOSE,
)


def unit_noted(text: str) -> Literal["mm", "in"] | None:
    """Return the unit that a text of a drawing says its dimensions are in; None where it says none, or both."""
    units = {"mm" if found["mm"] else "in" for found in _NOTE.finditer(text)}
    if len(units) != 1:
        return None
    return "mm" if "mm" in units else "in"
