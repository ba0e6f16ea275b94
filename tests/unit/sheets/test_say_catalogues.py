"""Every text stands once in each catalogue, with the same fields, and is used."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

from cutplan.errors import CutplanError
from cutplan.texts.by_id import told
from cutplan.texts.catalogue import LANGUAGES, catalogue
from cutplan.texts.message import fields

PACKAGE = Path(__file__).parents[3] / "cutplan"


def _patterns_in_code() -> list[re.Pattern[str]]:
    """A pattern for every text of the code that could be an id; parts put in at run time match anything."""
    found = []
    for path in sorted(
        p
        for folder in ("sheets", "report", "inspection", "templates", "project")
        for p in (PACKAGE / folder).rglob("*.py")
    ):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Constant) and isinstance(node.value, str) and "." in node.value:
                # the start of an id that is put together with +
                tail = ".+" if node.value.endswith(".") else ""
                found.append(re.compile(re.escape(node.value) + tail))
            elif isinstance(node, ast.JoinedStr):
                parts = [re.escape(str(v.value)) if isinstance(v, ast.Constant) else ".+" for v in node.values]
                if re.match(r"[a-z_]+\\\.", parts[0]):
                    found.append(re.compile("".join(parts)))
    return found


def ids(lang: str) -> dict[str, str]:
    """Every text that has an id, by its id."""
    entries = catalogue(lang)
    return {key: entries[("", key)][0] for context, key in catalogue("en") if not context and ("", key) in entries}


@pytest.mark.parametrize("lang", sorted(LANGUAGES))
def test_catalogues_have_the_same_ids_and_fields(lang: str) -> None:
    base, other = ids("en"), ids(lang)
    assert sorted(base) == sorted(other)
    different = [k for k in base if fields(base[k]) != fields(other[k])]
    assert different == []


def test_a_second_language_says_something_else() -> None:
    base, other = ids("en"), ids("de")
    same = [k for k in base if base[k] == other[k]]
    assert len(same) < 0.12 * len(base), same  # words such as "Name" or "MAG" may be alike


def _idle(keys: list[str]) -> list[str]:
    patterns = _patterns_in_code()
    return [k for k in keys if not any(p.fullmatch(k) for p in patterns)]


def test_every_text_is_used() -> None:
    assert _idle(list(ids("en"))) == []


def test_an_idle_text_would_be_seen() -> None:
    assert _idle(["cover.idle"]) == ["cover.idle"]


def test_a_missing_id_is_a_fault_of_the_program() -> None:
    with pytest.raises(CutplanError, match=r"cover\.nothing"):
        told("cover.nothing")


def test_a_missing_value_is_named() -> None:
    with pytest.raises(CutplanError, match="total"):
        told("page.count", n=1)


def test_an_unknown_language_lists_the_known() -> None:
    with pytest.raises(CutplanError) as caught:
        told("cover.title", "xx")
    assert "en, de" in str(caught.value)
