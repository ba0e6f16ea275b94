"""Bench pages name no maker and no memory: sources stand in the annex, and there."""

from __future__ import annotations

import re

import pytest
from sheet_results import small

from cutplan.drawing.model import Page, Text
from cutplan.sheets.job_sheet import job_sheet

#: What belongs to a bibliography and not on the bench: web addresses, and that something is from memory.
_SOURCE = re.compile(r"from memory|aus dem Gedächtnis|\b[a-z0-9-]+\.(?:com|net|org|de|io)\b")


def _texts(pages: tuple[Page, ...]) -> str:
    return " ".join(i.text for p in pages for i in p.items if isinstance(i, Text))


@pytest.mark.parametrize(("lang", "annex"), [("en", "Annex"), ("de", "Anhang")])
def test_sources_stand_in_the_annex_only(lang: str, annex: str) -> None:
    pages = job_sheet(small(), lang).pages
    first = next(k for k, p in enumerate(pages) if p.bookmark.startswith(annex))
    assert _SOURCE.findall(_texts(pages[:first])) == []
    assert len(_SOURCE.findall(_texts(pages[first:]))) > 0
