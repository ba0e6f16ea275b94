"""Names that a user gives are values: words of the catalogues keep them as they are, in every language and document."""

from __future__ import annotations

import json
import re
from collections import Counter
from pathlib import Path

import ezdxf.filemanagement
import pytest
from pypdf import PdfReader

from cutplan.cli.main import main

JOB = """
units = "mm"
language = "{language}"
title = "{T}"
[plate]
shape = "rectangle"
width = 240
height = 140
corner_radius = 20
thickness = 4
hole = [
  {{ name = "{A}", at = [50, 70], diameter = 13, purpose = "bolt" }},
  {{ name = "{B}", at = [190, 70], diameter = 13, purpose = "bolt" }},
  {{ name = "{C}", at = [120, 70], diameter = 50, purpose = "access" }},
  {{ name = "{D}", at = [120, 115], diameter = 12, purpose = "plug weld" }},
]
[skin]
thickness = 2.5
box_depth = 80
rib = [
  {{ name = "{E}", path = [[80, 0], [80, 140]], knowledge = "known", depth = 20 }},
  {{ name = "{F}", path = [[160, 0], [160, 140]], knowledge = "suspected" }},
]
[[pad]]
name = "{G}"
hole = "{A}"
[[pad]]
name = "{H}"
hole = "{B}"
[welding]
orders = 10
[marks]
up_deg = 90
"""
#: What the names are: words that catalogues hold, English and German ones, and the words of documents beside them.
WORDS = dict(
    zip("ABCDEFGHT", ("file", "mark", "Feile", "hole", "brace", "start", "pad", "Heften", "plate"), strict=True)
)
#: Names that no catalogue holds, each as often in the documents.
PLAIN = {key: f"Qx{key}" for key in WORDS}
ONLY = "job-sheet,report,summary,plate-net,opening,templates"


def words_of(folder: Path) -> dict[str, Counter[str]]:
    """Return how often each word stands in each document of a folder."""
    texts = {"report.html": re.sub(r"<[^>]*>", " ", (folder / "report.html").read_text(encoding="utf-8"))}
    for name in ("job-sheet.pdf", "templates.pdf"):
        texts[name] = " ".join(page.extract_text() for page in PdfReader(folder / name).pages)
    for path in folder.glob("*.dxf"):
        texts[path.name] = " ".join(t.dxf.text for t in ezdxf.filemanagement.readfile(path).modelspace().query("TEXT"))
    texts["summary.json"] = " ".join(_strings(json.loads((folder / "summary.json").read_text(encoding="utf-8"))))
    prints = re.compile(r"[0-9a-f]{16,64}")  # of the job's bytes, which differ
    return {name: Counter(re.findall(r"\w+", prints.sub("", text))) for name, text in texts.items()}


def _strings(value: object) -> list[str]:
    if isinstance(value, dict):
        return [s for v in value.values() for s in _strings(v)]
    if isinstance(value, list):
        return [s for v in value for s in _strings(v)]
    return [value] if isinstance(value, str) else []


@pytest.mark.slow
@pytest.mark.parametrize("language", ["en", "de"])
def test_names_like_words_of_the_catalogue_stay_as_they_are(language: str, tmp_path: Path) -> None:
    found = {}
    for which, names in (("plain", PLAIN), ("words", WORDS)):
        job, out = tmp_path / which / "job.toml", tmp_path / which / "out"
        job.parent.mkdir()
        job.write_text(JOB.format(language=language, **names), encoding="utf-8")
        assert main(["make", str(job), "-o", str(out), "--only", ONLY]) == 0
        found[which] = words_of(out)
    assert set(found["plain"]) == set(found["words"])
    for document, plain in found["plain"].items():
        there = {key for key, name in PLAIN.items() if plain[name]}
        assert {"A", "B", "C", "D"} <= there or document == "opening.dxf", document  # holes stand in every other one
        # exact: each name as often as the name that no catalogue holds, beside the same word of our own
        wanted = Counter({word: count for word, count in plain.items() if word not in PLAIN.values()})
        for key in there:
            wanted[WORDS[key]] += plain[PLAIN[key]]
        differ = {w: (wanted[w], found["words"][document][w]) for w in wanted | found["words"][document]}
        assert {w: pair for w, pair in differ.items() if pair[0] != pair[1]} == {}, document
    assert all(found["plain"]["job-sheet.pdf"][name] for name in PLAIN.values())
    assert all(found["plain"]["report.html"][name] for name in PLAIN.values())
