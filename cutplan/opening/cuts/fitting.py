"""Which tool follows a run that a disc cannot: the wanted one where its body, its blade and its tightest curve allow."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf

from cutplan.geometry.flatten import flatten_segment
from cutplan.geometry.segment import Arc, Segment
from cutplan.opening.cuts.toolset import Toolset
from cutplan.opening.cuts.waste import Waste
from cutplan.tables.by_hand.drills_opening import CLEAR_BEHIND_MM
from cutplan.tables.by_hand.hand_tools import ROW_MM, TOOLS

#: What is tried after the wanted tool, best first; a row of drilled holes goes nearly everywhere.
OTHERS = ("jigsaw", "hacksaw", "drilled row")
#: A slot may pass the line by no more than this [mm].
_SLACK_MM = 0.02


@dataclass(frozen=True, slots=True)
class Piece:
    """One cut before it has a name; see :class:`cutplan.opening.model.Cut`."""

    path: tuple[Segment, ...]
    reach: tuple[Segment, ...]
    tool: str
    depth_mm: float
    run_out_mm: float

    @property
    def length_mm(self) -> float:
        return sum(s.length for s in self.path)


def fitting_piece(waste: Waste, run: Sequence[Segment], kit: Toolset, wanted: str, start_mm: float = inf) -> Piece:
    """Return a run cut by a saw, a torch or a row of drilled holes: no run-out.

    Parameters
    ----------
    waste : Waste
        Where it lies, with the ribs behind it.
    run : sequence of Segment
        What is cut [mm].
    kit : Toolset
        Tools and what stands round them.
    wanted : str
        The tool to take where it fits.
    start_mm : float
        The hole at its ends that a blade goes in at [mm]; infinite where it starts at another cut.

    Notes
    -----
    Where nothing fits the wanted tool is named: the simulation of the plan then says what is in its way.
    """
    order = (wanted, *(t for t in OTHERS if t != wanted))
    tool = next((t for t in order if TOOLS[t].entry_mm <= start_mm + 1e-9 and fits(waste, run, t, kit)), wanted)
    return Piece(tuple(run), tuple(run), tool, kit.depth_of(tool, bool(waste.ribs_near(run))), 0.0)


def fits(waste: Waste, run: Sequence[Segment], tool: str, kit: Toolset) -> bool:
    """Whether a saw, a torch or a row of drilled holes can follow a run.

    Notes
    -----
    A blade strokes and a jet goes on: neither can be held off a rib, nor be set shallower than it is long. So near a rib
    only what has a depth stop fits, and a blade needs its own length of room behind the skin.
    """
    facts = TOOLS[tool]
    if any(isinstance(s, Arc) and s.radius < facts.tightest_mm - 1e-6 and s.length > 2.0 for s in run):
        return False
    near = bool(waste.ribs_near(run))
    if near and not facts.depth_set:
        return False
    depth, free = kit.depth_of(tool, near), kit.around.free_mm
    if free is not None and depth - kit.skin_mm + CLEAR_BEHIND_MM > free + 1e-9:
        return False
    if tool == "drilled row" and not _row_inside(waste, run):
        return False
    return kit.around.clear(run, tool, depth, above_only=True)


def _row_inside(waste: Waste, run: Sequence[Segment]) -> bool:
    """Whether a row of holes stays inside the net line."""
    from shapely import LineString

    points = [run[0].start, *(p for s in run for p in flatten_segment(s, 0.05)[1:])]
    row = LineString(points).buffer(0.5 * ROW_MM, quad_segs=4)
    return bool(waste.line_slack(_SLACK_MM).covers(row))
