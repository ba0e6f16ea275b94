"""The opening plan: from the job to numbered steps that a simulation has carried out before anybody cuts."""

from __future__ import annotations

from dataclasses import replace
from math import pi

from cutplan.findings import Finding
from cutplan.geometry.contour import Contour
from cutplan.opening.assembly import Assembly, best_assembled
from cutplan.opening.brace.choose import brace_choices, brace_findings
from cutplan.opening.brace.model import BraceChoice, Bracing, Stiffness
from cutplan.opening.brace.stiffness import open_stiffness
from cutplan.opening.brace.taken import as_taken, with_braces
from cutplan.opening.doubts import doubts, mark_doubts
from cutplan.opening.model import Effort, OpeningPlan, Step, ToolUse
from cutplan.opening.steps.bracing import brace_line, with_brace_note
from cutplan.opening.steps.effort import consumables, time_band
from cutplan.opening.steps.words import tools_said
from cutplan.opening.worth import skin_worth
from cutplan.pattern.job import Job
from cutplan.pattern.opening import LineProof, line_proof, opening_line
from cutplan.pattern.shop import Shop
from cutplan.tables.at_most import at_most
from cutplan.texts import Message, say


def plan_opening(job: Job, shop: Shop, line: Contour | None = None) -> OpeningPlan:
    """Return the plan to cut the opening by hand.

    Parameters
    ----------
    job : Job
        Plate, joint, skin with ribs, pads, brace and the wishes for the opening.
    shop : Shop
        A measured kerf of the hand tool is used where the shop has one.
    line : Contour or None
        Net line of the opening [mm]; None: from the job.

    Returns
    -------
    OpeningPlan
        Steps in order with what each picture shows; ``proof`` and ``findings`` tell what the simulation found.

    Raises
    ------
    GeometryError
        When the joint leaves no opening, or no kerf fits inside it.
    """
    line = (opening_line(job) if line is None else line).oriented(ccw=True)
    job = with_braces(job)
    # what reading the job noticed has no say in it: where the brace's choice was proved its assembly is this one
    return _finished(best_assembled(replace(job, origin=replace(job.origin, findings=())), shop, line))


def _finished(made: Assembly) -> OpeningPlan:
    """The plan with what the brace is worth, how long it takes and what was noticed."""
    job, line = made.job, made.line
    choices = as_taken(brace_choices(job, line), made.braces)
    sections = tuple(w.section for w in made.works)
    on_skin = next((b for b in made.braces if b.on == "marked"), None)
    stiff = open_stiffness(job, line, [s.contour for s in sections], on_skin) if job.pads else None
    needed = _needed_step(made.steps, stiff, made.order)
    return OpeningPlan(
        line=line,
        drills=made.drills + made.windows,
        sections=sections,
        order=made.order,
        bridges=tuple(b for w in made.works for b in w.bridges),
        rib_parts=made.parts,
        steps=with_brace_note(made.steps, needed),
        bracing=Bracing(made.braces, choices, brace_line(job, made.braces), stiff, needed),
        datum=made.datum,
        tools=ToolUse(
            made.kit.main,
            say("{all}", all=tools_said(c.tool for s in made.steps for c in s.cuts)),
            made.waste.kerf_mm,
            job.opening.allowance_mm,
        ),
        effort=_effort(made),
        proof=_proved(made.proof.ok, made.proof.checks, line_proof(job, line)),
        findings=tuple(_findings(made, choices)),
        worth=skin_worth(job, line),
    )


def _effort(made: Assembly) -> Effort:
    """Time, what is used up, and the length of the cuts beside its lower bounds."""
    layouts = made.layouts
    cuts = tuple(c for s in made.steps for c in s.cuts)
    windows_mm = sum(pi * w.diameter_mm for w in made.windows)
    least = sum(layout.waste.path.length for layout in layouts) + windows_mm
    across = sum(e.nominal_mm for layout in layouts for e in layout.edges if e.kind == "divide")
    return Effort(
        time_min=time_band(cuts, made.drills, len(made.windows), made.parts, len(made.works), made.line.length),
        consumables=consumables(cuts, made.parts),
        cut_mm=least + across,
        bound_mm=least + sum(layout.forced.straight_mm for layout in layouts),
        bound_any_mm=least + sum(layout.forced.any_mm for layout in layouts),
        overcut_mm=sum(2.0 * c.run_out_mm for c in cuts if c.kind != "bridge"),
    )


def _findings(made: Assembly, choices: tuple[BraceChoice, ...]) -> list[Finding]:
    found = [*doubts(made.job, made.line, made.layouts, made.kit), *mark_doubts(made.job, made.datum)]
    found += brace_findings(made.job, choices)
    found += [f for layout in made.layouts for f in layout.findings]
    found += [
        Finding(
            "plan-not-proved",
            "error",
            say("the simulation of the opening plan failed: {fault}", fault=text),
            say("opening"),
            say("change limits, ribs or tool; do not cut by this plan"),
        )
        for text in made.proof.failures
    ]
    return found


def _needed_step(steps: tuple[Step, ...], stiff: Stiffness | None, order: tuple[int, ...]) -> int | None:
    """The first step of the section whose removal takes the stiffness below the limit."""
    if stiff is None or stiff.needed_after is None:
        return None
    section = order[max(0, stiff.needed_after - 1)]
    return next((s.number for s in steps if s.section == section), None)


def _proved(ok: bool, checks: int, line: LineProof) -> tuple[Message, ...]:
    if not ok:
        return ()
    return (
        say(
            "how far the line lies from the plate's outline, at the worst of {count} places: {nearer} too near, "
            "{farther} too far",
            nearer=at_most(line.nearer_mm),
            farther=at_most(line.farther_mm),
            count=line.places,
        ),
        say("{count} checks passed", count=checks),
        say("no hole, slot or overcut outside the line"),
        say("every tool gets to its cut, its body past the brace, within its depth"),
        say("nothing comes loose before its step"),
        say("each section falls free, no rib holds it"),
        say("the skin outside stays one piece"),
    )
