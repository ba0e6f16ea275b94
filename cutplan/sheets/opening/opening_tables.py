"""Tables of the opening: where everything is drilled and cut, measured from the datum lines, and the braces compared."""

from __future__ import annotations

from typing import TYPE_CHECKING

from cutplan.sheets.page import CELL, SMALL, Builder, sentence
from cutplan.sheets.results import Results
from cutplan.texts import Message, Reader, mm, number, say
from cutplan.units import format_length

if TYPE_CHECKING:
    from cutplan.geometry.vector import Point
    from cutplan.opening.brace.model import BraceChoice
    from cutplan.opening.model import OpeningPlan
    from cutplan.tables.band import Band


def coordinate_rows(b: Builder, plan: OpeningPlan) -> list[list[str]]:
    """Return the table of coordinates with its header: holes, windows, ends of cuts across, pads and marks."""
    from cutplan.opening.work_marks import coordinates

    def at(p: Point) -> list[str]:
        return [format_length(v, b.job.shown.display, 1) for v in coordinates(plan, p)]

    head = [b.say(say("Name")), b.say(say("Size")), b.say(say("Along M1-M2")), b.say(say("Square to it"))]
    rows = [[d.name, format_length(d.diameter_mm, b.job.shown.display, 0), *at(d.centre)] for d in plan.drills]
    for cut in (c for s in plan.steps for c in s.cuts if c.kind == "divide"):
        rows.append([b.say(say("{cut}, start", cut=_name(cut.name))), "–", *at(cut.start)])
        rows.append([b.say(say("{cut}, end", cut=_name(cut.name))), "–", *at(cut.end)])
    rows += [[p.name, "–", *at(p.at)] for p in plan.datum.points]
    return [head, *rows]


def coordinate_table(b: Builder, plan: OpeningPlan) -> None:
    """Write the table of coordinates."""
    b.heading(b.say(say("Coordinates from the datum lines")), 90.0)
    b.para(
        b.say(
            say("From mark M1: along the line to M2, and square to it, towards M4. The same as on the work template.")
        ),
        CELL,
    )
    b.table(coordinate_rows(b, plan), (1.4, 0.9, 1.2, 1.2), CELL, tag="coordinates")
    if plan.proof:
        b.para(sentence(b.read(plan.proof[0])), SMALL)


def design_said(choice: BraceChoice) -> Message:
    """Return the name of a design of brace."""
    if choice.design == "pair":
        return say("two bars beside the opening")
    if choice.design == "single":
        return say("one bar beside the opening")
    if choice.design == "frame":
        return say("frame round the opening")
    if choice.design == "across":
        return say("bar across on tall feet")
    if choice.design == "flush":
        return say("bar flat across the opening")
    return say("no brace")


def _reach_said(choice: BraceChoice) -> Message:
    if choice.design is None:
        return say("–")
    if choice.brace is None:
        return say("no room: {lacks} lack", lacks=mm(choice.lacks_mm, 0))
    if choice.design == "flush":
        return say("lies over the cuts, no way in for the plate")
    if choice.blocked_mm > 1.0:
        return say("no tool reaches {length} of the line", length=mm(choice.blocked_mm, 0))
    if choice.missed > 0.02:
        return say("{share} of the line beside it by slower tools", share=number(100.0 * choice.missed, "%", 0))
    return say("all along the line")


def percent(share: Band) -> str:
    """Return a share [1] with its band, in percent: ``41 % (9 … 72)``."""
    return f"{100.0 * share.mid:.0f} % ({100.0 * share.low:.0f} … {100.0 * share.high:.0f})"


def brace_rows(read: Reader, plan: OpeningPlan) -> list[list[str]]:
    """Return the braces compared with a header; empty without any."""
    if not plan.bracing.choices:
        return []
    keys = (
        say("Brace"),
        say("Stiffness kept, pulled apart"),
        say("Stiffness kept, folded"),
        say("Grinder reaches"),
        say("Tacks"),
    )
    rows = [[read(k) for k in keys]]
    for c in plan.bracing.choices:
        name = read(design_said(c))
        bands = [percent(v) if v is not None else "–" for v in (c.pull, c.fold)]
        rows.append([f"▶ {name}" if c.chosen else name, *bands, read(_reach_said(c)), str(c.tacks) if c.brace else "–"])
    return rows


def brace_table(b: Builder, results: Results) -> None:
    """Write the comparison of braces, how it was found and why one is taken."""
    plan = results.opening
    if plan is None or not plan.bracing.choices:
        return
    from cutplan.opening.brace.choose import method_said

    rows, shares = brace_rows(b.read, plan), (1.5, 1.2, 1.2, 1.5, 0.6)
    b.heading(b.say(say("Braces compared")), b.table_height(rows, shares, CELL) + 30.0)
    b.table(rows, shares, CELL, tag="braces")
    b.para(b.say(choice_said()), CELL)
    b.para(b.say(method_said()), CELL)


def choice_said() -> Message:
    """Return what the braces are compared by and which is taken."""
    return say(
        "Stiffness between the opening's two ends, open over closed. Taken where the job names none: of those that leave "
        "every stretch of the line to some tool and nearly all of it to the grinder, the stiffest in the softer of both ways; "
        "of those alike in it, the one with the fewest tacks."
    )


def _name(text: str) -> Message:
    from cutplan.texts import name

    return say("{all}", all=name(text))
