"""Rules for holes and leads by process: smallest hole, slow holes, pierce clearance, lead length, overburn."""

from __future__ import annotations

from cutplan.errors import CutplanError
from cutplan.tables.cutting.cut_process import PROCESSES, LeadRule
from cutplan.texts import code, every, say

__all__ = ["LeadRule", "lead_rule"]

#: Processes that are guided by a machine and pierce the plate.
TABLE_PROCESSES = tuple(key for key, facts in PROCESSES.items() if not facts.by_hand)
#: Processes led by hand along a line.
HAND_PROCESSES = tuple(key for key, facts in PROCESSES.items() if facts.by_hand)
#: Largest round hole that is drilled rather than sawn when working by hand [mm] (source key: own).
HAND_DRILL_MM = 40.0
#: Hole size over thickness below which a job shop warns [1] (source key: jobshop).
JOBSHOP_CLEAN = 3.0
#: Metal between two cut holes over thickness [1] (source key: service).
LEAST_WEB = 1.5
#: Narrowest feature that a service guide accepts [mm] (source key: service).
LEAST_FEATURE_MM = 2.0
#: Width of a holding tab [mm] (source key: service, 3 to 5).
TAB_MM = 4.0
#: Two cuts one after the other nearer than this many thicknesses add their heat [1] (source key: own).
HEAT_GAP = 3.0
#: Bends tighter than this radius [mm] that turn by more than this [rad] are slowed down for (from memory).
TIGHT_MM = 3.0
TIGHT_RAD = 0.5
#: Share of the feed in such bends [1], from how far before them to how far after them [mm] (from memory).
SLOW_CORNER = 0.7
SLOW_BEFORE_MM = 6.0
SLOW_AFTER_MM = 3.0
#: Travel that keeping two such cuts apart is worth [s] (source key: own).
COOL_TRAVEL_S = 3.0
#: Re-entrant corner radius: least [mm] (source key: en1090-corner), and sensible: thicknesses [1] and floor [mm] (own).
CORNER_LEAST_MM = 5.0
CORNER_THICKNESSES = 3.0
CORNER_FLOOR_MM = 8.0


#: Rules of the processes that pierce (source keys: hole-memory, lead-memory).
RULES: dict[str, LeadRule] = {key: facts.lead for key, facts in PROCESSES.items() if facts.lead is not None}


def lead_rule(process: str) -> LeadRule:
    """Return the rule of a process that pierces.

    Raises
    ------
    CutplanError
        For a process led by hand, which has no leads.
    """
    if process not in RULES:
        raise CutplanError(
            say("{process} has no pierce and no lead", process=code(process)),
            hint=say("use one of {known}", known=every(RULES)),
        )
    return RULES[process]
