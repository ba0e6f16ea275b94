"""Every page of the job sheet judged without eyes: nothing overlaps or leaves the paper, all is numbered once."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import replace

import pytest
from sheet_results import planned, sample, sample_names, small, small_job, small_sheet

from cutplan.drawing.model import Document, Page, Stroke, Text
from cutplan.drawing.pdf import render_pdf
from cutplan.drawing.recorder import overlaps, record
from cutplan.pattern.job import Shown
from cutplan.pattern.shop import Shop
from cutplan.pattern.wishes import PaperWish
from cutplan.report.summary import summary
from cutplan.sheets.cautions import ALWAYS
from cutplan.sheets.job_sheet import job_sheet
from cutplan.sheets.page import CHAPTER_MM, MARGIN_MM, Builder
from cutplan.sheets.results import Results
from cutplan.sheets.welding.symbols import Form
from cutplan.texts.by_id import told

#: Least font size of a sheet [mm]; capitals are then 2.2 mm high.
SMALLEST_MM = 3.0


def texts(page: Page, tag: str = "") -> list[str]:
    """Texts of a page in reading order, of one tag if given."""
    return [i.text for i in page.items if isinstance(i, Text) and (not tag or i.tag == tag)]


def pages_titled(document: Document, title: str) -> list[Page]:
    return [p for p in document.pages if title in texts(p, "title")]


def faults(document: Document) -> list[str]:
    found = []
    for n, page in enumerate(document.pages, 1):
        # strokes of the pictures may run under texts; texts may never meet texts
        for c in overlaps(page, margin_mm=MARGIN_MM - 0.5, clear_of=(), smallest_mm=SMALLEST_MM):
            found.append(f"page {n}: {c.kind}: {c.what!r} {c.other!r} at {c.at}")
    return found


def judge(results: Results, document: Document, lang: str) -> None:
    """All laws of a sheet."""
    assert faults(document) == []
    total = len(document.pages)
    job = results.job
    for n, page in enumerate(document.pages, 1):
        assert told("page.count", lang, n=n, total=total) in texts(page, "footer")
        assert told("page.revision", lang, revision=job.about.revision) in texts(page, "job")
        assert any(job.about.title.startswith(t.rstrip("…")) for t in texts(page, "job"))
    names = [t for p in document.pages for t in texts(p, "caution-name")]
    joined = " ".join(names)
    for key in ALWAYS:
        assert told(f"caution.{key}", lang).split(":")[0].split()[0] in joined
    if results.weld is None:
        return
    maps = [p for p in document.pages if texts(p, "stitch-number")]
    assert len(maps) == 1
    numbers = Counter(texts(maps[0], "stitch-number"))
    assert numbers == Counter(str(i) for i in range(1, len(results.weld.stitches) + 1))
    tacks = [t for p in document.pages for t in texts(p, "tack-number")]
    assert Counter(tacks) == Counter(str(i) for i in range(1, len(results.weld.tacks) + 1))
    assert _bead_names(document, "stitch-beads") == summary(results)["weld"]["stitch_order"]
    assert _bead_names(document, "tack-beads") == summary(results)["weld"]["tack_order"]


def _bead_names(document: Document, tag: str) -> list[str]:
    """Names in a bead table, sorted by the number printed beside them; a chapter may begin in the middle of a page."""
    found: dict[int, str] = {}
    for page in document.pages:
        cells = [i for i in page.items if isinstance(i, Text) and i.tag == tag]
        rows: dict[float, list[Text]] = {}
        for c in cells:
            rows.setdefault(round(c.at.y, 3), []).append(c)
        for row in rows.values():
            words = [c.text for c in sorted(row, key=lambda c: c.at.x)]
            # each block of a row begins with its box to tick
            for k in (k for k, w in enumerate(words) if w == "☐"):
                number = int(words[k + 1])
                assert number not in found
                found[number] = words[k + 2]
    return [found[n] for n in sorted(found)]


@pytest.mark.parametrize("lang", ["en", "de"])
def test_every_page_of_a_small_job(lang: str) -> None:
    judge(small(), small_sheet(lang), lang)


@pytest.mark.slow
@pytest.mark.parametrize("lang", ["en", "de"])
@pytest.mark.parametrize("name", sample_names())
def test_every_page_of_every_sample(name: str, lang: str) -> None:
    judge(sample(name), job_sheet(sample(name), lang), lang)


def test_an_overlap_would_be_seen() -> None:
    document = small_sheet()
    first = document.pages[0]
    text = next(i for i in first.items if isinstance(i, Text))
    planted = replace(document, pages=(replace(first, items=(*first.items, replace(text, text="planted"))),))
    assert any("text on text" in f for f in faults(planted))


def test_the_sheet_takes_the_paper_of_the_country() -> None:
    assert (small_sheet().pages[0].width_mm, small_sheet().pages[0].height_mm) == (210.0, 297.0)
    letter = replace(small(), job=replace(small_job(), paper=PaperWish("Letter", 215.9, 279.4)))
    document = job_sheet(letter)
    # exact: ANSI Y14.1 letter 8.5 by 11 in
    size = (document.pages[0].width_mm, document.pages[0].height_mm)
    assert size == pytest.approx((8.5 * 25.4, 11 * 25.4))
    assert faults(document) == []


def test_an_inch_shop_reads_inches_with_the_millimetres_beside() -> None:
    inch = replace(small(), job=replace(small_job(), shown=Shown("in")))
    document = job_sheet(inch)
    assert faults(document) == []
    words = [t for p in document.pages for t in texts(p)]
    assert "10 15/64 in (260.0 mm)" in words  # nearest 1/64: 260 / 25.4 = 10.236
    alone = [w for w in words if re.fullmatch(r"\d+(\.\d+)? mm", w)]
    assert alone == []


def test_drilled_holes_stand_in_the_drill_list_and_cut_ones_do_not() -> None:
    results = small()
    assert results.cut is not None
    cells = {w.removeprefix("☐") for p in small_sheet().pages for t in texts(p, "drills") for w in t.split()}
    for d in results.cut.drilled:
        assert d.name in cells
    assert not {h.name for h in results.cut.cut_holes} & cells


def test_every_opening_step_has_a_box_a_picture_and_its_words() -> None:
    results = small()
    assert results.opening is not None
    pages = pages_titled(small_sheet(), told("opening.steps_title"))
    said = " ".join(t for p in pages for t in texts(p))
    for step in results.opening.steps:
        assert f"{step.number}. {str(step.title).split()[0]}" in said
    pictures = [i for p in pages for i in p.items if isinstance(i, Stroke) and i.tag == "picture"]
    assert len(pictures) == len([s for s in results.opening.steps if s.kind != "measure"])


def test_a_trade_that_was_not_planned_has_no_page() -> None:
    job = small_job()
    document = job_sheet(Results(job))
    assert faults(document) == []
    titles = [t for p in document.pages for t in texts(p, "title")]
    assert told("weld.title") not in titles and told("opening.title") not in titles
    assert told("cut.title") in titles and told("caution.title") in titles


def test_the_same_results_give_the_same_bytes() -> None:
    assert render_pdf(small_sheet()) == render_pdf(job_sheet(small()))


def test_ink_stays_within_the_margin() -> None:
    for page in small_sheet().pages:
        box = record(page).box
        assert box.xmin >= MARGIN_MM - 0.5 and box.xmax <= page.width_mm - MARGIN_MM + 0.5
        assert box.ymin >= MARGIN_MM - 0.5 and box.ymax <= page.height_mm - MARGIN_MM + 0.5


def test_black_and_white_safe_colours_are_told_apart_by_more_than_hue() -> None:
    # bars of neighbouring stitches differ in lightness: black against a mid grey
    page = next(p for p in small_sheet().pages if texts(p, "stitch-number"))
    colours = {i.pen.colour for i in page.items if isinstance(i, Stroke) and i.pen and i.tag.startswith("stitch ")}
    light = sorted(sum(int(c[k : k + 2], 16) for k in (1, 3, 5)) / 765 for c in colours)
    assert len(light) == 2 and light[1] - light[0] > 0.4


def test_planned_without_weld_still_makes_a_sheet() -> None:
    assert faults(job_sheet(planned(small_job(), weld=False))) == []


@pytest.mark.parametrize(("form", "tail", "other"), [("ISO", "135 / ISO 5817-C", "GMAW"), ("AWS", "GMAW", "135")])
def test_the_weld_symbol_takes_the_form_of_the_job(form: Form, tail: str, other: str) -> None:
    document = job_sheet(small(), symbols=form)
    page = next(p for p in document.pages if texts(p, "symbol process"))
    assert texts(page, "symbol process")[0] == tail
    assert not any(t.startswith(other) for t in texts(page, "symbol process"))
    named = replace(small(), job=replace(small_job(), shown=replace(small_job().shown, symbols=form)))
    assert job_sheet(named).pages == document.pages


def test_a_passage_put_in_its_place_reads_as_if_it_were_written_there() -> None:
    """Its first page keeps what stood above it, and what follows goes on below it."""
    words, results = "a line of some words that goes on for a while ", small()

    def writing(b: Builder) -> None:
        for k in range(60):
            b.para(words * (1 + k % 4))

    def paper(apart: bool) -> tuple[Page, ...]:
        b = Builder(results.job, results.shop)
        b.page("opening.title")
        b.para("above")
        if apart:
            place, found = b.place, b.passage(lambda: writing(b))
            assert b.place == place
            b.put(found)
        else:
            writing(b)
        b.page("opening.steps_title", need_mm=5.0)
        b.para("below")
        return b.pages()

    whole = paper(False)
    assert len(whole) > 2 and "above" in texts(whole[0]) and paper(True) == whole


def test_no_cell_parts_a_length_from_its_unit() -> None:
    cells = [t for p in job_sheet(small()).pages for t in texts(p, "later-welds")]
    assert any(t.endswith(" mm") for t in cells) and "mm" not in cells


@pytest.mark.parametrize("lang", ["en", "de"])
def test_plug_welds_are_ticked_off_after_the_stitches_and_gaps_have_their_limit(lang: str) -> None:
    said = " ".join(t for p in small_sheet(lang).pages for t in texts(p))
    title, ticked = {"en": ("Plug welds, after", "fill it"), "de": ("Lochnähte, nach", "füllen")}[lang]
    after = said[said.index(title) :]
    assert ticked in after and " H6 " in after[:400]
    # exact: gap planned 1.2 mm; half of it closed, and the thinner sheet of 2.5 mm, or half a millimetre more
    job = small_job()
    most = max(min(job.plate.thickness_mm, job.skin.thickness_mm), job.joint.gap_mm + 0.5)
    told_gap = {"en": f"Allowed: 0.6 mm to {most:.1f} mm", "de": f"Erlaubt: 0.6 mm bis {most:.1f} mm"}[lang]
    assert told_gap in said


def test_a_chapter_without_room_is_kept_however_little_there_is() -> None:
    # the templates of another paper take a line more or less above it: the chapters after them are not written again
    def at(used_mm: float) -> Builder:
        b = Builder(small_job(), Shop())
        b.page("sheet.title", title="T", revision="A")
        b.skip(b.room - used_mm)
        return b

    low, lower, high = (at(left) for left in (60.0, 40.0, 200.0))
    assert low.place != lower.place and low.place_before(CHAPTER_MM) == lower.place_before(CHAPTER_MM)
    assert low.place_before(CHAPTER_MM) != high.place_before(CHAPTER_MM) == high.place
    assert low.place_before(20.0) != lower.place_before(20.0)
