"""What a welder is told besides the numbers: backing, ends of stitches, steps in thickness, looking, and the level."""

from __future__ import annotations

from typing import TYPE_CHECKING

from cutplan.texts import Message, inch_or_mm, mm, number, say, span
from cutplan.welding.words import shown

if TYPE_CHECKING:
    from cutplan.pattern.job import Job
    from cutplan.welding.result import WeldPlan
    from cutplan.welding.stitches.joint import WeldJoint

#: Laid over wanted section from which the sheet says where the rest goes [1] (our own).
MORE_LAID = 1.2
#: Gap over a strip tacked behind [mm] (common practice).
BACKED_GAP_MM = 2.0
#: Step in thickness that is worth a word [1] (our own).
STEP = 1.3


def wire_words(plan: WeldPlan) -> Message:
    """Return why feed and joint ask for different wire; empty where they agree."""
    if plan.uses.laid_mm2 <= MORE_LAID * plan.joint.section_mm2:
        return Message("")
    return say(
        "At these settings {laid} are laid where the joint takes {joint}: the rest is cap, root and spatter, unless you "
        "travel faster. Have wire for the upper end of {wire}.",
        laid=number(plan.uses.laid_mm2, "mm2", 1),
        joint=number(plan.joint.section_mm2, "mm2", 1),
        wire=shown(plan.uses.wire_kg, 3),
    )


def _blind(joint: WeldJoint) -> Message:
    """How a root is helped that nobody sees: nothing is advised that the joint has already."""
    wider = joint.gap_mm < BACKED_GAP_MM
    return say(
        "Welded blind from one side, the root decides. Where you can reach behind, hold a copper bar to it. Where "
        "not, tack a strip of the same steel, {thick} thick and {wide} wide, behind the skin's edge{wider}{bevel}.",
        thick=span(1.5, 2.0, digits=None),
        wide=mm(15.0, None),
        wider=say(" and open the gap to {gap}", gap=mm(BACKED_GAP_MM, None)) if wider else Message(""),
        bevel=say(", or bevel both edges to 30 degrees") if joint.kind == "square butt" else Message(""),
    )


def practice(job: Job, plan: WeldPlan) -> tuple[Message, ...]:
    """Return what is common practice at the bench, for this joint."""
    joint = plan.joint
    said = []
    if joint.leg_mm == 0.0:
        said.append(_blind(joint))
    said.append(
        say(
            "Run each stitch {over} onto the one before it. Grind its start thin. Stay on the crater until it is full.",
            over=mm(4.7625, 0),
        )
    )
    if joint.thick_mm > STEP * joint.thin_mm:
        said.append(
            say(
                "From {thick} to {thin}: aim the arc two thirds at the thick part. Where loads alternate, grind its "
                "edge down 1 in 4.",
                thick=inch_or_mm(joint.thick_mm, None),
                thin=inch_or_mm(joint.thin_mm, None),
            )
        )
    said.append(
        say(
            "When cold, look with a magnifier or dye penetrant: cracks at starts, craters and corners, undercut along the "
            "thin side, roots that are not through."
        )
        if joint.leg_mm == 0.0
        else say(
            "When cold, look with a magnifier or dye penetrant: cracks at starts, craters and corners, undercut along the "
            "skin, an edge of the plate that is melted away. The root is seen on the broken trial piece only."
        )
    )
    said.append(
        say(
            "Level C of ISO 5817 is drawn; level B where loads alternate, as at a mount they do. The vehicle's maker or the "
            "engineer in charge decides, not this sheet."
        )
    )
    return tuple(said)
