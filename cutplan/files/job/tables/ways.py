"""The ways to give a plate's outline, and the keys that belong to one of them only."""

from __future__ import annotations

from cutplan.files.job.keys import Keys
from cutplan.texts import code, say

DRAWING = 'drawing = "..."'
OUTLINE = "outline = [...]"
SURVEY = "[survey]"
#: The keys of each way.
_KEYS = {
    'shape = "rectangle"': ("width", "height", "corner_radius"),
    'shape = "round"': ("diameter",),
    OUTLINE: ("mirror",),
    DRAWING: ("drawing_units", "drawing_length", "frame", "part", "repair", "layers"),
}


def way_of(source: str, k: Keys) -> str:
    """Return how an outline is given, as it stands in the file, from the one key that gives it."""
    if source == "shape":
        return f'shape = "{k.data.get("shape")}"'
    return {"drawing": DRAWING, "outline": OUTLINE, "survey": SURVEY}[source]


def refuse_foreign(k: Keys, way: str | None) -> None:
    """Report every key that belongs to another way than the plate's.

    Nothing is said where the way is not known (None, or a shape that there is none of): that is reported by itself.
    """
    told = way in _KEYS or way == SURVEY
    for other, keys in _KEYS.items():
        for key in keys:
            if other != way and k.has(key) and told:
                k.wrong(
                    key,
                    say("belongs to {other}, not to {this}", other=code(other), this=code(str(way))),
                    say("take it out, or give the outline as {other}", other=code(other)),
                )
