"""What is known of the braces of an opening: their comparison, the stiffness they keep, and what the skin is worth after."""

from __future__ import annotations

from dataclasses import dataclass

from cutplan.pattern.brace import BraceDesign, FittedBrace
from cutplan.tables.band import Band
from cutplan.tables.brace_sections import BraceSection
from cutplan.texts import Message


@dataclass(frozen=True, slots=True)
class Stiffness:
    """How stiff the skin stays beside the pads: stiffness open over stiffness closed, ratio per stage.

    ``after`` holds, for the closed skin and after each section in order, the band without brace; ``braced`` the same
    with the brace on. ``open`` and ``open_braced`` are the last of each. ``needed_after`` is the count of sections
    after which the unbraced middle falls below ``limit``; None: never.
    """

    after: tuple[Band, ...]
    braced: tuple[Band, ...]
    limit: float
    needed_after: int | None
    method: Message | str

    @property
    def open(self) -> Band:
        return self.after[-1]

    @property
    def open_braced(self) -> Band:
        return self.braced[-1]


@dataclass(frozen=True, slots=True)
class PadWorth:
    """What the modified skin is worth at one pad: stiffness after over before, in its plane and in bending [1]."""

    pad: str
    flat: Band
    bent: Band


@dataclass(frozen=True, slots=True)
class BraceChoice:
    """One design of brace compared with the others.

    Parameters
    ----------
    design : BraceDesign or None
        How it lies; None: no brace at all.
    section : BraceSection
        What it is cut from.
    brace : FittedBrace or None
        It laid out; None: it has no room.
    pull, fold : Band or None
        Stiffness kept with the opening open, pulled apart in the skin's plane and folded out of it [1].
    missed : float
        Share of the line's straight length that the tool does not get along beside it [1].
    chosen : bool
        Whether the plan takes it.
    lacks_mm : float
        Room that it lacks [mm].
    blocked_mm : float
        Length of the line that no tool at all gets along beside it [mm].
    """

    design: BraceDesign | None
    section: BraceSection
    brace: FittedBrace | None
    pull: Band | None
    fold: Band | None
    missed: float
    chosen: bool
    lacks_mm: float
    blocked_mm: float = 0.0

    @property
    def score(self) -> float:
        """What it keeps in the softer of both ways [1]."""
        return 0.0 if self.pull is None or self.fold is None else min(self.pull.mid, self.fold.mid)

    @property
    def tacks(self) -> int:
        """Tacks to grind off."""
        return self.brace.tacks if self.brace is not None else 0


@dataclass(frozen=True, slots=True)
class Bracing:
    """The braces of one opening, from the choice to the step that needs them.

    Parameters
    ----------
    fitted : tuple of FittedBrace
        What is put on, laid out, with when it goes on and off.
    choices : tuple of BraceChoice
        The designs that were compared, the chosen one among them.
    text : Message
        What to do about the brace, in one line.
    stiffness : Stiffness or None
        How stiff the skin stays beside the pads; None: the job has no pads.
    needed_from_step : int or None
        First step that is not to be taken without it; None: none.
    """

    fitted: tuple[FittedBrace, ...]
    choices: tuple[BraceChoice, ...]
    text: Message
    stiffness: Stiffness | None
    needed_from_step: int | None
