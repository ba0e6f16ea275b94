"""The page's own texts: English in its modules as ``t("...")``, other languages in the catalogues."""

from __future__ import annotations

import ast
import re
from functools import cache
from importlib.resources import files
from typing import Any

_CALL = re.compile(r"\bt\(\s*(\"(?:[^\"\\]|\\.)*\")")


@cache
def english() -> tuple[str, ...]:
    """Return every text that the page's modules say, sorted."""
    folder = files("cutplan.page").joinpath("static")
    found: set[str] = set()
    for file in folder.iterdir():
        if file.name.endswith(".js"):
            found |= {str(ast.literal_eval(m)) for m in _CALL.findall(file.read_text(encoding="utf-8"))}
    return tuple(sorted(found))


def words(lang: str) -> dict[str, Any]:
    """Return the page's texts and the words of its lists in a language; English needs none."""
    return {"language": lang, "words": {}}
