"""The drawings of one job laid out for the screen, each once: the report shows them, the previews are made of them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from cutplan.drawing.model import Figure, Page
from cutplan.geometry.vector import Box
from cutplan.report.figure import SCREEN_MM, figure_page
from cutplan.sheets.opening.opening_pictures import overview, step_pictures
from cutplan.sheets.plate.cut_map import path_map
from cutplan.sheets.plate.plate_drawing import plate_figure
from cutplan.sheets.plate.template_page import map_picture
from cutplan.sheets.results import Results
from cutplan.sheets.welding.heat_page import wait_picture
from cutplan.sheets.welding.weld_map import weld_figure
from cutplan.texts import Reader

if TYPE_CHECKING:
    from cutplan.cutting.result import CutPlan
    from cutplan.opening.model import OpeningPlan
    from cutplan.welding.result import WeldPlan

#: Width of a step's picture, on the sheet too [mm].
STEP_MM = 90.0
_NOTHING = Figure((), Box(0.0, 0.0, 1.0, 1.0))


def plate_page(results: Results, lang: str) -> Page:
    """Return the net plate."""
    return results.once(f"plate in {lang}", lambda: figure_page(plate_figure(results.job), lang=lang))


def tiles_page(results: Results, lang: str) -> Page:
    """Return the map of the template's sheets."""
    return results.once(
        f"tiles in {lang}", lambda: figure_page(map_picture(results, SCREEN_MM, SCREEN_MM) or _NOTHING, lang=lang)
    )


def path_page(results: Results, plan: CutPlan, lang: str) -> Page:
    """Return the torch's path."""
    return results.once(
        f"path in {lang}", lambda: figure_page(path_map(results.job, plan, read=Reader(lang)), lang=lang)
    )


def overview_page(results: Results, lang: str) -> Page:
    """Return the whole opening."""
    return results.once(f"opening in {lang}", lambda: figure_page(overview(results, lang) or _NOTHING, lang=lang))


def step_pages(results: Results, plan: OpeningPlan, lang: str) -> tuple[Page, ...]:
    """Return a picture for each step of the opening; wide where distances are measured, else as narrow as a card."""

    def draw() -> tuple[Page, ...]:
        figures = zip(plan.steps, step_pictures(results, lang), strict=True)
        return tuple(figure_page(f, SCREEN_MM if s.kind == "measure" else STEP_MM, lang=lang) for s, f in figures)

    return results.kept(f"steps on the screen, {lang}", draw)


def beads_page(results: Results, plan: WeldPlan, lang: str) -> Page:
    """Return tacks and stitches with their numbers."""
    return results.once(f"beads in {lang}", lambda: figure_page(weld_figure(results.job, plan), lang=lang))


def waits_page(results: Results, plan: WeldPlan, lang: str) -> Page:
    """Return how warm the metal is before each start."""
    assert plan is results.weld
    return results.once(
        f"waits in {lang}", lambda: figure_page(wait_picture(results, SCREEN_MM, Reader(lang)) or _NOTHING, lang=lang)
    )
