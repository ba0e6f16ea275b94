"""What planning a cut gives: the kerf and its spread, what is cut and what is only marked, paths, order and totals."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from cutplan.findings import Finding
from cutplan.geometry.contour import Contour
from cutplan.geometry.region import Region
from cutplan.geometry.segment import Line, Segment
from cutplan.geometry.vector import Point
from cutplan.pattern.plate import Hole
from cutplan.tables.band import Band
from cutplan.texts import Message, say
from cutplan.texts import name as name_of

KerfSource = Literal["shop", "job", "table"]
LeadKind = Literal["arc", "straight", "none"]


@dataclass(frozen=True, slots=True)
class Kerf:
    """The kerf used: value [mm], band and source; ``x_mm`` and ``y_mm`` differ where the shop measured both axes."""

    value_mm: float
    band: Band
    origin: KerfSource
    x_mm: float
    y_mm: float

    @property
    def measured(self) -> bool:
        return self.origin == "shop"


@dataclass(frozen=True, slots=True)
class Drilled:
    """A hole that is marked and drilled instead of cut.

    Parameters
    ----------
    name : str
        Name of the hole; a slot gives two entries with ``a`` and ``b`` added.
    centre : Point
        Where to punch [mm].
    diameter_mm : float
        Finished size [mm].
    pilot_mm : float
        Pilot drill [mm]; 0 when none is needed.
    bolt : str
        Thread it is for, empty when unknown.
    fit : Message or str
        ISO 273 class for the thread named, or a likely thread, or empty.
    reason : Message
        Why it is not cut.
    how : Message
        Drill, hole saw, or the way to make a slot or another shape.
    """

    name: str
    centre: Point
    diameter_mm: float
    pilot_mm: float
    bolt: str
    fit: Message | str
    reason: Message
    how: Message


@dataclass(frozen=True, slots=True)
class CutPath:
    """One cut of the torch centre from pierce to lift, exact lines and arcs [mm].

    Parameters
    ----------
    name : str
        ``outline``, ``outline 2 of 3`` between tabs, or the hole's name.
    inner : bool
        Whether it cuts a hole.
    lead_in, cut, lead_out : tuple of Segment
        In travel order; ``lead_out`` starts with the overburn along the cut. Empty leads where none is needed.
    lead : {"arc", "straight", "none"}
        Kind of the lead-in.
    speed_share : float
        Share of the feed [1]: small holes are cut slowly.
    clear_mm : float
        Distance from the pierce centre to the nearest finished edge [mm]; 0 without a pierce.
    note : Message
        What the person at the table must know about this cut.
    part : (int, int)
        Which piece of the outline it is, and of how many: more than one where tabs are left.
    half_mm : float
        Distance of the cut from the net edge: half the kerf of its class, zero for a trial piece [mm].
    """

    name: str
    inner: bool
    lead_in: tuple[Segment, ...]
    cut: tuple[Segment, ...]
    lead_out: tuple[Segment, ...]
    lead: LeadKind
    speed_share: float = 1.0
    clear_mm: float = 0.0
    note: Message = Message("")
    part: tuple[int, int] = (1, 1)
    half_mm: float = 0.0

    @property
    def segments(self) -> tuple[Segment, ...]:
        """Everything that is burnt, in travel order."""
        return (*self.lead_in, *self.cut, *self.lead_out)

    @property
    def called(self) -> Message:
        """What the cut is called: the hole's name, the outline or a piece of it."""
        if self.inner:
            return say("{hole}", hole=name_of(self.name))
        if self.part[1] == 1:
            return say("outline")
        return say("outline {piece} of {all}", piece=self.part[0], all=self.part[1])

    @property
    def pierce(self) -> Point:
        """Where the torch starts [mm]."""
        return self.segments[0].start

    @property
    def touch_down(self) -> Point:
        """Where the lead-in meets the cut [mm]."""
        return self.cut[0].start

    @property
    def end(self) -> Point:
        """Where the torch lifts [mm]."""
        return self.segments[-1].end

    @property
    def closed(self) -> bool:
        return self.cut[0].start.distance(self.cut[-1].end) < 1e-6

    @property
    def contour(self) -> Contour:
        """The cut without leads; closed unless tabs are left."""
        return Contour(self.cut)

    @property
    def length_mm(self) -> float:
        """Burnt length with leads [mm]."""
        return sum(s.length for s in self.segments)


@dataclass(frozen=True, slots=True)
class Totals:
    """Sums over the whole plate: lengths [mm], pierces, and the time as a band [s]."""

    cut_mm: float
    rapid_mm: float
    pierces: int
    time_s: Band
    speed_mm_per_min: Band


@dataclass(frozen=True, slots=True)
class Expectation:
    """One thing to expect of the cut plate, from ISO 9013 or marked as not covered.

    Parameters
    ----------
    kind : str
        ``squareness``, ``roughness``, ``size`` or ``whole plate``.
    what : Message
        The quality or the dimension meant.
    nominal_mm : float or None
        The dimension [mm], None for edge qualities.
    limit : float or None
        Plus and minus deviation, or limit of u [mm] or Rz5 [um]; None: not covered.
    unit : str
        Unit of ``limit``.
    covered : bool
        Whether the standard reaches here.
    text : Message
        One sentence for the sheet.
    source : Message or str
        Citation.
    band : Band or None
        What the process usually gives, where something is known.
    """

    kind: str
    what: Message
    nominal_mm: float | None
    limit: float | None
    unit: str
    covered: bool
    text: Message
    source: Message | str
    band: Band | None = None


@dataclass(frozen=True, slots=True)
class Fault:
    """A place where a path fails [mm]: ``bite``, ``rest``, ``inside``, ``edge`` or ``broken``; whose cut, and by how much [mm]."""

    kind: str
    name: str
    at: Point
    size_mm: float


@dataclass(frozen=True, slots=True)
class Proof:
    """What the proof of a path showed.

    Parameters
    ----------
    bite_mm : float
        Deepest bite of the swept kerf into the part [mm]; zero or below: it never touches more than it should.
    rest_mm : float
        Thickest metal left on an edge that the kerf could have reached [mm].
    corner_mm : float
        Thickest metal left where the kerf cannot reach, in inside corners and narrow ends [mm].
    places : int
        Places on edges that were asked for metal left.
    faults : tuple of Fault
        Where the path fails; empty when it is proved.
    """

    bite_mm: float
    rest_mm: float
    corner_mm: float
    places: int
    faults: tuple[Fault, ...]

    @property
    def proved(self) -> bool:
        return not self.faults


@dataclass(frozen=True, slots=True)
class CutPlan:
    """The whole cut of one plate.

    Parameters
    ----------
    process : str
        Cutting process.
    thickness_mm : float
        Plate thickness [mm].
    kerf : Kerf
        Kerf with spread and source.
    net : Region
        The shape wanted: outline and the holes that are cut.
    cut_holes : tuple of Hole
        Holes that are cut.
    drilled : tuple of Drilled
        Holes that are marked and drilled.
    paths : tuple of CutPath
        Cuts in order.
    rapids : tuple of Line
        Moves without cutting: from the home corner to the first pierce, then between cuts.
    totals : Totals
        Sums.
    expectations : tuple of Expectation
        What the cut plate will be like.
    findings : tuple of Finding
        Errors, warnings and notes.
    proof : Proof
        What the proof of the paths showed.
    compensated : bool
        False for a trial piece whose path runs on the net line.
    """

    process: str
    thickness_mm: float
    kerf: Kerf
    net: Region
    cut_holes: tuple[Hole, ...]
    drilled: tuple[Drilled, ...]
    paths: tuple[CutPath, ...]
    rapids: tuple[Line, ...]
    totals: Totals
    expectations: tuple[Expectation, ...]
    findings: tuple[Finding, ...]
    proof: Proof
    compensated: bool = True

    @property
    def kerf_mm(self) -> float:
        """Kerf used [mm]."""
        return self.kerf.value_mm

    @property
    def by_hand(self) -> bool:
        """Whether the process is led by hand along a line, without pierce and leads."""
        return all(p.lead == "none" for p in self.paths) and self.totals.pierces == 0
