"""The three figures that matter most: sheets of paper, cut and pierces, weld and the order chosen."""

from __future__ import annotations

from cutplan.sheets.results import Results
from cutplan.tables.cutting.cut_process import process_word
from cutplan.texts import Reader, plural
from cutplan.texts.by_id import told
from cutplan.units import format_length


def key_figures(results: Results, lang: str = "en") -> tuple[tuple[str, str, str], ...]:
    """Return (label, figure, what goes with it) for each trade that was planned."""
    job, found = results.job, []
    if results.templates is not None:
        found.append(
            (
                told("key.templates", lang),
                told(
                    "key.templates_value",
                    lang,
                    count=plural("{count} sheet", "{count} sheets", len(results.templates.pages)),
                ),
                told("key.templates_more", lang, paper=job.paper.name),
            )
        )
    if results.cut is not None:
        totals = results.cut.totals
        found.append(
            (
                told("key.cut", lang),
                format_length(totals.cut_mm, job.shown.display, 0),
                Reader(lang)(process_word(results.cut.process))
                if results.cut.by_hand
                else told(
                    "key.cut_more",
                    lang,
                    pierces=plural("{count} pierce", "{count} pierces", totals.pierces),
                    process=process_word(results.cut.process),
                ),
            )
        )
    if results.weld is not None:
        weld = results.weld
        found.append(
            (
                told("key.weld", lang),
                format_length(weld.length_mm, job.shown.display, 0),
                told(
                    "key.weld_more",
                    lang,
                    count=plural("{count} stitch", "{count} stitches", len(weld.stitches)),
                    order=next((o.name for o in weld.order.compared if o.chosen), weld.order.chosen),
                ),
            )
        )
    return tuple(found)
