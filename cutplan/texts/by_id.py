"""Texts of sheets, report and templates by id: what stands in a fixed place of a document, said in its language at once."""

from __future__ import annotations

from cutplan.errors import CutplanError
from cutplan.texts.catalogue import catalogue
from cutplan.texts.message import Message
from cutplan.texts.render import Reader, shown
from cutplan.texts.values import Banded, Length, Listing, Number, Place, Span

#: Values that the reader's language and units put into words; names and bare numbers are for the text to format.
_TYPED = (Message, Length, Number, Span, Banded, Place, Listing)


def told(key: str, lang: str | Reader = "en", **values: object) -> str:
    """Return the text of an id in a language, with its fields filled in.

    Parameters
    ----------
    key : str
        Id of the text, such as ``cover.title``; the texts stand in ``texts/<language>/*-by-id.po``.
    lang : str or Reader
        Language code, for millimetres; or who reads, where lengths are among the values.
    **values
        Fields of the text: messages and typed values, numbers for the field to format (``{count}``), or what is
        already in the reader's words.

    Raises
    ------
    CutplanError
        When the id or a field is missing: a fault of the program, never of the user.
    """
    reader = lang if isinstance(lang, Reader) else Reader(lang)
    found = catalogue(reader.language).get(("", key))
    said = {n: shown(v, reader) if isinstance(v, _TYPED) else v for n, v in values.items()}
    try:
        if found is None:
            raise KeyError(key)
        return found[0].format(**said)
    except KeyError as missing:
        raise CutplanError(
            f"no text or value for {missing} in {key!r}", where=f"texts, language {reader.language}"
        ) from None
