"""What the opening plan is made of: drills, cuts, sections, rib crossings, steps, and the plan itself."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from cutplan.findings import Finding
from cutplan.geometry.contour import Contour
from cutplan.geometry.segment import Segment
from cutplan.geometry.vector import Point
from cutplan.opening.brace.model import Bracing, PadWorth
from cutplan.tables.band import Band
from cutplan.texts import Message

StepKind = Literal["measure", "brace", "mark", "drill", "window", "look", "cut", "part rib", "drop", "dress"]
DrillPurpose = Literal["corner", "turn", "tee", "entry", "blade", "look", "window"]
CutKind = Literal["edge", "divide", "bridge"]


@dataclass(frozen=True, slots=True)
class Drill:
    """A hole drilled (or sawn with a hole saw) in the waste [mm].

    ``square`` True: it stands in a corner that is filed out square afterwards.
    """

    name: str
    centre: Point
    diameter_mm: float
    purpose: DrillPurpose
    reason: Message
    square: bool = False

    @property
    def radius_mm(self) -> float:
        return 0.5 * self.diameter_mm


@dataclass(frozen=True, slots=True)
class Cut:
    """One cut of one tool.

    Parameters
    ----------
    name : str
        Label printed beside it.
    kind : {"edge", "divide", "bridge"}
        Along the opening's line, across the waste, or through a bridge.
    path : tuple of Segment
        Centre of the kerf where the skin is cut right through [mm].
    reach : tuple of Segment
        The same with what the tool touches on the face beyond it (a disc's run-out) [mm].
    tool : str
        Hand tool, one of ``pattern.wishes.HAND_TOOLS``.
    depth_mm : float
        Deepest that the tool may go below the face [mm].
    run_out_mm : float
        Overcut on the face at each end [mm]; 0 for a saw.
    sections : tuple of int
        Sections that it borders.
    ribs : tuple of str
        Ribs that it crosses.
    """

    name: str
    kind: CutKind
    path: tuple[Segment, ...]
    reach: tuple[Segment, ...]
    tool: str
    depth_mm: float
    run_out_mm: float = 0.0
    sections: tuple[int, ...] = ()
    ribs: tuple[str, ...] = ()

    @property
    def start(self) -> Point:
        return self.path[0].start

    @property
    def end(self) -> Point:
        return self.path[-1].end

    @property
    def length_mm(self) -> float:
        """Length cut right through [mm]."""
        return sum(s.length for s in self.path)


@dataclass(frozen=True, slots=True)
class RibPart:
    """A place where a rib is parted: on a cut line, or at the skin along the rib.

    ``depth_mm`` is how deep the tool must go below the face [mm], None where the rib's depth is not known.
    ``direction`` is the rib's own direction there. ``along`` True: the rib reaches the wall behind and is cut off
    just under the skin instead of across.
    """

    rib: str
    at: Point
    direction: Point
    tool: str
    depth_mm: float | None
    sections: tuple[int, ...]
    along: bool = False
    path: tuple[Point, ...] = ()


@dataclass(frozen=True, slots=True)
class Section:
    """A piece of waste that falls free.

    Parameters
    ----------
    number : int
        Number printed on it; sections fall in the order of their numbers.
    contour : Contour
        Its border along the kerf centres [mm].
    mass_kg : float
        Skin and rib pieces [kg].
    length_mm, width_mm : float
        Extents along and across the opening's own axes, larger first [mm].
    label_at : Point
        Where its number is printed [mm].
    ribs : tuple of str
        Ribs behind it.
    bridges : int
        Bridges that hold it to the last.
    """

    number: int
    contour: Contour
    mass_kg: float
    length_mm: float
    width_mm: float
    label_at: Point
    ribs: tuple[str, ...] = ()
    bridges: int = 0


@dataclass(frozen=True, slots=True)
class Step:
    """One numbered step with one picture.

    ``text`` is what to do, ``holds`` what holds what meanwhile. ``cuts``, ``drills`` and ``parts`` are what is done now. ``section`` is the section worked on (0: none),
    ``gone`` the sections already out before this step, ``leave`` the bridges that this step leaves standing.
    """

    number: int
    kind: StepKind
    title: Message
    text: tuple[Message, ...]
    tools: tuple[str, ...] = ()
    cuts: tuple[Cut, ...] = ()
    drills: tuple[Drill, ...] = ()
    parts: tuple[RibPart, ...] = ()
    leave: tuple[Cut, ...] = ()
    section: int = 0
    gone: tuple[int, ...] = ()
    ribs: tuple[str, ...] = ()
    holds: tuple[Message, ...] = ()
    depth_limit_mm: float | None = None


@dataclass(frozen=True, slots=True)
class DatumPoint:
    """A point of the datum sheet [mm]: ``mark`` is punched into the skin outside the heat, ``pad`` is a pad."""

    name: str
    at: Point
    kind: Literal["mark", "pad"]
    note: str = ""


@dataclass(frozen=True, slots=True)
class DatumLine:
    """One distance to measure and write down: planned length [mm] between two named points."""

    label: str
    a: str
    b: str
    planned_mm: float


@dataclass(frozen=True, slots=True)
class DatumPlan:
    """Distances that together fix all points of the datum sheet.

    Parameters
    ----------
    points, lines : tuple
        Points and distances in the order they are measured.
    rank, needed : int
        Rank of the least squares problem and the rank that fixes every point (2 n - 3).
    reading_mm : float
        Standard error of one tape reading taken for the figures [mm].
    errors_mm : tuple of (name, sx, sy)
        Expected standard error of each point's coordinates [mm] in the frame that the marks hold together.
    pair_errors_mm : tuple of (label, error)
        Expected standard error of each pad-to-pad distance after adjustment [mm].
    redundancy : int
        Distances beyond the least needed.
    """

    points: tuple[DatumPoint, ...]
    lines: tuple[DatumLine, ...]
    rank: int
    needed: int
    reading_mm: float
    errors_mm: tuple[tuple[str, float, float], ...]
    pair_errors_mm: tuple[tuple[str, float], ...]
    redundancy: int


@dataclass(frozen=True, slots=True)
class ToolUse:
    """What the opening is cut with.

    Parameters
    ----------
    main : str
        Hand tool that the job or the plan takes for the line, one of ``pattern.wishes.HAND_TOOLS``.
    said : Message
        All tools of the cuts, in words.
    kerf_mm : float
        Width that the main tool removes [mm].
    allowance_mm : float
        What is left to dress back to the line [mm].
    """

    main: str
    said: Message
    kerf_mm: float
    allowance_mm: float


@dataclass(frozen=True, slots=True)
class Effort:
    """What the work costs, and how near its cuts come to the least there can be.

    Parameters
    ----------
    time_min : Band
        Working time [min].
    consumables : tuple of (Message, Band)
        What is used up, named, in pieces.
    cut_mm : float
        Length along the kerf centres [mm]: perimeter, cuts across and windows.
    bound_mm : float
        What no plan of straight cuts along and across the opening can go below under the job's limits [mm].
    bound_any_mm : float
        What no cuts of any shape can go below [mm].
    overcut_mm : float
        Run-out on the face, all cuts together [mm].
    """

    time_min: Band
    consumables: tuple[tuple[Message, Band], ...]
    cut_mm: float
    bound_mm: float
    bound_any_mm: float
    overcut_mm: float

    @property
    def ratio(self) -> float:
        """Cut length over its lower bound [1]."""
        return self.cut_mm / self.bound_mm if self.bound_mm > 0.0 else 1.0


@dataclass(frozen=True, slots=True)
class OpeningPlan:
    """The whole plan to cut one opening.

    ``drills`` holds every hole, windows among them; ``order`` the sections as they fall; ``proof`` names what the
    simulation has shown, empty where it failed; ``worth`` what the modified skin is worth at each pad.
    """

    line: Contour
    drills: tuple[Drill, ...]
    sections: tuple[Section, ...]
    order: tuple[int, ...]
    bridges: tuple[Cut, ...]
    rib_parts: tuple[RibPart, ...]
    steps: tuple[Step, ...]
    bracing: Bracing
    datum: DatumPlan
    tools: ToolUse
    effort: Effort
    proof: tuple[Message, ...]
    findings: tuple[Finding, ...]
    worth: tuple[PadWorth, ...] = ()

    @property
    def perimeter_mm(self) -> float:
        """Length of the line [mm]."""
        return self.line.length
