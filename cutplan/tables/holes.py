"""Rules for holes and leads by process: smallest hole, slow holes, pierce clearance, lead length, overburn."""

from __future__ import annotations

from dataclasses import dataclass

from cutplan.errors import CutplanError

#: Processes that are guided by a machine and pierce the plate.
TABLE_PROCESSES = ("air plasma", "laser", "waterjet", "oxyfuel")
#: Processes led by hand along a line.
HAND_PROCESSES = ("cut-off disc", "jigsaw", "hacksaw")
#: Largest round hole that is drilled rather than sawn when working by hand [mm] (source key: own).
HAND_DRILL_MM = 40.0
#: Hole size over thickness below which a service guide warns [1] (source key: service), and a job shop [1] (jobshop).
SERVICE_LEAST = 1.5
JOBSHOP_CLEAN = 3.0
#: Metal between two cut holes over thickness [1] (source key: service).
LEAST_WEB = 1.5
#: Narrowest feature that a service guide accepts [mm] (source key: service).
LEAST_FEATURE_MM = 2.0
#: Width of a holding tab [mm] (source key: service, 3 to 5).
TAB_MM = 4.0
#: Two cuts one after the other nearer than this many thicknesses add their heat [1] (source key: own).
HEAT_GAP = 3.0
#: Re-entrant corner radius: least [mm] (source key: en1090-corner), and sensible: thicknesses [1] and floor [mm] (own).
CORNER_LEAST_MM = 5.0
CORNER_THICKNESSES = 3.0
CORNER_FLOOR_MM = 8.0


@dataclass(frozen=True, slots=True)
class LeadRule:
    """What a process needs where it starts; all but the service guide's figures are trade practice from memory.

    Parameters
    ----------
    hole_thicknesses, hole_kerfs, hole_floor_mm : float
        Smallest hole: the largest of thickness times [1], kerf times [1] and a floor [mm].
    clear_thicknesses, clear_kerfs, clear_floor_mm : float
        Pierce centre to any finished edge, likewise.
    lead_thicknesses, lead_kerfs, lead_floor_mm : float
        Length of the lead-in, likewise.
    slow_thicknesses, slow_mm : float
        Holes below thickness times [1] or this diameter [mm] are cut slowly and get no lead-out.
    slow_speed : float
        Share of the feed in slow holes [1].
    overburn_mm : float
        Cut past the closure on larger contours [mm].
    lead_out_mm : float
        Lead-out on larger contours [mm].
    """

    hole_thicknesses: float
    hole_kerfs: float
    hole_floor_mm: float
    clear_thicknesses: float
    clear_kerfs: float
    clear_floor_mm: float
    lead_thicknesses: float
    lead_kerfs: float
    lead_floor_mm: float
    slow_thicknesses: float
    slow_mm: float
    slow_speed: float
    overburn_mm: float
    lead_out_mm: float

    def least_hole_mm(self, thickness_mm: float, kerf_mm: float) -> float:
        """Return the smallest hole that may be cut [mm]."""
        return max(self.hole_thicknesses * thickness_mm, self.hole_kerfs * kerf_mm, self.hole_floor_mm)

    def clear_mm(self, thickness_mm: float, kerf_mm: float) -> float:
        """Return the least distance from the pierce to any finished edge [mm]."""
        return max(self.clear_thicknesses * thickness_mm, self.clear_kerfs * kerf_mm, self.clear_floor_mm)

    def lead_mm(self, thickness_mm: float, kerf_mm: float) -> float:
        """Return the length of the lead-in where there is room [mm]."""
        return max(self.lead_thicknesses * thickness_mm, self.lead_kerfs * kerf_mm, self.lead_floor_mm)

    def is_slow(self, diameter_mm: float, thickness_mm: float) -> bool:
        """Return whether a hole counts as small: slow, no lead-out, no overburn."""
        return diameter_mm < max(self.slow_thicknesses * thickness_mm, self.slow_mm)


#: Rules by process (source keys: hole-memory, lead-memory).
RULES: dict[str, LeadRule] = {
    "air plasma": LeadRule(2.0, 4.0, 5.0, 1.0, 2.0, 2.0, 1.5, 3.0, 5.0, 5.0, 32.0, 0.6, 3.0, 4.0),
    "laser": LeadRule(1.0, 4.0, 1.0, 0.5, 2.0, 0.5, 1.0, 3.0, 2.0, 2.0, 0.0, 0.8, 0.5, 0.0),
    "waterjet": LeadRule(0.5, 2.5, 2.5, 0.2, 1.2, 1.0, 0.5, 2.0, 3.0, 1.0, 0.0, 0.8, 1.0, 2.0),
    "oxyfuel": LeadRule(2.0, 5.0, 12.0, 1.0, 2.0, 5.0, 1.5, 3.0, 8.0, 5.0, 32.0, 0.8, 3.0, 5.0),
}


def lead_rule(process: str) -> LeadRule:
    """Return the rule of a process that pierces.

    Raises
    ------
    CutplanError
        For a process led by hand, which has no leads.
    """
    if process not in RULES:
        raise CutplanError(f"{process} has no pierce and no lead", hint="use one of " + ", ".join(RULES))
    return RULES[process]
