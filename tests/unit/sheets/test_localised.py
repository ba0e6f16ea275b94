"""Plans said in a language: names, kinds and numbers untouched, and no English sentence left on a German sheet."""

from __future__ import annotations

import dataclasses
import re

from sheet_results import small

from cutplan.drawing.model import Text
from cutplan.sheets.job_sheet import job_sheet
from cutplan.sheets.localised import localised
from cutplan.tables.cutting import cut_sources
from cutplan.tables.welding import weld_sources


def test_names_kinds_and_numbers_are_left_alone() -> None:
    results = small()
    spoken = localised(results, "de")
    assert spoken.job is results.job and spoken.templates is results.templates
    assert results.weld is not None and spoken.weld is not None
    assert [b.name for b in spoken.weld.stitches] == [b.name for b in results.weld.stitches]
    assert [b.kind for b in spoken.weld.tacks] == [b.kind for b in results.weld.tacks]
    assert spoken.weld.joint.kind == results.weld.joint.kind
    assert results.opening is not None and spoken.opening is not None
    assert [s.kind for s in spoken.opening.steps] == [s.kind for s in results.opening.steps]
    assert localised(results, "en").job is results.job


def test_no_english_sentence_stays_on_a_german_sheet() -> None:
    job = dataclasses.replace(
        small().job,
        about=dataclasses.replace(small().job.about, note=""),
        shown=dataclasses.replace(small().job.shown, language="de"),
    )
    document = job_sheet(dataclasses.replace(small(), job=job), "de")
    english = re.compile(r"\b(the|and|with|is|are|before|after)\b")
    left = [
        i.text
        for p in document.pages
        for i in p.items
        if isinstance(i, Text) and english.search(i.text) and i.tag not in ("job", "job-title")
    ]
    # citations keep the language of their source; the job sheet breaks them into lines
    titles = " ".join(
        s.citation
        for s in (*cut_sources.SOURCES.values(), *weld_sources.SOURCES.values())
        if isinstance(s.citation, str)
    )
    lines = [
        t
        for t in left
        if not any(
            part.strip() in titles for part in re.split(r"; |: |\(aus|\(from|zweiter Hand\)", t) if english.search(part)
        )
    ]
    assert lines == []
