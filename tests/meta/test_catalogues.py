"""Every text said to people has its German: sources and catalogues are read and compared."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest
from syntax import statements

from cutplan.texts.catalogue import LANGUAGES, catalogue, parse_po
from cutplan.texts.message import fields

PACKAGE = Path(__file__).parents[2] / "cutplan"
#: Functions whose first arguments are texts, and how many of them.
SAYING = {"say": 1, "template": 1, "plural": 2}

Texts = dict[tuple[str, str], tuple[str, str]]


def texts_of(source: str, path: str) -> tuple[Texts, list[str]]:
    """Return (context, text) -> (text for many, place) of every message made in a module, and what is no literal."""
    tree = ast.parse(source)
    imported = {
        a.name
        for n in statements(tree)
        if isinstance(n, ast.ImportFrom) and (n.module or "").startswith("cutplan.texts")
        for a in n.names
    }
    if not SAYING.keys() & imported:
        return {}, []
    found: Texts = {}
    wrong = []
    for node in ast.walk(tree):
        if not isinstance(node, ast.Call):
            continue
        called = node.func.id if isinstance(node.func, ast.Name) else ""
        if called not in SAYING.keys() & imported or not node.args:
            continue
        place = f"{path}:{node.lineno}"
        keys = [_literals(a) for a in node.args[: SAYING[called]]]
        context = "".join(
            str(k.value.value) for k in node.keywords if k.arg == "context" and isinstance(k.value, ast.Constant)
        )
        if any(not k for k in keys):
            wrong.append(f"{place}: the text is no literal")
            continue
        for one in keys[0]:
            found[(context, one)] = (keys[1][0] if len(keys) > 1 else "", place)
    return found, wrong


def _literals(node: ast.expr) -> list[str]:
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        return [node.value]
    if isinstance(node, ast.IfExp):
        both = [_literals(node.body), _literals(node.orelse)]
        return both[0] + both[1] if all(both) else []
    return []


def _all() -> tuple[Texts, list[str]]:
    found: Texts = {}
    wrong: list[str] = []
    for path in sorted(PACKAGE.rglob("*.py")):
        if path.parent.name != "texts":
            more, bad = texts_of(path.read_text(encoding="utf-8"), str(path.relative_to(PACKAGE)))
            found.update(more)
            wrong += bad
    return found, wrong


@pytest.mark.parametrize("lang", [lang for lang in LANGUAGES if lang != "en"])
def test_every_text_has_its_translation_with_the_same_fields(lang: str) -> None:
    found, wrong = _all()
    assert wrong == []
    entries = catalogue(lang)
    missing = [f"{place}: {key!r}" for (c, key), (_, place) in found.items() if not entries.get((c, key), ("", ""))[0]]
    assert missing == [], "texts without a translation"
    for (context, key), (many, place) in found.items():
        one, more = entries[(context, key)]
        assert fields(one) <= fields(key) | fields(many), place
        assert fields(key) - {"count"} <= fields(one), place
        if many:
            assert fields(more) == fields(many), place


@pytest.mark.parametrize("lang", [lang for lang in LANGUAGES if lang != "en"])
def test_no_text_is_said_in_two_ways(lang: str) -> None:
    seen: dict[tuple[str, str], tuple[str, str]] = {}
    for path in sorted((PACKAGE / "texts" / lang).glob("*.po")):
        for key, said in parse_po(path.read_text(encoding="utf-8"), path.name).items():
            assert seen.setdefault(key, said) == said, f"{path.name}: {key}"


@pytest.mark.parametrize("path", sorted(PACKAGE.rglob("*.po")), ids=lambda p: p.name)
def test_no_german_stands_without_its_english(path: Path) -> None:
    # a merge had left a second msgstr behind a blank line: nobody reads it, and a search for a word finds the wrong one
    blocks = path.read_text(encoding="utf-8").split("\n\n")
    lone = [b for b in blocks if "msgstr" in b and not any(line.startswith("msgid ") for line in b.splitlines())]
    assert lone == []


def test_the_check_sees_planted_faults() -> None:
    head = "from cutplan.texts import say\n"
    assert texts_of(head + 'say("a")', "x.py")[0] == {("", "a"): ("", "x.py:2")}
    assert texts_of(head + 'say(f"a {b}")', "x.py")[1] != []
    assert texts_of(head + 'say("a" if b else "c", context="d")', "x.py")[0].keys() == {("d", "a"), ("d", "c")}
