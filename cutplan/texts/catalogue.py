"""Catalogues of texts: gettext ``.po`` files, which translators know, read directly.

One folder for each language, one file for each area. A sentence of a trade is its own key, so English has catalogues only
for the texts of documents that have an id (``*-by-id.po``). Format: GNU gettext
manual, chapter 3 (The Format of PO Files). Only what the files use is read: comments, ``msgctxt``, ``msgid``,
``msgid_plural``, ``msgstr`` and ``msgstr[n]``, strings over several lines.
"""

from __future__ import annotations

import ast
from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING

from cutplan.errors import CutplanError

if TYPE_CHECKING:
    from cutplan.texts.message import Message

#: Languages that documents can be in: code -> own name.
LANGUAGES: dict[str, str] = {"en": "English", "de": "Deutsch"}

#: A text with its context, and what stands for one and for many.
Entries = dict[tuple[str, str], tuple[str, str]]


def parse_po(text: str, where: str = "") -> Entries:
    """Return the entries of a ``.po`` file: (context, English) -> (for one, for many); the header is left out.

    Raises
    ------
    CutplanError
        When a line is none of the format.
    """
    entries: Entries = {}
    entry: dict[str, str] = {}
    field = ""
    for count, line in enumerate([*text.splitlines(), ""], 1):
        line = line.strip()
        if line.startswith("#"):
            continue
        head, _, rest = line.partition(" ")
        if (not line or head in ("msgctxt", "msgid")) and entry.keys() & {"msgstr", "msgstr[0]"}:
            _keep(entries, entry)
            entry = {}
        if not line:
            continue
        if head.startswith("msg"):
            field = head
            entry[field] = ""
            line = rest.strip()
        if not (line.startswith('"') and line.endswith('"') and field):
            raise CutplanError(f"no line of a catalogue: {line[:40]!r}", where=f"{where}, line {count}")
        entry[field] += ast.literal_eval(line)
    return entries


def _keep(entries: Entries, entry: dict[str, str]) -> None:
    one = entry.get("msgstr", entry.get("msgstr[0]", ""))
    if entry.get("msgid"):
        entries[(entry.get("msgctxt", ""), entry["msgid"])] = (one, entry.get("msgstr[1]", one))


@cache
def catalogue(lang: str) -> Entries:
    """Return every entry of a language's files.

    Raises
    ------
    CutplanError
        When there is no catalogue for the language.
    """
    if lang not in LANGUAGES:
        raise CutplanError(
            f"no texts in language {lang!r}", where="language", hint=f"use one of {', '.join(LANGUAGES)}"
        )
    entries: Entries = {}
    for file in sorted(files("cutplan.texts").joinpath(lang).iterdir(), key=lambda f: f.name):
        if file.name.endswith(".po"):
            entries.update(parse_po(file.read_text(encoding="utf-8"), file.name))
    return entries


def lookup(message: Message, lang: str) -> str:
    """Return a message's text in a language, its fields not yet filled; English where the catalogue lacks it."""
    many = bool(message.many) and message.count != 1
    english = message.many if many else message.key
    if lang == "en":
        return english
    found = catalogue(lang).get((message.context, message.key))
    return found[many] if found and found[many] else english
