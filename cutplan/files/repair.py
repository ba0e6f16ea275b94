"""What may be mended in a drawing: nothing, everything, or the doubts that somebody has looked at and accepted."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from cutplan.texts import Message
from cutplan.texts.values import Listing, Place

#: What a doubt is called once it is mended: code of the fault to codes of the repair.
MENDED = {
    "open-outline": ("open-outline-closed", "open-line-dropped"),
    "branch": ("branch-resolved",),
    "double-edge": ("double-edge-resolved",),
    "lettering": ("lettering",),
    "disc-in-hole": ("disc-in-hole",),
    "tilted-plane": ("plane-flattened",),
    "entity-unreadable": ("entity-unreadable",),
    "file-cut-short": ("file-cut-short",),
    "polygon-looks-round": ("chords-are-circle",),
}
#: Doubts that stop nothing: a drawing is read without their being decided, only less well.
OPEN = ("polygon-looks-round",)


@dataclass(frozen=True, slots=True)
class Repair:
    """What may be mended.

    Parameters
    ----------
    everything : bool
        Whether whatever is doubtful is mended.
    accepted : frozenset of str
        Doubts that are mended, as :func:`doubt_key` names them.
    """

    everything: bool = False
    accepted: frozenset[str] = frozenset()

    def __bool__(self) -> bool:
        """Whether anything may be mended."""
        return self.everything or bool(self.accepted)

    def takes(self, code: str, where: Message | str) -> bool:
        """Return whether the doubt of that code at that place is mended."""
        return self.everything or (bool(self.accepted) and doubt_key(code, where) in self.accepted)


#: The two that have no list.
NOTHING, EVERYTHING = Repair(), Repair(everything=True)


def repair_of(wanted: bool | Iterable[str] | Repair) -> Repair:
    """Return what may be mended from a switch or a list of doubts."""
    if isinstance(wanted, Repair):
        return wanted
    if isinstance(wanted, bool):
        return EVERYTHING if wanted else NOTHING
    return Repair(accepted=frozenset(wanted))


def doubt_key(code: str, where: Message | str) -> str:
    """Return the name of a doubt: its code and its first place to a tenth of a millimetre, so long as it has one."""
    first = next(iter(places_in(where)), None)
    return code if first is None else f"{code} {round(first.x_mm, 1) + 0.0:.1f} {round(first.y_mm, 1) + 0.0:.1f}"


def places_in(value: object) -> list[Place]:
    """Return every place that a message speaks of, in order."""
    if isinstance(value, Place):
        return [value]
    if isinstance(value, Message):
        return [p for _, v in value.values for p in places_in(v)]
    if isinstance(value, Listing):
        return [p for v in value.items for p in places_in(v)]
    return []
