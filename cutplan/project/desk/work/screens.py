"""What the page shows of finished plans: every sheet and picture as SVG, the steps of the work, and the figures."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from cutplan.drawing.model import Page
from cutplan.drawing.svg import render_svg
from cutplan.findings import by_severity
from cutplan.project.desk.live import told
from cutplan.report.bench import bench_readings, bench_steps
from cutplan.report.figure import figure_page
from cutplan.report.pages import beads_page, overview_page, path_page, plate_page, step_pages, tiles_page
from cutplan.sheets.fitup_page import gap_figure
from cutplan.sheets.job_sheet import job_sheet
from cutplan.sheets.localised import localised
from cutplan.sheets.results import Results
from cutplan.texts import Reader

#: Most findings told.
_MOST = 400


def screens(results: Results) -> tuple[dict[str, Any], dict[str, bytes]]:
    """Return what the page shows of plans, and its pictures by name.

    Parameters
    ----------
    results : Results
        Job and plans; trades without a plan have no pictures.

    Returns
    -------
    (dict, dict of str to bytes)
        ``sheets`` (names of the pictures of each document's pages), ``steps``, ``readings``, ``weld``, ``opening``
        and ``findings``; and the pictures, SVG in UTF-8.
    """
    lang = results.job.shown.language
    said = localised(results, lang)
    pictures = _pictures(said, lang)
    pages = {"templates": results.templates.pages if results.templates is not None else ()}
    pages["job-sheet"] = job_sheet(results, lang).pages
    sheets: dict[str, list[str]] = {}
    for document, content in pages.items():
        sheets[document] = [f"{document}-{n}" for n in range(1, len(content) + 1)]
        pictures |= dict(zip(sheets[document], content, strict=True))
    read = Reader(lang, results.job.shown.display)
    answer = {
        "sheets": sheets,
        "steps": bench_steps(said, lang),
        "readings": bench_readings(said, lang),
        "weld": _weld(said),
        "opening": _opening(said),
        "findings": [told(f, read) for f in by_severity(results.findings)[:_MOST]],
    }
    return answer, {name: render_svg(page, ident=name, fluid=True).encode() for name, page in pictures.items()}


def _pictures(results: Results, lang: str) -> dict[str, Page]:
    found = {"plate": plate_page(results, lang), "gaps": figure_page(gap_figure(results.job), lang=lang)}
    if results.templates is not None:
        found["tiles"] = tiles_page(results, lang)
    if results.cut is not None:
        found["path"] = path_page(results, results.cut, lang)
    if results.opening is not None:
        found["opening"] = overview_page(results, lang)
        steps: Iterable[Page] = step_pages(results, results.opening, lang)
        found |= {f"step-{s.number}": page for s, page in zip(results.opening.steps, steps, strict=True)}
    if results.weld is not None:
        found["weld-map"] = beads_page(results, results.weld, lang)
    return found


def _weld(results: Results) -> dict[str, Any] | None:
    plan = results.weld
    if plan is None:
        return None
    return {
        "length_mm": plan.length_mm,
        "chosen": str(plan.order.chosen),
        "reason": str(plan.order.reason),
        "tacks": len(plan.tacks),
        "stitches": len(plan.stitches),
        "orders": [
            {
                "name": str(o.name),
                "chosen": o.chosen,
                "low_mm": o.flatness_mm.low,
                "mid_mm": o.flatness_mm.mid,
                "high_mm": o.flatness_mm.high,
                "total_s": o.total_s,
            }
            for o in plan.order.compared
        ],
        "allowed_mm": min((p.flatness_mm for p in results.job.pads), default=None),
    }


def _opening(results: Results) -> dict[str, Any] | None:
    plan = results.opening
    if plan is None:
        return None
    return {"perimeter_mm": plan.perimeter_mm, "sections": len(plan.sections), "steps": len(plan.steps)}
