"""The account of a drawing: what became of every millimetre drawn."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from cutplan.files.outline.strokes import lengths
from cutplan.files.traces import Floats
from cutplan.texts import Message

Column = Literal["left_aside", "unexplained"]


@dataclass(frozen=True, slots=True)
class Aside:
    """A thing drawn that is not cut [mm]: points (n + 1, 2), bulges (n), its column and why."""

    xy: Floats
    bulge: Floats
    column: Column
    reason: Message

    @property
    def length_mm(self) -> float:
        """Drawn length [mm]."""
        return float(lengths(self.xy, self.bulge).sum())


@dataclass(frozen=True, slots=True)
class Account:
    """Drawn lengths [mm] in four columns: cut, drawn again, left aside for a stated reason, unexplained.

    ``drawn_mm`` is the length of everything in the file, measured before anything was decided about it.
    """

    drawn_mm: float = 0.0
    cut_mm: float = 0.0
    duplicate_mm: float = 0.0
    left_aside_mm: float = 0.0
    unexplained_mm: float = 0.0

    def as_dict(self) -> dict[str, float]:
        """Return the columns as plain data for ``--json``."""
        return {
            "cut": self.cut_mm,
            "duplicate": self.duplicate_mm,
            "left_aside": self.left_aside_mm,
            "unexplained": self.unexplained_mm,
        }
