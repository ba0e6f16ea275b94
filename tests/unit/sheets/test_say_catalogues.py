"""Every text stands once in each catalogue, with the same fields, and is used."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

from cutplan.errors import CutplanError
from cutplan.tables.say import LANGUAGES, catalogue, fields, say

PACKAGE = Path(__file__).parents[3] / "cutplan"


def _keys_in_code() -> tuple[set[str], set[str]]:
    """Whole ids given to say(...), and the fixed starts of ids put together in an f-string."""
    whole, starts = set(), set()
    for path in sorted((PACKAGE / "sheets").rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Constant) and isinstance(node.value, str):
                if re.fullmatch(r"[a-z_]+(\.[a-z_A-Z0-9 ]+)+", node.value):
                    whole.add(node.value)
            if isinstance(node, ast.JoinedStr) and isinstance(node.values[0], ast.Constant):
                starts.add(str(node.values[0].value))
            if isinstance(node, ast.BinOp) and isinstance(node.left, ast.Constant) and isinstance(node.left.value, str):
                starts.add(node.left.value)
    return whole, starts


@pytest.mark.parametrize("lang", sorted(LANGUAGES))
def test_catalogues_have_the_same_ids_and_fields(lang: str) -> None:
    base, other = catalogue("en"), catalogue(lang)
    assert sorted(base) == sorted(other)
    different = [k for k in base if fields(base[k]) != fields(other[k])]
    assert different == []


def test_a_second_language_says_something_else() -> None:
    base, other = catalogue("en"), catalogue("de")
    same = [k for k in base if base[k] == other[k]]
    assert len(same) < 0.12 * len(base), same  # words such as "Name" or "MAG" may be alike


def test_every_text_is_used() -> None:
    whole, starts = _keys_in_code()
    idle = [
        k for k in catalogue("en")
        if k not in whole and not any(k.startswith(s) and s.count(".") >= 1 for s in starts if "." in s)
        and not any(s == "play." or s == "report." for s in starts if k.startswith(s))
    ]
    assert idle == []


def test_a_missing_id_is_a_fault_of_the_program() -> None:
    with pytest.raises(CutplanError, match=r"cover\.nothing"):
        say("cover.nothing")


def test_a_missing_value_is_named() -> None:
    with pytest.raises(CutplanError, match="total"):
        say("page.count", n=1)


def test_an_unknown_language_lists_the_known() -> None:
    with pytest.raises(CutplanError) as caught:
        say("cover.title", "xx")
    assert "en, de" in str(caught.value)
