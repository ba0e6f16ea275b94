"""The whole job as one immutable value; what the trades read and nothing else."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from cutplan.findings import Finding
from cutplan.pattern.brace import FittedBrace
from cutplan.pattern.joint import Joint
from cutplan.pattern.pads import Brace, Pad
from cutplan.pattern.plate import Piece, Plate
from cutplan.pattern.skin import Skin
from cutplan.pattern.wishes import Cutting, Flange, Marks, OpeningWork, PaperWish, TubeWrap, Welding

if TYPE_CHECKING:
    from cutplan.pattern.moved import Moved
    from cutplan.pattern.traced import Traced
    from cutplan.pattern.work_marks import WorkMarks


@dataclass(frozen=True, slots=True)
class About:
    """What the head of every sheet says of a job, printed as given.

    Parameters
    ----------
    title : str
        What is made.
    revision, date, area, note : str
        ``area`` is the area of the vehicle; ``date`` comes from the job, never from the clock.
    """

    title: str
    revision: str = "A"
    date: str = ""
    area: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class Shown:
    """How people read the documents.

    Parameters
    ----------
    display : {"mm", "in"}
        How lengths are shown to people.
    language : str, code of ``texts.catalogue.LANGUAGES``
        Language of sheets and report.
    symbols : {"ISO", "AWS"}
        Weld symbols by ISO 2553 or AWS A2.4.
    """

    display: Literal["mm", "in"] = "mm"
    language: str = "en"
    symbols: Literal["ISO", "AWS"] = "ISO"


@dataclass(frozen=True, slots=True)
class Beside:
    """What is made beside the plate.

    Parameters
    ----------
    wraps : tuple of TubeWrap
        Templates to wrap round tubes.
    flanges : tuple of Flange
        Templates of flanges.
    pieces : tuple of Piece
        Further parts that are only cut, laid with the plate by ``cutplan sheet``.
    """

    wraps: tuple[TubeWrap, ...] = ()
    flanges: tuple[Flange, ...] = ()
    pieces: tuple[Piece, ...] = ()


@dataclass(frozen=True, slots=True)
class Planned:
    """What planning has settled for the trades that come after.

    Parameters
    ----------
    braces : tuple of FittedBrace or None
        The braces as fitted, in the order in which they go on; None: not chosen yet, see ``brace_designs.braces_of``.
    work : WorkMarks or None
        What the opening's plan marks out on the skin; None: not planned yet, its template shows the line alone.
    """

    braces: tuple[FittedBrace, ...] | None = None
    work: WorkMarks | None = None


@dataclass(frozen=True, slots=True)
class Origin:
    """Where a job comes from, and what reading it noticed.

    Parameters
    ----------
    source : str
        Name of the job file (no folder).
    drawing : str
        Name of the drawing that the outline came from; empty for a typed outline or a survey.
    moved : Moved or None
        The shift of a mount that holes and pads have followed already; None: nothing was moved.
    traced : Traced or None
        How sure each length of a plate is that was traced from pictures; None: it was not, or that is not known.
    findings : tuple of Finding
        What reading the job and its drawing noticed.
    """

    source: str = ""
    drawing: str = ""
    moved: Moved | None = None
    traced: Traced | None = None
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True, slots=True)
class Job:
    """Everything the user wants, in millimetres, exact.

    Parameters
    ----------
    about : About
        What the head of every sheet says.
    beside : Beside
        What is made beside the plate.
    shown : Shown
        How people read the documents.
    origin : Origin
        Where it comes from, and what reading it noticed.
    planned : Planned
        What planning has settled for the trades that come after.
    """

    about: About
    plate: Plate
    joint: Joint = Joint()
    skin: Skin = Skin()
    pads: tuple[Pad, ...] = ()
    brace: Brace | None = None
    cutting: Cutting = Cutting()
    opening: OpeningWork = OpeningWork()
    welding: Welding = Welding()
    paper: PaperWish = PaperWish()
    marks: Marks = Marks()
    beside: Beside = Beside()
    shown: Shown = Shown()
    origin: Origin = Origin()
    planned: Planned = Planned()

    @property
    def plates_to_cut(self) -> int:
        """Plates to be cut: for a mirrored copy as many again, the same flat plates turned over."""
        return self.plate.quantity * (2 if self.marks.mirrored_copy else 1)
