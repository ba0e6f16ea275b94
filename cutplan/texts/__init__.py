"""Texts are data: a message is a key with named values, rendered once, at the door, for its reader.

A trade says ``say("the kerf of {kerf} is only a table value", kerf=mm(1.84, 2))``. The key is the English text; values are
typed (:mod:`cutplan.texts.values`); German stands in the catalogues ``texts/de/*.po``. Sheets, report, page and command
line turn messages into words with :func:`rendered` and a :class:`Reader`. Nothing takes a sentence apart.
"""

from cutplan.texts.message import Message, plural, say, template, together
from cutplan.texts.render import ENGLISH, Reader, rendered
from cutplan.texts.values import band, code, every, inch_or_mm, listed, mm, name, number, place, size, sourced, span, to

__all__ = [
    "ENGLISH",
    "Message",
    "Reader",
    "band",
    "code",
    "every",
    "inch_or_mm",
    "listed",
    "mm",
    "name",
    "number",
    "place",
    "plural",
    "rendered",
    "say",
    "size",
    "sourced",
    "span",
    "template",
    "to",
    "together",
]
