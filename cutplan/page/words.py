"""The page's own texts: English in its modules as ``t("...")``, other languages in the catalogues."""

from __future__ import annotations

import ast
import re
from functools import cache
from importlib.resources import files
from typing import Any

from cutplan.project.desk.choices import choices
from cutplan.texts.catalogue import LANGUAGES, catalogue

#: Context of the page's texts in the catalogues.
CONTEXT = "page"
#: Words of the job file that the page shows: what its lists offer, and names of directions.
WORDS = (
    *dict.fromkeys(w for offered in choices().values() for w in offered if w and w not in ("mm", "in", *LANGUAGES)),
    "forward",
    "up",
    "outside",
    *("templates", "cut", "opening", "weld", "done", "write", "pictures"),  # steps of the long work
)
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
    """Return the page's texts and the words of its lists in a language; English needs none.

    Raises
    ------
    CutplanError
        When there is no catalogue for the language.
    """
    entries = catalogue(lang)
    return {
        "language": lang,
        "words": {text: entries[(CONTEXT, text)][0] for text in (*english(), *WORDS) if (CONTEXT, text) in entries},
    }
