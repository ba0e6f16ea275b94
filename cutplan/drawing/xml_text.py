"""Text inside XML: what must not stand there as it is, written so that it may; the standard library's way loads a web client."""

from __future__ import annotations

_IN_TEXT = str.maketrans({"&": "&amp;", "<": "&lt;", ">": "&gt;"})
_IN_QUOTES = _IN_TEXT | str.maketrans({'"': "&quot;", "\n": "&#10;", "\r": "&#13;", "\t": "&#9;"})


def escape(text: str) -> str:
    """Return text for between two tags."""
    return text.translate(_IN_TEXT)


def quoteattr(text: str) -> str:
    """Return text as the value of an attribute, with its quotes."""
    return f'"{text.translate(_IN_QUOTES)}"'
