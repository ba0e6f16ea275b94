"""What is to be noticed about a weld plan: heat, lift, positions, plug welds, buckling and stress."""

from __future__ import annotations

from cutplan.findings import Finding
from cutplan.pattern.job import Job
from cutplan.texts import every, inch_or_mm, mm, number, say
from cutplan.welding.heat.reach import Reach
from cutplan.welding.heat.wait import Start
from cutplan.welding.result import ShapeAfter
from cutplan.welding.settings.by_position import untabled
from cutplan.welding.shrinkage.buckling import Buckling
from cutplan.welding.shrinkage.restraint import Restraint
from cutplan.welding.stitches.joint import WeldJoint
from cutplan.welding.words import shown

#: Above this the plate's own temperature is worth a note [degC]: the lowest of the heat limits.
INSERT_WARM_C = 80.0


def lift_doubt(shape: ShapeAfter | None, thin_mm: float) -> list[Finding]:
    """Return a warning where the order model lifts a sheet by more than the thinner part's thickness [mm]."""
    if shape is None or shape.largest_mm <= thin_mm:
        return []
    text = say(
        "the order model lifts a sheet by {lift}, more than the thinner part's {thin}: "
        "it is made for small deflections and overstates larger ones",
        lift=mm(shape.largest_mm, 1),
        thin=inch_or_mm(thin_mm, None),
    )
    fix = say("take the ranking of orders from it, not the height; expect the sheet to dish and plan to straighten")
    return [Finding("beyond-small-deflection", "warning", text, "", fix)]


def heat_doubts(job: Job, starts: tuple[Start, ...], reach: Reach) -> list[Finding]:
    """Return what the waits do not reach, and a plate that gets hot as a whole."""
    found = []
    if not all(s.reached for s in starts):
        text = say(
            "{limit} is not reached within half an hour at some bead", limit=number(job.welding.interpass_C, "degC")
        )
        fix = say("allow a higher interpass temperature or blow the part cool from behind")
        found.append(Finding("interpass-not-reached", "warning", text, "welding.interpass", fix))
    if reach.insert_C.high > INSERT_WARM_C:
        text = say("the middle of the plate gets to about {hot} in the course of welding", hot=shown(reach.insert_C, 0))
        fix = say("take rubber, plastic, cables and fluids off the plate whatever their distance from the weld")
        found.append(Finding("insert-gets-hot", "note", text, "plate", fix))
    return found


def stress_doubts(joint: WeldJoint, buckle: Buckling, restraint: Restraint, told: set[str]) -> list[Finding]:
    """Return a skin that may buckle and a weld at yield, each once; ``told`` holds the codes of what was said before."""
    found = []
    if buckle.flagged:
        fix = say("a flag, not a prediction")
        found.append(Finding("may-buckle", "warning", buckle.statement, "skin.walls", fix))
    if restraint.at_yield and joint.line.closed and "weld-at-yield" not in told:
        found.append(Finding("weld-at-yield", "note", restraint.statement, "plate.outline"))
    return found


def position_doubt(job: Job, joint: WeldJoint) -> list[Finding]:
    """Return that the makers' tables are for flat work, wherever a stitch lies otherwise and the job gives no settings."""
    others = untabled(job, joint)
    if not others:
        return []
    return [
        Finding(
            "no-table-for-position",
            "warning",
            say(
                "stitches lie in position {positions} (ISO 6947); no settings are published for it here, "
                "those shown are for flat work",
                positions=every(others),
            ),
            "welding.position",
            say("weld a trial piece in this position first and give its current, voltage and speed in the job"),
        )
    ]


def plug_order(job: Job, joint: WeldJoint) -> tuple[str, ...]:
    """Return the plug welds' holes in their order: each as far from those made as can be.

    Parameters
    ----------
    job : Job
        For the holes.
    joint : WeldJoint
        With the plugs.
    """
    centres = [h.centre for h in job.plate.holes if h.purpose == "plug weld"]
    left = list(range(len(centres)))
    order = [left.pop(0)] if left else []
    while left:
        far = max(left, key=lambda i: (round(min(centres[i].distance(centres[j]) for j in order), 6), -i))
        left.remove(far)
        order.append(far)
    return tuple(joint.plugs[i].hole for i in order)


def plug_note(job: Job, joint: WeldJoint) -> Finding:
    """Return in which order plug welds come, last, each as far from those made as can be."""
    return Finding(
        "plug-welds-last",
        "note",
        say(
            "plug welds are made after the stitches, when the plate is cold, in this order: {names}",
            names=every(plug_order(job, joint)),
        ),
        "plate.holes",
        say("clamp plate and skin together at each; their heat and shrinkage are not in the order model"),
    )
