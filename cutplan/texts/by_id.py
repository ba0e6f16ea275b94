"""Texts of sheets, report and templates by id: what stands in a fixed place of a document, said in its language at once."""

from __future__ import annotations

from cutplan.errors import CutplanError
from cutplan.texts.catalogue import catalogue
from cutplan.texts.message import Message
from cutplan.texts.render import Reader, rendered


def told(key: str, lang: str = "en", **values: object) -> str:
    """Return the text of an id in a language, with its fields filled in.

    Parameters
    ----------
    key : str
        Id of the text, such as ``cover.title``; the texts stand in ``texts/<language>/*-by-id.po``.
    lang : str
        Language code.
    **values
        Fields of the text: messages, numbers for the field to format (``{gap_mm:.1f}``), or what is already in the
        reader's words.

    Raises
    ------
    CutplanError
        When the id or a field is missing: a fault of the program, never of the user.
    """
    found = catalogue(lang).get(("", key))
    reader = Reader(lang)
    said = {n: rendered(v, reader) if isinstance(v, Message) else v for n, v in values.items()}
    try:
        if found is None:
            raise KeyError(key)
        return found[0].format(**said)
    except KeyError as missing:
        raise CutplanError(f"no text or value for {missing} in {key!r}", where=f"texts, language {lang}") from None
