"""The tools for one opening and the numbers that follow from skin, disc and what stands round it."""

from __future__ import annotations

from dataclasses import dataclass

from cutplan.geometry.contour import Contour
from cutplan.opening.cuts.disc import chord_mm, run_out_mm
from cutplan.opening.cuts.surroundings import Surroundings, around, surroundings
from cutplan.pattern.job import Job
from cutplan.tables.by_hand.drills_opening import BREAKTHROUGH_MM, CLEAR_BEHIND_MM, TOUCH_MM
from cutplan.tables.by_hand.hand_tools import TOOLS, disc_reach_mm


@dataclass(frozen=True, slots=True)
class Toolset:
    """The tools for one opening.

    Parameters
    ----------
    main, second : str
        Tool for straight cuts; tool for curves and stubs.
    disc_mm : float
        Disc diameter [mm].
    skin_mm : float
        Skin thickness [mm].
    depth_mm, touch_mm : float
        Depth below the face in free skin, and over a rib or an unmeasured space [mm].
    run_out_mm : float
        Largest run-out of the disc, at the touching depth [mm]; 0 for another tool.
    slot_mm : float
        Shortest slot on the face [mm]; 0 for another tool.
    tee_mm : float
        Hole wanted where a cut across meets the line [mm]; 0: none needed.
    entry_mm : float
        Hole that the main tool needs to start [mm].
    reach_mm : float
        Deepest that a disc can go [mm].
    around : Surroundings
        What stands round and behind the cuts.
    """

    main: str
    second: str
    disc_mm: float
    skin_mm: float
    depth_mm: float
    touch_mm: float
    run_out_mm: float
    slot_mm: float
    tee_mm: float
    entry_mm: float
    reach_mm: float
    around: Surroundings

    @property
    def least_line_mm(self) -> float:
        """Shortest length that the disc cuts right through in one plunge [mm]."""
        return self.slot_mm - 2.0 * self.run_out_mm

    def depth_of(self, tool: str, near_rib: bool) -> float:
        """Return how deep a tool goes below the face [mm]: a blade as far as it reaches, others by their setting."""
        blade = self.around.size(tool).blade_mm
        if blade > 0.0:
            return blade
        return self.touch_mm if near_rib or TOOLS[tool].depth_set else self.depth_mm


def toolset(job: Job, line: Contour | None = None) -> Toolset:
    """Return the tools for a job's opening. A disc that cannot come through the skin gives way to a jigsaw.

    Parameters
    ----------
    job : Job
        Skin, wishes, brace.
    line : Contour or None
        Net line of the opening, for the brace that stands beside it [mm]; None: without a brace.
    """
    work, t = job.opening, job.skin.thickness_mm
    free = job.skin.box_depth_mm
    touch = t + TOUCH_MM
    depth = touch if free is None else t + max(TOUCH_MM, min(BREAKTHROUGH_MM, free - CLEAR_BEHIND_MM))
    main = work.tool
    disc, reach = work.disc_diameter_mm, disc_reach_mm(work.disc_diameter_mm)
    if main == "cut-off disc" and reach < touch:
        main = "jigsaw"
    near = around(job, ()) if line is None else surroundings(job, line)
    if main != "cut-off disc":
        entry = TOOLS[main].entry_mm
        return Toolset(main, main, disc, t, depth, touch, 0.0, 0.0, entry, entry, reach, near)
    run_out = run_out_mm(disc, touch, t)
    tee = min(14.0, float(int(run_out + 2.0)))
    slot = chord_mm(disc, touch)
    return Toolset(main, "jigsaw", disc, t, min(depth, reach), touch, run_out, slot, tee, 0.0, reach, near)
