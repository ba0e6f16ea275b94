"""The job sheet: every page of the bench paper, in the order of the work."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING

from cutplan.drawing.model import Document
from cutplan.sheets.cover import cautions_page, cover
from cutplan.sheets.localised import localised
from cutplan.sheets.page import CHAPTER_MM, Builder, Passage
from cutplan.sheets.plate.parts import parts_page
from cutplan.sheets.plate.template_page import template_page
from cutplan.sheets.plate.traced_page import traced_page
from cutplan.sheets.results import Results
from cutplan.sheets.sign_off import SIGN_MM, signoff
from cutplan.sheets.sources import sources_page

if TYPE_CHECKING:
    from cutplan.sheets.welding.symbols import Form


def job_sheet(results: Results, lang: str | None = None, symbols: Form | None = None) -> Document:
    """Return the job sheet as a document.

    Parameters
    ----------
    results : Results
        Job and plans; trades that were not planned have no pages.
    lang : str or None
        Language of the sheet; None: the job's.
    symbols : {"ISO", "AWS"} or None
        Form of the weld symbols; None: the job's.
    """
    b = Builder(results.job, results.shop, lang or results.job.shown.language)
    findings = results.findings
    results = localised(results, b.lang)
    signed = cover(b, results, findings)
    cautions_page(b, results)
    if not signed and b.room >= SIGN_MM:
        signoff(b)
        signed = True
    parts_page(b, results)
    if results.steering is not None:
        from cutplan.sheets.steering_page import steering_page

        steering_page(b, results)
    template_page(b, results)
    traced_page(b, results)
    form = symbols or results.job.shown.symbols
    _kept(b, results, f"chapters with {form} symbols", partial(work_chapters, b, results, form), CHAPTER_MM)
    if not signed:
        signoff(b)
    _kept(b, results, "annex", partial(annex_chapters, b, results))
    sources_page(b, results)
    job = results.job
    return Document(
        b.pages(),
        b.say("sheet.title", title=job.about.title, revision=job.about.revision),
        b.say("sheet.subject"),
        language=b.lang,
        keywords=tuple(k for k in (job.about.area, job.origin.source) if k),
    )


def work_chapters(b: Builder, results: Results, symbols: Form) -> None:
    """Write the chapters of cutting, opening, welding and what follows; nothing in them is of templates or findings."""
    from cutplan.sheets.opening.opening_pages import opening_pages
    from cutplan.sheets.plate.cutting_page import cutting_pages
    from cutplan.sheets.welding.after_page import after_page
    from cutplan.sheets.welding.weld_pages import weld_pages

    cutting_pages(b, results)
    opening_pages(b, results)
    weld_pages(b, results, symbols)
    after_page(b, results)


def annex_chapters(b: Builder, results: Results) -> None:
    """Write the annex but for its sources; nothing in it is of templates or findings."""
    from cutplan.sheets.annex import annex_pages

    annex_pages(b, results)


def _kept(b: Builder, results: Results, name: str, write: Callable[[], None], need_mm: float = 0.0) -> None:
    """Put chapters on paper that were written before from this very place, else write them; ``need_mm``: of the first."""
    passage: Passage = results.kept(f"{name} in {b.lang} from {b.place_before(need_mm)}", partial(b.passage, write))
    b.put(passage)
