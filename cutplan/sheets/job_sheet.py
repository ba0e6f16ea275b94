"""The job sheet: every page of the bench paper, in the order of the work."""

from __future__ import annotations

from cutplan.drawing.model import Document
from cutplan.sheets.after_page import after_page
from cutplan.sheets.annex import annex_pages
from cutplan.sheets.cover import cautions_page, cover
from cutplan.sheets.localised import localised
from cutplan.sheets.opening.opening_pages import opening_pages
from cutplan.sheets.page import Builder
from cutplan.sheets.plate.cutting_page import cutting_pages
from cutplan.sheets.plate.parts import parts_page
from cutplan.sheets.plate.template_page import template_page
from cutplan.sheets.results import Results
from cutplan.sheets.sign_off import signoff
from cutplan.sheets.traced_page import traced_page
from cutplan.sheets.welding.symbols import Form
from cutplan.sheets.welding.weld_pages import weld_pages


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
    b = Builder(results.job, results.shop, lang or results.job.language)
    findings = results.findings
    results = localised(results, b.lang)
    signed = cover(b, results, findings)
    cautions_page(b, results)
    parts_page(b, results)
    if results.steering is not None:
        from cutplan.sheets.steering_page import steering_page

        steering_page(b, results)
    template_page(b, results)
    traced_page(b, results)
    cutting_pages(b, results)
    opening_pages(b, results)
    weld_pages(b, results, symbols or results.job.symbols)
    after_page(b, results)
    if not signed:
        signoff(b)
    annex_pages(b, results)
    job = results.job
    return Document(
        b.pages(),
        b.say("sheet.title", title=job.title, revision=job.revision),
        b.say("sheet.subject"),
        language=b.lang,
        keywords=tuple(k for k in (job.area, job.source) if k),
    )
