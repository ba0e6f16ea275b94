"""The annex of the job sheet: reasons and what can be held; the bench does without it."""

from __future__ import annotations

from cutplan.sheets.opening.opening_tables import brace_table, coordinate_table
from cutplan.sheets.page import CELL, Builder
from cutplan.sheets.plate.cutting_page import cut_figures, hold_section
from cutplan.sheets.results import Results
from cutplan.sheets.welding.after_page import worth_table
from cutplan.sheets.welding.heat_page import waits_chart
from cutplan.sheets.welding.later_table import later_figures
from cutplan.sheets.welding.weld_pages import settings_reasons, why_page


def annex_pages(b: Builder, results: Results) -> None:
    """Write the annex, all but its last page."""
    b.page("annex.title", need_mm=b.full)
    b.para(b.say("annex.lead"), CELL)
    cut_figures(b, results)
    hold_section(b, results)
    if results.opening is not None:
        brace_table(b, results)
        coordinate_table(b, results.opening)
        worth_table(b, results)
    if results.weld is not None and results.weld.order.compared:
        why_page(b, results, results.weld)
    if results.weld is not None:
        settings_reasons(b, results.weld)
        later_figures(b, results.weld)
        waits_chart(b, results)
