"""What layer names and line patterns say of a thing drawn: a plate's edge, or something beside it."""

from __future__ import annotations

import re
from functools import lru_cache

from cutplan.texts import Message, say

#: Line patterns of centre lines, pitch circles, hidden and imagined edges: never a cut edge.
_PATTERN = re.compile(r"(CENT[ER]|PHANTOM|DASH|HIDDEN|DOT|DIVIDE|BORDER|ACAD_ISO\d|MITTE|VERDECKT)")
_WORDS: tuple[tuple[Message, str], ...] = (
    (say("dimension layer"), r"dims?|dimensions?|measures?|bema(ss|ß)ung|cotes?|cotation|quote|medidas|acotacion(es)?"),
    (say("text layer"), r"texts?|texte|notes?|annotations?|labels?|legend|schrift"),
    (say("centre line layer"), r"cent(er|re)s?|cent(er|re)[ _-]?(lines?|marks?)|axis|axes|mittellinien?|achsen?"),
    (say("construction layer"), r"construct(ion)?|hilfslinien?|guides?|guide[ _-]?lines?|helpers?|defpoints|phantom"),
    (say("hidden edge layer"), r"hidden|hidden[ _-]?lines?|verdeckt"),
    (
        say("sheet layer"),
        r"borders?|title|title[ _-]?block|sheet|sheet[ _-]?border|schriftfeld|zeichnungsrahmen|cartouche",
    ),
)
_LAYERS = tuple((word, re.compile(f"(?:{pattern})$", re.IGNORECASE)) for word, pattern in _WORDS)
_MARKING = re.compile(r"(engrav|etch|scribe|scor(e|ing)|bend|fold|marking|gravur|biege)", re.IGNORECASE)


@lru_cache(maxsize=1024)
def beside_the_plate(layer: str, pattern: str) -> Message:
    """Return why a thing drawn on a layer with a line pattern is no edge of the plate; empty when it may be one."""
    if _PATTERN.match(pattern):
        return say("dashed or centre line")
    name = layer.strip().rsplit("$", 1)[-1]
    for word, pattern_ in _LAYERS:
        if pattern_.match(name):
            return word
    return Message("")


def marks_only(layer: str) -> bool:
    """Return whether a layer name speaks of engraving, scribing or bending rather than of cutting."""
    return bool(_MARKING.search(layer))
