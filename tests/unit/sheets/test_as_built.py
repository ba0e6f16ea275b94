"""The as-built page: verdict in words, every value, what to do next, nothing overlapping."""

from __future__ import annotations

import pytest
from sheet_results import small_job

from cutplan.drawing.model import Text
from cutplan.drawing.recorder import overlaps
from cutplan.inspection.as_built import as_built_document
from cutplan.inspection.form import asked
from cutplan.inspection.readings import Reading
from cutplan.inspection.verdict import inspect
from cutplan.sheets.page import MARGIN_MM
from cutplan.sheets.results import Results
from cutplan.texts import Reader


@pytest.mark.parametrize("lang", ["en", "de"])
@pytest.mark.parametrize(("change", "word"), [(0.0, "PASS"), (-0.9, "OUT")])
def test_the_page_says_the_verdict_and_shows_every_value(change: float, word: str, lang: str) -> None:
    job = small_job()
    rows = [
        Reading(a.kind, a.name, a.to, a.plan_mm + (change if (a.name, a.to) == ("H1", "H2") else 0.0), i)
        for i, a in enumerate(asked(job), 2)
    ]
    found = inspect(job, None, rows, lang)
    document = as_built_document(Results(job), found, lang)
    for page in document.pages:
        assert overlaps(page, margin_mm=MARGIN_MM - 0.5, clear_of=()) == ()
    said = [i.text for p in document.pages for i in p.items if isinstance(i, Text)]
    if lang == "en":
        assert any(t.startswith(word) for t in said)
    for c in found.checked:
        assert Reader(lang)(c.label).split(",")[0] in " ".join(said)
