"""The page's own files: small modules, nothing fetched from elsewhere, every text with its German."""

from __future__ import annotations

import re
from pathlib import Path

import cutplan.page
from cutplan.page.app import page_files
from cutplan.page.words import CONTEXT, WORDS, english, words

STATIC = Path(cutplan.page.__file__).parent / "static"
FIELDS = re.compile(r"\{(\w+)\}")


def test_no_module_holds_more_than_one_idea() -> None:
    long = {p.name: p.read_text().count("\n") for p in STATIC.iterdir() if p.read_text().count("\n") >= 300}
    assert long == {}


def test_nothing_is_fetched_from_elsewhere() -> None:
    for name, data in page_files().items():
        text = data.decode().replace("http://www.w3.org/2000/svg", "")
        assert not re.search(r"https?://|//[a-z]+\.[a-z]", text), name
        assert not re.search(r"innerHTML|outerHTML|insertAdjacentHTML|document\.write|\beval\(|new Function", text), (
            name
        )


def test_modules_ask_only_for_modules_that_are_there() -> None:
    for name, data in page_files().items():
        for asked in re.findall(r'(?:from|import\()\s*"/files/([^"]+)"', data.decode()):
            assert asked in page_files(), f"{name} asks for {asked}"


def test_every_text_has_its_german_with_the_same_fields() -> None:
    known = words("de")["words"]
    missing = [t for t in (*english(), *WORDS) if not known.get(t)]
    assert missing == []
    for text, said in known.items():
        assert set(FIELDS.findall(said)) == set(FIELDS.findall(text)), text
    assert CONTEXT == "page" and len(english()) > 100


def test_every_text_is_a_literal() -> None:
    for name, data in page_files().items():
        if name.endswith(".js") and name != "words.js":
            odd = re.findall(r"\bt\(\s*[^\"\s)][^)]*\)", data.decode())
            assert odd == [], f"{name}: {odd}"
