"""The work at the bench as steps, one at a time: what to do, its picture, the wait after it, and what is measured."""

from __future__ import annotations

from typing import Any

from cutplan.inspection.form import Asked, all_asked, asked, datum_asked
from cutplan.inspection.judge import judge_gap, judge_length
from cutplan.inspection.named_points import dial_places, named_points
from cutplan.inspection.readings import Reading
from cutplan.report.welding.play import weld_steps
from cutplan.sheets.fitup_page import fitup_steps
from cutplan.sheets.plate.template_page import template_steps
from cutplan.sheets.results import Results
from cutplan.sheets.welding.after_page import after_keys
from cutplan.sheets.welding.later_table import PLUG_HOW, later_said
from cutplan.texts import Reader, name, number, say, template
from cutplan.texts.by_id import told
from cutplan.units import format_length
from cutplan.welding.bench.result import FIT, TACKS
from cutplan.welding.doubts import plug_order

#: Strokes of the path's picture that belong to one cut.
_CUT_MARKS = ("path", "lead", "pierce", "rapid", "way", "order")

#: The step after the tacks.
READ_AGAIN = say("Read the dial again and type it in: then re-plan the stitches that are left")
READ_HOW = say(
    "Save measured.csv and run cutplan inspect with it, or take it over on the page; for a later stitch, sleeve or "
    "rib copy a line and put its name in column after."
)
#: When a reading is taken that steers the stitches.
_STAGES = {FIT: template("before the first tack"), TACKS: template("after the tacks")}

Step = dict[str, Any]


def bench_steps(results: Results, lang: str) -> list[Step]:
    """Return the steps of the whole work in order, as plain data.

    Parameters
    ----------
    results : Results
        Job and plans, said in the language (:func:`cutplan.sheets.localised.localised`).
    lang : str
        Language of the steps.

    Returns
    -------
    list of dict
        ``part`` (heading), ``title``, ``text`` (lines), ``picture`` (identifier of a drawing of the report, or empty),
        ``marks`` (strokes of that drawing that are done now), ``wait_s`` [s] and ``ask`` (numbers of readings that are
        taken here, as in :func:`bench_readings`).
    """
    steps = [*_paper(results, lang), *_cuts(results, lang), *_opening(results, lang)]
    steps += [*_fitup(results, lang), *_weld(results, lang), *_after(results, lang)]
    return steps


def _step(part: str, title: str, text: list[str], picture: str = "", **more: Any) -> Step:
    return {"part": part, "title": title, "text": text, "picture": picture, "marks": [], "wait_s": 0, "ask": [], **more}


def _paper(results: Results, lang: str) -> list[Step]:
    if results.templates is None:
        return []
    part = told("report.templates", lang)
    return [_step(part, words, [], "tiles") for words in template_steps(results, lang)]


def _cuts(results: Results, lang: str) -> list[Step]:
    plan = results.cut
    if plan is None:
        return []
    part, total = told("report.cutting", lang), len(plan.paths)
    read = Reader(lang, results.job.shown.display)
    steps = [
        _step(
            part,
            told("play.cut_step", lang).format(n=n, total=total, what=read(p.name)),
            [read(p.note)] if p.note else [],
            "path",
            marks=[f"{kind}-{n}" for kind in _CUT_MARKS],
        )
        for n, p in enumerate(plan.paths, 1)
    ]
    drills = [f"{d.name}: {format_length(d.diameter_mm, results.job.shown.display)}" for d in plan.drilled]
    if drills:
        steps.append(_step(part, told("cut.drill_list", lang), drills, "plate"))
    return steps


def _opening(results: Results, lang: str) -> list[Step]:
    plan = results.opening
    if plan is None:
        return []
    part, read = told("report.opening", lang), Reader(lang, results.job.shown.display)
    stage = {"measure": "before", "dress": "open"}
    return [
        _step(
            part,
            f"{s.number}. {read(s.title)}",
            [*(read(t) for t in s.text), *(read(t) for t in s.holds)],
            f"step-{s.number}",
            ask=_datum(results, stage.get(s.kind, ""), lang),
        )
        for s in plan.steps
    ]


def _datum(results: Results, stage: str, lang: str) -> list[int]:
    """Numbers of the datum distances that are read at a stage, behind all others; none without a plan of the opening."""
    if results.opening is None:
        return []
    first = len(all_asked(results.job, lang))
    wanted = datum_asked(results.job, lang, results.opening.datum)
    return [first + i for i, a in enumerate(wanted) if a.kind == stage]


def _fitup(results: Results, lang: str) -> list[Step]:
    part = told("report.fitup", lang)
    steps = [_step(part, words, [], "gaps") for words in fitup_steps(results, lang)]
    again = _datum(results, "tacked", lang)
    if again:  # the last of them says so
        steps[-1] |= {"picture": _datum_picture(results), "ask": again}
    gaps = [i for i, a in enumerate(all_asked(results.job, lang)) if a.kind == "gap" or a.after == FIT]
    return [*steps, _step(part, told("fitup.gaps", lang), [], "gaps", ask=gaps)] if gaps else steps


def _weld(results: Results, lang: str) -> list[Step]:
    part = told("report.welding", lang)
    beads = [b for n, b in enumerate(weld_steps(results)) if n and b["name"] != "release"]
    tacks = [i for i, a in enumerate(all_asked(results.job, lang)) if a.after == TACKS]
    steps = []
    for n, bead in enumerate(beads, 1):
        said = {"number": bead["number"], "name": bead["name"], "n": n, "total": len(beads)}
        title = told(f"play.{bead['kind']}", lang).format(**said)
        marks = [bead["mark"], bead["mark"].replace("stitch", "travel")]
        steps.append(_step(part, title, [], "weld-map", marks=marks, wait_s=bead["wait"]))
        if tacks and bead["kind"] == "tack" and n == _tack_count(results):
            steps.append(_step(part, Reader(lang)(READ_AGAIN), [Reader(lang)(READ_HOW)], "", ask=tacks))
    return [*steps, *_after_stitches(results, part, lang)]


def _after_stitches(results: Results, part: str, lang: str) -> list[Step]:
    """Plug welds, then sleeves and ribs, as the job sheet has them after the last stitch."""
    plan, read = results.weld, Reader(lang, results.job.shown.display)
    if plan is None:
        return []
    cold = read(say("Begin it when the plate is cold."))
    steps = [
        _step(part, read(say("Plug weld {hole}", hole=name(hole))), [cold, read(PLUG_HOW)], "plate")
        for hole in plug_order(results.job, plan.joint)
    ]
    for weld in plan.later:
        wait = read(say("Wait up to {wait} from bead to bead.", wait=number(weld.wait_s, "s", 0)))
        steps.append(_step(part, read(later_said(weld)), [cold, wait] if weld.wait_s >= 0.5 else [cold], "plate"))
    return steps


def _datum_picture(results: Results) -> str:
    """The picture of the step that measures the datum distances first."""
    steps = results.opening.steps if results.opening is not None else ()
    return next((f"step-{s.number}" for s in steps if s.kind == "measure"), "")


def _tack_count(results: Results) -> int:
    """How many tacks the plan has."""
    return len(results.weld.tacks) if results.weld is not None else 0


def _after(results: Results, lang: str) -> list[Step]:
    job, part = results.job, told("report.after", lang)
    keys = after_keys(job)
    rows = [i for i, a in enumerate(asked(job, lang)) if a.kind != "gap"]
    steps = [_step(part, told(f"after.{key}", lang), []) for key in keys[:-2]]
    steps[-1]["ask"] = rows
    welded = _datum(results, "welded", lang)
    if welded:
        words = Reader(lang)(say("Measure the datum distances once more: has the mount moved?"))
        steps.append(_step(part, words, [], _datum_picture(results), ask=welded))
    return [*steps, *(_step(part, told(f"after.{key}", lang), []) for key in keys[-2:])]


def bench_readings(results: Results, lang: str) -> list[dict[str, Any]]:
    """Return what is measured, each value with the deviation it may have, as plain data.

    Parameters
    ----------
    results : Results
        Job and plans.
    lang : str
        Language of labels and notes.

    Returns
    -------
    list of dict
        ``kind``, ``name``, ``to``, ``label``, ``note``, ``plan_mm``, ``low_mm`` and ``high_mm`` [mm]; a dial reading has
        its ``place`` on the pad [mm] and the ``flat_mm`` that the pad allows [mm], as it is judged with its neighbours. The
        datum distances come last, without limits: those of a stage are judged together.
    """
    points = named_points(results.job)
    known = [_reading(results, a, points, lang) for a in all_asked(results.job, lang)]
    datum = results.opening.datum if results.opening is not None else None
    return [*known, *(_datum_reading(a) for a in datum_asked(results.job, lang, datum))]


def _datum_reading(a: Asked) -> dict[str, Any]:
    """A datum distance at one stage, its plan beside it."""
    label, plan = f"{a.name}-{a.to}", round(a.plan_mm, 4)
    return {"kind": a.kind, "name": a.name, "to": a.to, "after": "", "label": label, "note": a.note, "plan_mm": plan}


def _label(bare: Reading, after: str, lang: str) -> str:
    """Name of a reading, with its stage where it is taken on the way."""
    said = bare.said
    if after:
        said = say("{reading}, {stage}", reading=said, stage=_STAGES[after])
    return Reader(lang)(said)


def _reading(results: Results, a: Asked, points: dict[str, Any], lang: str) -> dict[str, Any]:
    job = results.job
    bare = Reading(a.kind, a.name, a.to, a.plan_mm)
    known: dict[str, Any] = {
        "kind": a.kind,
        "name": a.name,
        "to": a.to,
        "after": a.after,
        "label": _label(bare, a.after, lang),
        "note": a.note,
        "plan_mm": round(a.plan_mm, 4),
    }
    pads = {p.name: p for p in job.pads}
    if a.kind == "dial":
        pad = pads[a.name]
        at = dial_places(job, pad)[int(a.to) - 1]
        known |= {"place": [round(at.x, 4), round(at.y, 4)], "flat_mm": pad.flatness_mm}
    elif a.kind == "feeler":
        known |= {"low_mm": 0.0, "high_mm": min(pads[n].flatness_mm for n in (a.name, a.to) if n in pads)}
    else:
        checked = judge_gap(job, results, bare) if a.kind == "gap" else judge_length(job, bare, points)
        known |= {"low_mm": round(checked.low_mm, 4), "high_mm": round(checked.high_mm, 4)}
    return known
