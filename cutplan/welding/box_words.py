"""What is said about bands that reach over boxes of other sizes because nobody measured the box, and how to measure it."""

from __future__ import annotations

from cutplan.pattern.job import Job
from cutplan.texts import Message, code, every, mm, name, say, template
from cutplan.texts.values import Value
from cutplan.welding.distortion.unmeasured import BOX_DEPTH_MM, RIB_DEPTH_MM

_SIDES = {
    "left": template("{distance} to the left wall"),
    "right": template("{distance} to the right wall"),
    "bottom": template("{distance} to the bottom wall"),
    "top": template("{distance} to the top wall"),
}

#: Boxes that orders of a seam are compared in that is too long for all.
FEW_BOXES = 2


def box_words(job: Job, boxes: int = 1) -> tuple[Message, ...]:
    """Return that the bands reach over boxes of other sizes where nobody measured the box, and how to measure it.

    Parameters
    ----------
    job : Job
        Its skin, walls and ribs.
    boxes : int
        Boxes that orders were compared in [1].
    """
    skin = job.skin
    taken: list[Value] = [_SIDES[s].fill(distance=mm(skin.walls.mm(s), 0)) for s in skin.walls.assumed]
    how: list[Value] = []
    if taken:
        how.append(
            say("from the line of the opening to the bend of the skin on each side ({this})", this=code("[skin.walls]"))
        )
    if skin.box_depth_mm is None:
        taken.append(say("{depth} for the depth of the box", depth=mm(BOX_DEPTH_MM, 0)))
        how.append(
            say("from the skin to the wall behind it with a rod through a hole ({this})", this=code("[skin] box_depth"))
        )
    ribs = [r.name for r in skin.ribs if r.joined and r.depth_mm is None]
    sheets = {r.name: r.thickness_mm for r in skin.ribs if r.joined and r.thickness_assumed}
    if ribs:
        taken.append(
            say("{depth} for the depth of {ribs}", depth=mm(RIB_DEPTH_MM, 0), ribs=every([name(r) for r in ribs]))
        )
    if sheets:
        thick, named = mm(next(iter(sheets.values())), None), every([name(r) for r in sheets])
        taken.append(say("{sheet} for the sheet of {ribs}", sheet=thick, ribs=named))
    if ribs or sheets:
        keys = {"depth": ribs, "thickness": sheets}
        this = code("[[skin.rib]] " + ", ".join(key for key, some in keys.items() if some))
        how.append(say("ribs from behind, once the first section is out ({this})", this=this))
    if boxes == FEW_BOXES:
        return (_long(taken),)
    if not taken:
        return ()
    text = say(
        "Nobody measured all of the box: taken are {taken}. The bands reach over half to twice of each, all small or all large "
        "together. Measure {how}; then the bands are those of this box.",
        taken=every(taken),
        how=every(how),
    )
    return (text,)


def _long(taken: list[Value]) -> Message:
    """What was not varied of a seam that is too long for all boxes."""
    if not taken:
        return say(
            "The seam is long: only the stiffest and the softest box were followed, in eight drawn cases, and the height of the weld "
            "was taken as known. So the bands are rough, and more likely too narrow than too wide."
        )
    return say(
        "The seam is long: only the stiffest and the softest box were followed, in eight drawn cases. The height of the weld and what "
        "nobody measured were taken as known: {taken}. So the bands are rough, and more likely too narrow than too wide.",
        taken=every(taken),
    )
