"""Sentences of the trades in German: nearly every template has one, fields are kept, names are left alone.

A trade may reword a sentence any day; until its German follows it stands in English. These tests hold the share that is
said to 95 % and name what is missing.
"""

from __future__ import annotations

import ast
import dataclasses
import re
from pathlib import Path

import pytest
from sheet_results import small

from cutplan.drawing.model import Text
from cutplan.sheets.job_sheet import job_sheet
from cutplan.sheets.localised import localised
from cutplan.tables.phrases import phrases_of, translated
from cutplan.texts.message import fields

PACKAGE = Path(__file__).parents[3] / "cutplan"
#: Share of sentences that must be said in the second language.
SAID = 0.95


def _texts(node: ast.expr) -> list[str]:
    """Texts that an expression can become, with 7 for every value."""
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        return [node.value]
    if isinstance(node, ast.IfExp):
        return _texts(node.body) + _texts(node.orelse)
    if isinstance(node, ast.JoinedStr):
        parts = [""]
        for v in node.values:
            if isinstance(v, ast.Constant):
                options = [str(v.value)]
            else:
                inner = v.value if isinstance(v, ast.FormattedValue) else v
                options = _texts(inner) if isinstance(inner, ast.IfExp) else ["7"]
            parts = [p + o for p in parts for o in options or ["7"]]
        return parts
    return []


def test_fields_are_kept() -> None:
    lost = [p for p, t in phrases_of("de").items() if not fields(t) <= fields(p)]
    assert lost == []


@pytest.mark.parametrize(
    ("english", "german"),
    [
        ("something that nobody foresaw", "something that nobody foresaw"),
        ("", ""),
    ],
)
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
    assert localised(results, "en").job is results.job


def test_no_english_sentence_stays_on_a_german_sheet() -> None:
    job = dataclasses.replace(small().job, note="")
    document = job_sheet(dataclasses.replace(small(), job=job), "de")
    english = re.compile(r"\b(the|and|with|is|are|before|after)\b")
    left = [
        i.text
        for p in document.pages
        for i in p.items
        if isinstance(i, Text) and english.search(i.text) and i.tag not in ("job", "job-title")
    ]
    # citations keep the language of their source; a sentence reworded today may be English until tomorrow
    lines = [t for t in left if "manual" not in t and "Handbook" not in t]
    assert len(lines) <= 3, lines
