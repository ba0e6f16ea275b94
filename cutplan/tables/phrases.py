"""Sentences that the trades write in English, said in another language by pattern.

A trade keeps its own sentences beside its rules. For another language each has one pattern here: the English text with
its values as ``{a}``, ``{b}`` ..., and what stands for it. A value called ``{own}`` holds the user's own words, left as
they are. What has no pattern stays English.
"""

from __future__ import annotations

import re
from functools import cache
from importlib import import_module

from cutplan.texts import Message, Reader, rendered

_FIRST = re.compile(r"^\\\{(\w+)\\\}")
_OWN = re.compile(r"\\\{own\\\}")
_FIELD = re.compile(r"\\\{(\w+)\\\}")

#: Languages that have patterns; any other has catalogues alone.
PATTERNED = ("de",)
#: A word of a sentence: what holds none of these is names, numbers and units.
_WORD = re.compile(r"(?!min\b)[a-z]{3,}")
_JOIN = re.compile(r"\b(?:and|to)\b")
_NAMES = re.compile(r"([\w.+-]{1,14}(?:, [\w.+-]{1,14})*) and ([\w.+-]{1,14}(?: \([^()]{1,12}\))?)")


@cache
def phrases_of(lang: str) -> dict[str, str]:
    """Return every pattern of a language with what stands for it."""
    sentences: dict[str, str] = import_module(f"cutplan.tables.phrases_{lang}").PHRASES
    findings: dict[str, str] = import_module(f"cutplan.tables.phrases_{lang}_findings").FINDINGS
    files: dict[str, str] = import_module(f"cutplan.tables.phrases_{lang}_files").FILES
    return sentences | findings | files


@cache
def _patterns(lang: str) -> tuple[tuple[re.Pattern[str], str], ...]:
    """Patterns of a language, those with the most fixed letters first."""
    phrases = phrases_of(lang)
    ordered = sorted(phrases, key=lambda p: (-len(re.sub(r"\{\w+\}", "", p)), p))
    # a full stop at the end is taken off and put back, so that a sentence is known with and without it
    found = []
    for p in ordered:
        # a value at the very start holds no colon: what stands before a colon is a pattern of its own; none holds a
        # semicolon, which parts sentences
        fixed = _OWN.sub(r"(?P<own>.+?)", re.escape(p.rstrip(".")))
        fixed = _FIRST.sub(r"(?P<\1>(?:(?!: |; ).)+?)", fixed)
        pattern = _FIELD.sub(r"(?P<\1>(?:(?!; ).)+?)", fixed)
        found.append((re.compile(pattern, re.S), phrases[p].rstrip(".")))
    return tuple(found)


@cache
def translated(text: Message | str, lang: str) -> str:
    """Return a trade's English sentence in a language; parts joined by ``; `` or ``. `` are looked up one by one.

    Parameters
    ----------
    text : str
        The sentence as the trade wrote it.
    lang : str
        Language code; one without patterns returns the text as it is.
    """
    if not isinstance(text, str):
        return rendered(text, Reader(lang))
    if lang not in PATTERNED or not text:
        return text
    whole = _one(text, lang)
    if whole is not None:
        return whole
    for mark in (". ", "; ", ": ", ", "):
        parts = text.split(mark)
        if len(parts) > 1:
            return mark.join(translated(p, lang) for p in parts)
    return text


def _joined(text: str, lang: str) -> str | None:
    """Names, numbers and known words with what joins them in the language: ``B1 and B2``, ``C5 to C8``."""
    words = import_module(f"cutplan.tables.phrases_{lang}")
    bare = _JOIN.sub("", text)
    if bare == text:
        return None
    if not _WORD.search(bare):
        return _JOIN.sub(lambda m: words.AND if m[0] == "and" else words.TO, text)
    parts = text.split(" and ")
    said = [_one(p, lang) for p in parts] if len(parts) > 1 else [None]
    if None not in said:
        return f" {words.AND} ".join(s for s in said if s)
    found = _NAMES.fullmatch(text)
    return f"{found[1]} {words.AND} {found[2]}" if found else None


def _one(text: str, lang: str) -> str | None:
    stop = text[-1] if text[-1] in ".:" else ""
    bare = text.rstrip(".:") if stop else text
    for pattern, says in _patterns(lang):
        found = pattern.fullmatch(bare)
        if found:
            values = {k: v if k == "own" else translated(v, lang) for k, v in found.groupdict().items()}
            return says.format(**values) + stop
    return _joined(text, lang)
