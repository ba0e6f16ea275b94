"""Widths of a table's columns: as shared out, but no word is broken where the columns together have room for it."""

from __future__ import annotations

from collections.abc import Sequence

from cutplan.drawing.font import text_width

#: Air left and right of a cell's text, as in :func:`cutplan.drawing.layout.table` [mm].
_PAD_MM = 1.2


def whole_words(
    rows: Sequence[Sequence[str]], shares: Sequence[float], wide_mm: float, size_mm: float
) -> tuple[float, ...]:
    """Return the widths of columns that share a width, moved so that the longest word of each fits its column [mm].

    Parameters
    ----------
    rows : sequence of rows
        Cells of the table; the first row is its head, in bold.
    shares : sequence of float
        What each column weighs [1].
    wide_mm : float
        Width of the table [mm].
    size_mm : float
        Font size [mm].
    """
    widths = [wide_mm * s / sum(shares) for s in shares]
    least = [0.0] * len(widths)
    for k, row in enumerate(rows):
        for i, cell in enumerate(row):
            words = cell.split()
            if words:
                longest = max(text_width(w, size_mm, k == 0) for w in words)
                least[i] = max(least[i], longest + 2.0 * _PAD_MM + 0.1)
    lack = sum(max(0.0, n - w) for n, w in zip(least, widths, strict=True))
    spare = sum(max(0.0, w - n) for n, w in zip(least, widths, strict=True))
    if lack == 0.0 or spare < lack:
        return tuple(widths)
    return tuple(n if w < n else w - (w - n) * lack / spare for n, w in zip(least, widths, strict=True))
