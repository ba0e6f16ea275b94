"""How the user wants the work done: cutting, opening by hand, welding, paper and marks."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, TypeAlias

from cutplan.geometry.vector import Point
from cutplan.tables.by_hand.tool_bodies import ToolSize
from cutplan.tables.cutting.cut_process import PROCESSES
from cutplan.tables.cutting.holes import COOL_TRAVEL_S

#: Name of a cutting process, one of ``CUT_PROCESSES``.
CutProcess: TypeAlias = str
CUT_PROCESSES: tuple[CutProcess, ...] = tuple(PROCESSES)
HandTool = Literal["cut-off disc", "jigsaw", "reciprocating saw", "hacksaw", "hand plasma"]
HAND_TOOLS: tuple[HandTool, ...] = ("cut-off disc", "jigsaw", "reciprocating saw", "hacksaw", "hand plasma")
WeldProcess = Literal["GMAW", "GTAW"]
#: Welding positions that a job may name (ISO 6947): flat, on an upright face, upward, downward, overhead.
WELD_POSITIONS: tuple[str, ...] = ("PA", "PC", "PF", "PG", "PE")
#: Orders of welding that a job may name; the last one is searched for.
WELD_ORDERS: tuple[str, ...] = (
    "opposite pairs",
    "sectors",
    "skip",
    "once round, back-step",
    "once round",
    "ends last",
    "computed order",
)


@dataclass(frozen=True, slots=True)
class Cutting:
    """How the plate is cut.

    Parameters
    ----------
    process : CutProcess
        What cuts the plate.
    kerf_mm : float or None
        Kerf stated in the job [mm]; None: shop file, else cited table.
    kerf_sure : bool
        The stated kerf is right although it lies outside what is published.
    current_A : float or None
        Plasma current [A] for the table; None: chosen from the thickness.
    speed_mm_per_min : float or None
        Feed [mm/min] for the time estimate; None: table.
    cut_bolt_holes : bool
        Overrule the practice that bolt holes in a structural part are drilled; the sheet then says so.
    reversed_swirl : bool
        Squarer side on the left of travel instead of the right.
    tabs : int
        Holding tabs left in the outline.
    lead_mm : float or None
        Length of the lead-ins [mm]; None: the process's rule.
    overburn_mm : float or None
        Cut past the closure on contours that get one [mm]; None: the process's rule.
    torch_on : bool
        Whether the program for the table lights the torch; else it is a dry run.
    cool_travel_s : float
        Travel that keeping two cuts with a thin web between them apart in time may cost [s].
    reference_square : bool
        Draw a 100 mm square on a layer that is not cut.
    dxf_version : {"R2000", "R12"}
        Version of the DXF files.
    """

    process: CutProcess = "air plasma"
    kerf_mm: float | None = None
    kerf_sure: bool = False
    current_A: float | None = None
    speed_mm_per_min: float | None = None
    cut_bolt_holes: bool = False
    reversed_swirl: bool = False
    tabs: int = 0
    lead_mm: float | None = None
    overburn_mm: float | None = None
    torch_on: bool = False
    cool_travel_s: float = COOL_TRAVEL_S
    reference_square: bool = False
    dxf_version: Literal["R2000", "R12"] = "R2000"


@dataclass(frozen=True, slots=True)
class OwnTool:
    """A tool of this shop by name, with the sizes that decide where it fits."""

    name: str
    size: ToolSize


@dataclass(frozen=True, slots=True)
class OpeningWork:
    """How the opening is cut out of the skin by hand.

    Parameters
    ----------
    tool : HandTool
        The tool for straight cuts.
    disc_diameter_mm, disc_thickness_mm : float
        Size of the cut-off disc [mm].
    allowance_mm : float
        Metal left inside the line for dressing [mm].
    longest_section_mm : float
        Longest side of a section that falls [mm].
    heaviest_section_kg : float
        Heaviest section [kg].
    corner_drill_mm : float or None
        Drill for the corners [mm]; None: from the corner radius and the minimum that limits cracking.
    tools : tuple of OwnTool
        The shop's own tools where they differ from middling ones.
    """

    tool: HandTool = "cut-off disc"
    disc_diameter_mm: float = 125.0
    disc_thickness_mm: float = 1.0
    allowance_mm: float = 1.0
    longest_section_mm: float = 200.0
    heaviest_section_kg: float = 2.0
    corner_drill_mm: float | None = None
    tools: tuple[OwnTool, ...] = ()


@dataclass(frozen=True, slots=True)
class Welding:
    """How the plate is welded in.

    Parameters
    ----------
    process : {"GMAW", "GTAW"}
        Arc process.
    current_A, voltage_V, speed_mm_per_s : float or None
        Settings; all None: from the cited table for the thickness.
    wire_mm : float or None
        Wire or rod diameter [mm].
    stitch_mm, tack_mm, tack_spacing_mm : float or None
        Lengths along the joint [mm]; None: from the cited rules.
    interpass_C : float
        Highest temperature at the start of the next bead [degC].
    ambient_C : float
        Temperature of the metal before welding [degC].
    orders : int
        How hard the search may try; more than 2,000 rarely gains what the band could show.
    position : str or None
        Position by ISO 6947; None: by the direction of up on the face, flat where that is not known.
    order : str or None
        Name of the order to weld, such as ``opposite pairs``; None leaves the choice to the comparison.
    """

    process: WeldProcess = "GMAW"
    current_A: float | None = None
    voltage_V: float | None = None
    speed_mm_per_s: float | None = None
    wire_mm: float | None = None
    stitch_mm: float | None = None
    tack_mm: float | None = None
    tack_spacing_mm: float | None = None
    interpass_C: float = 100.0
    ambient_C: float = 20.0
    orders: int = 2000
    order: str | None = None
    position: str | None = None


@dataclass(frozen=True, slots=True)
class PaperWish:
    """Paper for the templates.

    Parameters
    ----------
    name : str
        ``A4``, ``A3``, ``Letter``, ``Tabloid``, ``roll`` or ``custom``.
    width_mm, height_mm : float
        Sheet size in portrait [mm]; for a roll the width is the roll's and the height is free (0).
    margin_mm : float
        Border that the printer cannot reach [mm].
    overlap_mm : float
        Overlap of neighbouring tiles [mm].
    printer : str
        Name of the printer's calibration in the shop file.
    """

    name: str = "A4"
    width_mm: float = 210.0
    height_mm: float = 297.0
    margin_mm: float = 10.0
    overlap_mm: float = 12.0
    printer: str = "default"


@dataclass(frozen=True, slots=True)
class Marks:
    """Directions and reference lines printed on templates and sheets.

    Parameters
    ----------
    forward_deg, up_deg, left_deg : float or None
        Direction of the vehicle's front, of up, and of the vehicle's left side on the plate [deg], counter-clockwise
        from +x; None for what points out of the plate: up on one that lies flat, forward on a crossmember's face.
    side_out : str
        Which face is seen in the drawing, such as ``outside`` or ``rear face``.
    hand : str
        ``left``, ``right`` or empty.
    mirrored_copy : bool
        Also make the templates of the other hand.
    datum : tuple of (Point, Point)
        Datum lines [mm].
    """

    forward_deg: float | None = 90.0
    up_deg: float | None = None
    left_deg: float | None = None
    side_out: str = "outside"
    hand: Literal["", "left", "right"] = ""
    mirrored_copy: bool = False
    datum: tuple[tuple[Point, Point], ...] = ()

    @property
    def arrows(self) -> tuple[tuple[str, float], ...]:
        """What is known of the vehicle's directions: (forward, up or left, degrees), in this order."""
        all_ = (("forward", self.forward_deg), ("up", self.up_deg), ("left", self.left_deg))
        return tuple((name, deg) for name, deg in all_ if deg is not None)


@dataclass(frozen=True, slots=True)
class TubeWrap:
    """A wrap template: the saddle of a round branch tube on a round main tube.

    Parameters
    ----------
    name : str
        Label.
    branch_mm, main_mm : float
        Outside diameters [mm]; ``main_mm`` 0 gives a plain mitre.
    wall_mm : float
        Wall of the branch [mm].
    angle_deg : float
        Angle between the axes [deg], above 0 to 90.
    offset_mm : float
        Distance between the axes [mm].
    """

    name: str
    branch_mm: float
    main_mm: float
    wall_mm: float
    angle_deg: float = 90.0
    offset_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class Flange:
    """A simple bent flange whose flat pattern is wanted (DIN 6935).

    Parameters
    ----------
    name : str
        Label.
    legs_mm : tuple of float
        Outside lengths of the legs [mm], in order.
    angles_deg : tuple of float
        Opening angle of each bend [deg], one fewer than legs.
    width_mm : float
        Width of the strip [mm].
    thickness_mm, radius_mm : float
        Sheet thickness and inside bend radius [mm].
    ways : tuple of {"up", "down"}
        Which way each bend goes, seen on the printed side; empty: all up.
    """

    name: str
    legs_mm: tuple[float, ...]
    angles_deg: tuple[float, ...]
    width_mm: float
    thickness_mm: float
    radius_mm: float
    ways: tuple[str, ...] = ()
