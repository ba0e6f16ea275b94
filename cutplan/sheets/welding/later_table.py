"""Sleeves and ribs as lines after the stitches: what, how long, wait and the pads after it; what else each does is for the annex."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from cutplan.drawing.font import text_width
from cutplan.drawing.layout import frame
from cutplan.drawing.model import Pen, Text
from cutplan.geometry.vector import Box, Point
from cutplan.sheets.page import CELL, SMALL, Builder
from cutplan.texts import Message, name, number, say, template
from cutplan.texts.render import shown as said
from cutplan.units import format_length
from cutplan.welding.doubts import plug_order
from cutplan.welding.later.words import later_words
from cutplan.welding.words import shown

if TYPE_CHECKING:
    from cutplan.welding.later.result import LaterWeld
    from cutplan.welding.result import WeldPlan

#: How a plug weld is made.
PLUG_HOW = say(
    "At each hole clamp the plate down onto what lies under it; fill it from the outside, round the edge first, then the middle."
)
_WHAT = {
    "sleeve": template("{name}: sleeve, {count} quarters, each across from the one before"),
    "rib": template("{name}: rib, {count} sides in turn, as far as you reach behind"),
}
_HEAD = (say("no."), say("weld"), say("each"), say("wait up to"), say("pads out of flat after it"))
_FIGURES = (say("no."), say("weld"), say("heat"), say("each shrinks across"))
#: Widths of the columns and font size [mm]: an inch with its millimetres is long.
_SHARES = {"mm": (0.04, 0.08, 0.4, 0.13, 0.1, 0.25), "in": (0.03, 0.07, 0.33, 0.2, 0.08, 0.29)}
_SIZE = {"mm": CELL, "in": SMALL}


def later_said(weld: LaterWeld) -> Message:
    """Return what a weld after the stitches is and how its beads follow.

    Parameters
    ----------
    weld : LaterWeld
        A sleeve or a rib.
    """
    return _WHAT[weld.kind].fill(name=name(weld.name), count=number(weld.beads, "", 0))


def later_table(b: Builder, plan: WeldPlan, alone: bool = False) -> None:
    """Write the welds after the stitches as they are done; nothing where there are none. ``alone``: not in the job sheet."""
    if not plan.later:
        return
    head = ["", *(b.say(h) for h in _HEAD)]
    rows = [_row(b, weld) for weld in plan.later]
    title = b.say(say("After the last stitch, once all is cold"))
    b.table([head, *rows], _SHARES[b.job.shown.display], _SIZE[b.job.shown.display], tag="later-welds", title=title)
    words = (
        say(
            "Read the dials before and after each of these. Heat, shrinkage and what they rest on: annex of the job sheet."
        )
        if alone
        else say("Read the dials before and after each of these. Heat, shrinkage and what they rest on: annex.")
    )
    b.para(b.say(words), CELL)


def plug_ticks(b: Builder, plan: WeldPlan) -> None:
    """Write the plug welds as they are done, a box to tick for each; nothing where there are none."""
    names = plug_order(b.job, plan.joint)
    if not names:
        return
    b.heading(b.say(say("Plug welds, after the stitches, once the plate is cold")), 34.0)
    b.para(b.say(PLUG_HOW), CELL)
    _ticks(b, names)


def _ticks(b: Builder, names: Sequence[str]) -> None:
    """Write boxes to tick, each with its name, side by side in their order."""
    wide = 8.0 + max(text_width(n, CELL) for n in names) + 9.0
    across = max(int(b.wide / wide), 1)
    for k in range(0, len(names), across):
        b.need(7.0)
        for n, name_ in enumerate(names[k : k + across]):
            x = b.left + n * wide
            b.add(frame(Box(x, b.y - 5.0, x + 5.0, b.y), Pen(0.4), "tick"))
            b.add(Text(name_, Point(x + 8.0, b.y - 0.8 * CELL - 0.4), CELL, tag="text"))
        b.skip(7.5)


def later_figures(b: Builder, plan: WeldPlan) -> None:
    """Write what these welds do, for the annex; nothing where there are none."""
    if not plan.later:
        return
    rows = [
        [_numbers(weld), weld.name, said(shown(weld.heat_kJ, 0), b.read), said(shown(weld.shrink_mm, 2), b.read)]
        for weld in plan.later
    ]
    title = b.say(say("Welds after the last stitch: heat and shrinkage"))
    b.table([[b.say(h) for h in _FIGURES], *rows], (0.12, 0.2, 0.3, 0.5), CELL, tag="later-figures", title=title)
    sleeves, ribs = (any(weld.kind == kind for weld in plan.later) for kind in ("sleeve", "rib"))
    words = say("Heat, waits and shrinkage are for fillets by the tables, in the plate alone.")
    beyond = say("None of it is in the order above: read the dials before and after each of these.")
    b.para(" ".join(b.say(w) for w in (words, *(later_words(plan.order, sleeves, ribs) or (beyond,)))), CELL)


def _numbers(weld: LaterWeld) -> str:
    return f"{weld.first}–{weld.first + weld.beads - 1}"


def _row(b: Builder, weld: LaterWeld) -> list[str]:
    return [
        "☐",
        _numbers(weld),
        b.say(later_said(weld)),
        format_length(weld.length_mm, b.job.shown.display),
        said(number(weld.wait_s, "s", 0), b.read) if weld.wait_s >= 0.5 else "–",
        said(shown(weld.after_mm, 2), b.read) if weld.after_mm is not None else "–",
    ]
