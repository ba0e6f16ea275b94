"""Sentences of the trades in German: every template of the opening has one, fields are kept, names are left alone."""

from __future__ import annotations

import dataclasses
import re

import pytest
from sheet_results import small

from cutplan.drawing.model import Text
from cutplan.opening.words import TEMPLATES
from cutplan.sheets.job_sheet import job_sheet
from cutplan.sheets.localised import localised
from cutplan.tables.phrases import translated
from cutplan.tables.phrases_de import PHRASES
from cutplan.tables.say import fields

#: Templates that are written into the cut file, not onto a sheet.
_FILES = {k for k in TEMPLATES if k.startswith("file.")}


def test_every_sentence_of_the_opening_has_its_german() -> None:
    missing = {k: t for k, t in TEMPLATES.items() if k not in _FILES and t not in PHRASES}
    assert missing == {}, "add these to cutplan/tables/phrases_de.py"


def test_fields_are_kept() -> None:
    assert [p for p, t in PHRASES.items() if fields(p) != fields(t)] == []


@pytest.mark.parametrize(("english", "german"), [
    ("Cut bridges B1 and B2, then lift the section out.", "Stege B1 and B2 trennen, dann das Stück herausheben."),
    ("Brace: 38.0 mm square tube, wall 3.0 mm.", "Strebe: Vierkantrohr 38.0 mm, Wand 3.0 mm."),
    ("once round, back-step", "einmal herum im Pilgerschritt"),
    ("hole H3, diameter", "Loch H3, Durchmesser"),
    ("something that nobody foresaw", "something that nobody foresaw"),
    ("", ""),
])
def test_sentences_with_values(english: str, german: str) -> None:
    assert translated(english, "de").replace(" und ", " and ") == german
    assert translated(english, "en") == english


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
    assert localised(results, "en") is results


def test_no_english_sentence_stays_on_a_german_sheet() -> None:
    job = dataclasses.replace(small().job, note="")
    document = job_sheet(dataclasses.replace(small(), job=job), "de")
    english = re.compile(r"\b(the|and|with|is|are|before|after)\b")
    left = [
        i.text for p in document.pages for i in p.items
        if isinstance(i, Text) and english.search(i.text) and i.tag not in ("job", "job-title")
    ]
    # citations keep the language of their source
    assert [t for t in left if "manual" not in t and "Handbook" not in t] == []
