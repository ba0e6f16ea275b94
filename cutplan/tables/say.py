"""The one door for every sentence and label that people read: a plain id and a language give the text.

Catalogues are plain dictionaries in ``words_<language>`` modules, one text per id, values as ``{name}`` fields. A trade
that has a sentence to say adds its id there; a test keeps all catalogues equal in ids and fields.
"""

from __future__ import annotations

from functools import cache
from importlib import import_module
from string import Formatter

from cutplan.errors import CutplanError

#: Languages with a complete catalogue: code -> own name.
LANGUAGES: dict[str, str] = {"en": "English", "de": "Deutsch"}


@cache
def catalogue(lang: str) -> dict[str, str]:
    """Return the texts of a language by id.

    Raises
    ------
    CutplanError
        When there is no catalogue for the language.
    """
    if lang not in LANGUAGES:
        raise CutplanError(
            f"no texts in language {lang!r}", where="language", hint=f"use one of {', '.join(LANGUAGES)}"
        )
    words: dict[str, str] = import_module(f"cutplan.tables.words_{lang}").WORDS
    return words


def say(key: str, lang: str = "en", **values: object) -> str:
    """Return the text of an id in a language, with its fields filled in.

    Parameters
    ----------
    key : str
        Id of the text, such as ``cover.title``.
    lang : str
        Language code of :data:`LANGUAGES`.
    **values
        Fields of the text; numbers are formatted by the caller or by the field (``{gap_mm:.1f}``).

    Raises
    ------
    CutplanError
        When the id or a field is missing: a fault of the program, never of the user.
    """
    try:
        return catalogue(lang)[key].format(**values)
    except KeyError as missing:
        raise CutplanError(f"no text or value for {missing} in {key!r}", where=f"texts, language {lang}") from None


def fields(text: str) -> frozenset[str]:
    """Return the names of the fields in a text."""
    return frozenset(name for _, name, _, _ in Formatter().parse(text) if name)
