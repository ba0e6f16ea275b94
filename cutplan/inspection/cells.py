"""Cells of a CSV that a spreadsheet opens: no user's own words may run there as a formula."""

from __future__ import annotations

#: First characters that make a spreadsheet calculate or run a cell; quotes round the cell do not help.
_STARTS = ("=", "+", "-", "@", "\t", "\r")


def safe(text: str) -> str:
    """Return a text as a cell that every spreadsheet shows as text: an apostrophe before what could be a formula."""
    return "'" + text if text.startswith(_STARTS) or text.startswith("'") else text


def plain(cell: str) -> str:
    """Return the text of a cell that :func:`safe` wrote."""
    return cell[1:] if cell.startswith("'") and (cell[1:].startswith(_STARTS) or cell[1:].startswith("'")) else cell
