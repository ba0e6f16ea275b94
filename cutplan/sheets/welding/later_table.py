"""Sleeves and ribs as lines after the stitches: what, how long, heat, wait, and what each does to the face."""

from __future__ import annotations

from typing import TYPE_CHECKING

from cutplan.sheets.page import CELL, Builder
from cutplan.texts import name, number, say, template
from cutplan.texts.render import shown as said
from cutplan.units import format_length
from cutplan.welding.later.words import later_words
from cutplan.welding.words import shown

if TYPE_CHECKING:
    from cutplan.welding.later.result import LaterWeld
    from cutplan.welding.result import WeldPlan

_WHAT = {
    "sleeve": template("{name}: sleeve, {count} quarters, each across from the one before"),
    "rib": template("{name}: rib, {count} sides in turn, as far as you reach behind"),
}
_HEAD = (say("no."), say("weld"), say("each"), say("heat"), say("wait up to"), say("shrinks"), say("pads after it"))


def later_table(b: Builder, plan: WeldPlan) -> None:
    """Write the welds after the stitches; nothing where there are none."""
    if not plan.later:
        return
    head = ["", *(b.say(h) for h in _HEAD)]
    rows = [_row(b, weld) for weld in plan.later]
    title = b.say(say("After the last stitch, once all is cold"))
    b.table([head, *rows], (0.04, 0.08, 0.27, 0.1, 0.12, 0.09, 0.15, 0.15), CELL, tag="later-welds", title=title)
    words = say("Heat, waits and shrinkage are for fillets by the tables, in the plate alone.")
    beyond = say("None of it is in the order above: read the dials before and after each of these.")
    told = later_words(plan.order) or (beyond,)
    b.para(" ".join(b.say(w) for w in (words, *told)), CELL)


def _row(b: Builder, weld: LaterWeld) -> list[str]:
    last = weld.first + weld.beads - 1
    return [
        "☐",
        f"{weld.first}–{last}",
        b.say(_WHAT[weld.kind].fill(name=name(weld.name), count=number(weld.beads, "", 0))),
        format_length(weld.length_mm, b.job.shown.display),
        said(shown(weld.heat_kJ, 0), b.read),
        said(number(weld.wait_s, "s", 0), b.read) if weld.wait_s >= 0.5 else "–",
        said(shown(weld.shrink_mm, 2), b.read),
        said(shown(weld.after_mm, 2), b.read) if weld.after_mm is not None else "–",
    ]
