"""The opening plan: from the job to numbered steps that a simulation has carried out before anybody cuts."""

from __future__ import annotations

from dataclasses import replace
from math import pi

from cutplan.errors import GeometryError
from cutplan.findings import Finding
from cutplan.geometry.contour import Contour
from cutplan.geometry.vector import Point
from cutplan.opening.brace.stiffness import open_stiffness
from cutplan.opening.cuts.layout import Layout, lay_out
from cutplan.opening.cuts.pieces import Toolset, toolset
from cutplan.opening.cuts.standing import brace_feet
from cutplan.opening.cuts.waste import wastes
from cutplan.opening.datum import datum_plan
from cutplan.opening.doubts import doubts
from cutplan.opening.model import DatumPlan, Drill, OpeningPlan, Step, Stiffness
from cutplan.opening.proof.simulate import simulate
from cutplan.opening.steps.bracing import brace_line, brace_step, with_brace_note
from cutplan.opening.steps.effort import consumables, time_band
from cutplan.opening.steps.falls import Names, Work, work_of
from cutplan.opening.steps.worded import (
    drill_step,
    last_step,
    look_step,
    mark_step,
    measure_step,
    numbered,
    section_steps,
)
from cutplan.opening.steps.words import tools_said
from cutplan.pattern.brace import FittedBrace
from cutplan.pattern.brace_designs import braces_of
from cutplan.pattern.job import Job
from cutplan.pattern.opening import opening_line
from cutplan.pattern.shop import Shop
from cutplan.tables.drills_opening import CLEAR_BEHIND_MM
from cutplan.tables.hand_tools import tool_kerf_mm
from cutplan.texts import Message, mm, say, size

#: Ways to part the waste tried until the simulation passes.
_ATTEMPTS = 6


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
    plan = _planned(job, shop, line, 0)
    for attempt in range(1, _ATTEMPTS):
        if plan.proof:
            break
        other = _planned(job, shop, line, attempt)
        plan = other if other.proof else plan
    return plan


def _planned(job: Job, shop: Shop, line: Contour, attempt: int) -> OpeningPlan:
    """One plan, carried out on the model; ``attempt`` counts the ways to part the waste that failed there."""
    kit = toolset(job)
    measured = shop.kerf(kit.main, job.skin.thickness_mm)
    thickness = job.opening.disc_thickness_mm
    if measured is not None and kit.main == "cut-off disc":
        thickness += measured.mean_mm - tool_kerf_mm(kit.main, thickness)
    pieces = wastes(line, kit.main, thickness, job.opening.allowance_mm, job.skin.ribs, brace_feet(job, line))
    if not pieces:
        raise GeometryError(
            say("no cut fits inside the opening"),
            where=say(
                "opening of {size}, kerf {kerf}, allowance {allowance}",
                size=size(line.box.width, line.box.height),
                kerf=mm(tool_kerf_mm(kit.main, thickness)),
                allowance=mm(job.opening.allowance_mm, None),
            ),
            hint=say("drill or file it out, or set a smaller allowance or a finer tool"),
        )
    layouts = [lay_out(job, waste, kit, attempt) for waste in pieces]
    layouts = _named(layouts)
    works: list[Work] = []
    names = Names()
    count = 0
    for layout in layouts:
        names.sections = {fall.section: count + k for k, fall in enumerate(layout.falls, 1)}
        count += len(layout.falls)
        works.extend(work_of(job, layout, fall, kit, names) for fall in layout.falls)
    datum = datum_plan(job, line)
    drills = tuple(d for layout in layouts for d in layout.drills)
    windows = tuple(w for layout in layouts for w in layout.windows)
    looks = tuple(look for layout in layouts for look in layout.looks)
    braces = braces_of(job, line)
    steps = _first_steps(job, datum, drills, windows, looks, kit, braces)
    order = tuple(w.section.number for w in works)
    for k, work in enumerate(works):
        steps.extend(section_steps(job, work, order[:k], order[k + 1 :]))
    parts = tuple(p for w in works for p in w.parts)
    square = any(d.square for d in drills)
    steps.append(last_step(job, parts, square, order))
    final = numbered(steps)
    sections = tuple(w.section for w in works)
    stiff = open_stiffness(job, line, [s.contour for s in sections]) if job.pads else None
    needed = _needed_step(final, stiff, order)
    final = with_brace_note(final, needed)
    waste = pieces[0]
    proof = simulate(job, line, waste.kerf_mm, final, sections)
    cuts = tuple(c for s in final for c in s.cuts)
    nominal = sum(layout.waste.path.length for layout in layouts)
    nominal += sum(e.nominal_mm for layout in layouts for e in layout.edges if e.kind == "divide")
    windows_mm = sum(pi * w.diameter_mm for w in windows)
    least = sum(layout.waste.path.length for layout in layouts) + windows_mm
    bound = least + sum(layout.forced.straight_mm for layout in layouts)
    bound_any = least + sum(layout.forced.any_mm for layout in layouts)
    overcut = sum(2.0 * c.run_out_mm for c in cuts if c.kind != "bridge")
    found: list[Finding] = [*doubts(job, line, layouts, kit), *(f for layout in layouts for f in layout.findings)]
    found += [
        Finding(
            "plan-not-proved",
            "error",
            say("the simulation of the opening plan failed: {fault}", fault=text),
            say("opening"),
            say("change limits, ribs or tool; do not cut by this plan"),
        )
        for text in proof.failures
    ]
    return OpeningPlan(
        line,
        line.length,
        tuple(d for d in drills if d.purpose in ("corner", "turn")),
        drills + windows,
        sections,
        final,
        order,
        tuple(b for w in works for b in w.bridges),
        parts,
        needed,
        brace_line(job, braces),
        braces,
        stiff,
        datum,
        time_band(cuts, drills, len(windows), parts, len(sections), line.length),
        consumables(cuts, len(windows), parts),
        kit.main,
        say("{all}", all=tools_said(c.tool for c in cuts)),
        waste.kerf_mm,
        job.opening.allowance_mm,
        nominal + windows_mm,
        bound,
        bound_any,
        overcut,
        _proved(proof.ok, proof.checks),
        tuple(found),
    )


def _first_steps(
    job: Job,
    datum: DatumPlan,
    drills: tuple[Drill, ...],
    windows: tuple[Drill, ...],
    looks: tuple[tuple[str, Point], ...],
    kit: Toolset,
    braces: tuple[FittedBrace, ...],
) -> list[Step]:
    """The steps before the first cut: measure, mark, brace, drill, look behind."""
    steps = [measure_step(datum), mark_step(job)]
    brace = brace_step(job, braces)
    steps += [brace] if brace is not None else []
    steps += [drill_step(drills, kit)] if drills else []
    holes = [*drills, *windows]
    seen = [(rib, min(holes, key=lambda d: d.centre.distance(at)).name) for rib, at in looks]
    steps.append(look_step(job, windows, drills, seen, kit, kit.depth_mm - kit.skin_mm + CLEAR_BEHIND_MM))
    return steps


def _named(layouts: list[Layout]) -> list[Layout]:
    """Give holes and windows their printed names: D1, D2 ... and W1, W2 ..."""
    out: list[Layout] = []
    holes = windows = 0
    for layout in layouts:
        drills: list[Drill] = []
        for d in layout.drills:
            holes += 1
            drills.append(replace(d, name=f"D{holes}"))
        seen: list[Drill] = []
        for w in layout.windows:
            windows += 1
            seen.append(replace(w, name=f"W{windows}"))
        out.append(replace(layout, drills=tuple(drills), windows=tuple(seen)))
    return out


def _needed_step(steps: tuple[Step, ...], stiff: Stiffness | None, order: tuple[int, ...]) -> int | None:
    """The first step of the section whose removal takes the stiffness below the limit."""
    if stiff is None or stiff.needed_after is None:
        return None
    section = order[max(0, stiff.needed_after - 1)]
    return next((s.number for s in steps if s.section == section), None)


def _proved(ok: bool, checks: int) -> tuple[Message, ...]:
    if not ok:
        return ()
    return (
        say("{count} checks passed", count=checks),
        say("no hole, slot or overcut outside the line"),
        say("every tool reaches its cut within its depth"),
        say("nothing comes loose before its step"),
        say("each section falls free, no rib holds it"),
        say("the skin outside stays one piece"),
    )
