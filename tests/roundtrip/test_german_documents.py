"""Every document of a German job read back: no sentence of the English edition is left in it.

Kept in both editions: the user's own words, names and numbers, file names and key paths, and the titles of sources.
"""

from __future__ import annotations

import html
import io
import re
from collections.abc import Iterable
from dataclasses import fields, is_dataclass, replace
from functools import cache
from typing import Any

import pypdf
import pytest
from sheet_results import SAMPLES, sample

from cutplan.drawing.model import Page, Text
from cutplan.files.job.read import read_job
from cutplan.pattern.job import Job
from cutplan.pattern.shop import Shop
from cutplan.pattern.wishes import Flange, TubeWrap
from cutplan.project.run.documents import MAKERS, PREVIEWS
from cutplan.report.previews import previews
from cutplan.report.summary import summary
from cutplan.sheets.job_sheet import job_sheet
from cutplan.sheets.results import Results
from cutplan.tables.cutting import cut_sources
from cutplan.tables.welding import weld_sources
from cutplan.templates.plan import plan_templates
from cutplan.texts import Reader, code, say
from cutplan.texts import catalogue as catalogues
from cutplan.texts.by_id import told

#: A lap with its mirrored copy, shown in inches; a butt with a rib, a brace and a bent flange.
LAP, BUTT = "buggy-doubler", "camper-damper-insert"
_WORD = re.compile(r"[A-Za-zÄÖÜäöüß]{2,}")
_UNITS = frozenset({"mm", "in", "min", "cm", "kg", "deg"})
#: Small words that English sentences cannot do without and German ones do not know.
_SMALL = re.compile(r"\b(?:the|of|and|with|is|are|by|from|to|for|when|not|this|see|cut|hole|skin|weld)\b")


def _german(results: Results) -> Results:
    """The same plans for a job whose language is German; only the templates are planned anew."""
    job = replace(results.job, shown=replace(results.job.shown, language="de"))
    return Results(
        job,
        results.shop,
        results.cut,
        plan_templates(job, results.shop),
        results.opening,
        results.weld,
        results.findings,
    )


def _of_pdf(data: bytes) -> list[str]:
    pages = pypdf.PdfReader(io.BytesIO(data)).pages
    return [line for page in pages for line in page.extract_text().splitlines()]


def _of_html(data: bytes) -> list[str]:
    text = re.sub(r"<(script|style)\b.*?</\1>", "", data.decode(), flags=re.S)
    said = re.findall(r'(?:aria-label|title|alt)="([^"]*)"', text) + re.sub(r"<[^>]+>", "\n", text).splitlines()
    return [html.unescape(s) for s in said]


def _of_dxf(data: bytes) -> list[str]:
    import ezdxf

    found = [e.dxf.text for e in ezdxf.read(io.StringIO(data.decode("ascii"))).modelspace().query("TEXT")]  # type: ignore[attr-defined]
    return [re.sub(r"\\U\+([0-9A-F]{4})", lambda m: chr(int(m[1], 16)), t) for t in found]


def _of_pages(pages: Iterable[Page]) -> list[str]:
    return [i.text for p in pages for i in p.items if isinstance(i, Text)]


def _read(results: Results) -> dict[str, list[str]]:
    """The texts of every document by its name."""
    read = {".pdf": _of_pdf, ".html": _of_html, ".dxf": _of_dxf}
    found = {PREVIEWS: _of_pages(previews(results).values())}
    for maker in (m for m in MAKERS if not m.on_request):
        if maker.name not in (PREVIEWS, "summary.json"):
            for name, data in maker.make(results).items():
                found[name] = read[name[name.rindex(".") :]](data)
    return {name: [" ".join(t.split()) for t in texts] for name, texts in found.items()}


def _own_words(value: Any) -> set[str]:
    """Every text of the job: titles, names, notes, places; the user's words."""
    if isinstance(value, str):
        return {value} if _WORD.search(value) else set()
    if isinstance(value, tuple):
        return {w for v in value for w in _own_words(v)}
    if is_dataclass(value) and not value.__class__.__module__.startswith("cutplan.geometry"):
        return {
            w
            for f in fields(value)
            if f.name not in ("process", "tool", "purpose", "kind", "findings")
            for w in _own_words(getattr(value, f.name))
        }
    return set()


@cache
def _citations() -> re.Pattern[str]:
    """Titles of sources as they stand in both editions, whole or in parts; ``and`` between names may be said."""
    found = {
        s.citation
        for s in (*cut_sources.SOURCES.values(), *weld_sources.SOURCES.values())
        if isinstance(s.citation, str)
    }
    found |= {part for c in found for mark in ("; ", ": ") for part in c.split(mark)}
    ordered = sorted(found, key=lambda c: (-len(c), c))
    return re.compile("|".join(re.escape(c).replace(r"\ and\ ", r"\ (?:and|und)\ ") for c in ordered))


@cache
def _titles() -> str:
    sources = (*cut_sources.SOURCES.values(), *weld_sources.SOURCES.values())
    return " | ".join(s.citation for s in sources if isinstance(s.citation, str))


def _left(line: str, own: set[str]) -> str:
    """What a line says beside the user's words, sources, key paths and file names."""
    if line.rstrip(".") in _titles():
        return ""
    line = _citations().sub("", line)
    for kept in sorted(own, key=lambda w: (-len(w), w)):
        line = line.replace(kept, "")
    # places such as [skin.rib[0].depth], and files such as plate-net.dxf
    return re.sub(r"\[[\w. \[\]]*\]|[\w-]+\.(?:dxf|toml|csv|pdf|json|ai|com)\b", "", line)


def _english(german: dict[str, list[str]], english: dict[str, list[str]], own: set[str]) -> dict[str, list[str]]:
    """Lines of three or more words that a German document shares with the English edition."""
    known = {line for lines in english.values() for line in lines}
    found: dict[str, list[str]] = {}
    for name, lines in german.items():
        for line in lines:
            words = [w for w in _WORD.findall(_left(line, own)) if w not in _UNITS]
            if line in known and len(words) >= 3:
                found.setdefault(name, []).append(line)
    return found


@cache
def _editions(name: str) -> tuple[dict[str, list[str]], dict[str, list[str]], set[str]]:
    made = sample(name)
    return _read(_german(made)), _read(made), _own_words(made.job)


@pytest.mark.slow
@pytest.mark.parametrize("name", [LAP, BUTT])
def test_no_english_sentence_is_left_in_any_document(name: str) -> None:
    german, english, own = _editions(name)
    assert len(german) == 7
    assert all(len(lines) >= 5 for lines in german.values()), {n: len(t) for n, t in german.items()}
    assert _english(german, english, own) == {}


@pytest.mark.slow
@pytest.mark.parametrize("name", [LAP, BUTT])
def test_no_sentence_is_half_said(name: str) -> None:
    german, _, own = _editions(name)
    # the job sheet breaks its lines inside titles of sources, so it is read by the line test alone
    mixed = {
        (doc, line)
        for doc, lines in german.items()
        if doc != "job-sheet.pdf"
        for line in lines
        if _SMALL.search(_left(line, own))
    }
    assert mixed == set()


@pytest.mark.slow
def test_a_missing_phrase_would_be_seen(monkeypatch: pytest.MonkeyPatch) -> None:
    _, english, own = _editions(LAP)
    kept = {
        k: v for k, v in catalogues.catalogue("de").items() if " " not in k[1]
    }  # texts with an id, and single words
    assert len(kept) < len(catalogues.catalogue("de"))
    with monkeypatch.context() as patch:
        patch.setattr(catalogues, "catalogue", lambda lang: kept)
        net = next(m for m in MAKERS if m.name == "plate-net.dxf").make(_german(sample(LAP)))["plate-net.dxf"]
    found = _english({"plate-net.dxf": _of_dxf(net)}, english, own)
    assert list(found) == ["plate-net.dxf"]


@pytest.mark.slow
@pytest.mark.parametrize("lang", ["en", "de"])
@pytest.mark.parametrize("name", [LAP, BUTT])
def test_the_cautions_stand_on_the_page_that_every_foot_names(name: str, lang: str) -> None:
    second = _of_pages([job_sheet(sample(name), lang).pages[1]])
    assert told("caution.title", lang) in second


@pytest.mark.slow
@pytest.mark.parametrize("name", [LAP, BUTT])
def test_the_summary_is_for_machines_and_stays_as_it_is(name: str) -> None:
    made = sample(name)
    german, english = summary(_german(made)), summary(made)
    # longer words can need a sheet more, on which a template lies turned: its check lengths are the same, in another order
    lengths = [
        sorted(c["length_mm"] for c in [each["templates"].pop(k) for k in ("pages", "sheets", "checks")][2])
        for each in (german, english)
    ]
    assert lengths[0] == lengths[1] and german == english


def _papered() -> Job:
    """A butt job whose paper also holds a saddle, a mitre, a flange, a mirrored copy and a job without a hand."""
    job = read_job(SAMPLES / BUTT / "job.toml")
    wraps = (TubeWrap("strut", 42.4, 60.3, 2.0, 60.0, 3.0), TubeWrap("corner", 50.0, 0.0, 2.0, 90.0))
    flanges = (Flange("lip", (60.0, 60.0), (90.0,), 120.0, 2.0, 2.0),)
    marks = replace(job.marks, hand="", mirrored_copy=True, forward_deg=90.0, up_deg=None, left_deg=180.0)
    return replace(job, marks=marks, beside=replace(job.beside, wraps=wraps, flanges=flanges))


@pytest.mark.slow
def test_paper_with_tube_and_flange_speaks_german() -> None:
    job = _papered()
    made = {
        lang: plan_templates(replace(job, shown=replace(job.shown, language=lang)), Shop()) for lang in ("en", "de")
    }
    german, english = ({"templates": _of_pages(made[lang].pages)} for lang in ("de", "en"))
    own = _own_words(job)
    assert _english(german, english, own) == {}
    assert [line for line in german["templates"] if _SMALL.search(_left(line, own))] == []
    said = " ".join(german["templates"])
    # the words of the catalogue, umlauts as they are
    for words in (
        "VORN",
        "LINKS",
        "RECHTS",
        "PLATTE: gespiegelt",
        "ÖFFNUNG in der",
        "Rohrwickel strut",
        "GEHRUNG",
        "versetzt",
        "ZUSCHNITT",
        "90° nach oben biegen",
        "nie „an Seite anpassen“",
        "Lineale messen",
    ):
        assert words in said, words
    # names for machines are the same, and nothing found less room than in English
    assert [t.template for t in made["de"].tiles] == [t.template for t in made["en"].tiles]
    assert [f.code for f in made["de"].findings] == [f.code for f in made["en"].findings]


def test_the_usual_side_is_said_and_the_users_side_is_kept() -> None:
    job = read_job(SAMPLES / LAP / "job.toml")
    for side, words in (("outside", "Sichtseite: außen"), ("far wall", "Sichtseite: far wall")):
        marked = replace(job, marks=replace(job.marks, side_out=side), shown=replace(job.shown, language="de"))
        assert any(t.startswith(words) for t in _of_pages(plan_templates(marked, Shop()).pages))


def test_a_title_that_is_also_a_phrase_stays_the_users() -> None:
    notes = {
        Reader("de")(say("{title}: opening in the skin", title=code(title)))
        for title in ("Plate", "Plate: laser, left")
    }
    assert notes == {"Plate: Öffnung in der Wand", "Plate: laser, left: Öffnung in der Wand"}
