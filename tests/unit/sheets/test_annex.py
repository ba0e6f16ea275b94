"""Bench pages name no maker and no memory: sources stand in the annex, and there."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from sheet_results import sample, sample_names, small, small_sheet

from cutplan.drawing.font import text_width
from cutplan.drawing.model import Page, Text
from cutplan.findings import Finding
from cutplan.sheets.columns import whole_words
from cutplan.sheets.job_sheet import job_sheet
from cutplan.texts import mm, name, say

#: What belongs to a bibliography and not on the bench: web addresses, and that something is from memory.
_SOURCE = re.compile(r"from memory|aus dem Gedächtnis|\b[a-z0-9-]+\.(?:com|net|org|de|io)\b")


def _texts(pages: tuple[Page, ...]) -> str:
    return " ".join(i.text for p in pages for i in p.items if isinstance(i, Text))


@pytest.mark.parametrize(("lang", "annex"), [("en", "Annex"), ("de", "Anhang")])
def test_sources_stand_in_the_annex_only(lang: str, annex: str) -> None:
    pages = small_sheet(lang).pages
    first = next(k for k, p in enumerate(pages) if p.bookmark.startswith(annex))
    assert _SOURCE.findall(_texts(pages[:first])) == []
    assert len(_SOURCE.findall(_texts(pages[first:]))) > 0


@pytest.mark.slow
@pytest.mark.parametrize("sample_name", sample_names())
def test_no_bench_page_of_a_sample_names_a_source(sample_name: str) -> None:
    for lang, annex in (("en", "Annex"), ("de", "Anhang")):
        pages = job_sheet(sample(sample_name), lang).pages
        first = next(k for k, p in enumerate(pages) if p.bookmark.startswith(annex))
        assert _SOURCE.findall(_texts(pages[:first])) == [], lang


def test_every_foot_names_the_page_of_the_cautions() -> None:
    pages = small_sheet().pages
    on = next(k for k, p in enumerate(pages, 1) if "Cautions: read" in p.bookmark)
    feet = {
        i.text for p in pages for i in p.items if isinstance(i, Text) and i.tag == "footer" and "Cautions" in i.text
    }
    assert feet == {f"Structural part of a vehicle. Cautions: page {on}. Do not measure from pictures."}


def _bench(pages: tuple[Page, ...], annex: str) -> tuple[Page, ...]:
    return pages[: next(k for k, p in enumerate(pages) if p.bookmark.startswith(annex))]


def _lowest_mm(page: Page) -> float:
    return min(i.at.y for i in page.items if isinstance(i, Text) and i.tag != "footer")


def test_the_bench_pack_is_short_and_its_pages_are_used() -> None:
    # our own: two pages before the work (cover, cautions) and a dozen for it
    bench = _bench(small_sheet().pages, "Annex")
    assert len(bench) <= 12
    assert sum(_lowest_mm(p) > 0.5 * p.height_mm for p in bench[:-1]) <= 1


@pytest.mark.slow
@pytest.mark.parametrize(("lang", "annex", "most"), [("en", "Annex", 12), ("de", "Anhang", 12)])
def test_the_bench_pack_of_the_main_sample(lang: str, annex: str, most: int) -> None:
    bench = _bench(job_sheet(sample("van-nose-mount"), lang).pages, annex)
    assert len(bench) <= most
    assert sum(_lowest_mm(p) > 0.5 * p.height_mm for p in bench[:-1]) <= 1


def test_no_word_is_broken_where_the_columns_have_room() -> None:
    rows = [["Station", "Measured"], ["G1", ""]]
    least = [text_width(w, 4.0, True) + 2.4 for w in rows[0]]
    widths = whole_words(rows, (1.0, 9.0), 60.0, 4.0)
    assert sum(widths) == pytest.approx(60.0)  # exact: nothing is added
    assert all(w >= n for w, n in zip(widths, least, strict=True))
    assert whole_words(rows, (1.0, 1.0), 60.0, 4.0) == (30.0, 30.0)  # exact: as shared out where all fits


def test_a_warning_on_the_cover_leaves_its_source_to_the_report() -> None:
    told = say("the rule is {least}, {source}", least=mm(6.0), source=name("shop-guide.com, page 3"))
    results = replace(small(), findings=(Finding("x", "warning", told, "", ""),))
    words = _texts(job_sheet(results).pages[:1])
    assert "the rule is 6.0 mm, source: see the report" in " ".join(words.split()).lower()
    assert _SOURCE.findall(words) == []
