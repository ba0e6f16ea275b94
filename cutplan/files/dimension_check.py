"""The figures of a drawing's dimensions against what is drawn: a drawing to a scale, or a figure that was overwritten."""

from __future__ import annotations

from collections.abc import Sequence

from cutplan.files.dxf.dimensions import Dimension
from cutplan.files.reading_options import LENGTH_WIDTH
from cutplan.findings import Finding
from cutplan.texts import Message, mm, number, place, plural, say
from cutplan.units import MM_PER_INCH

#: A figure within this share of what is drawn is it, beside the rounding of its last place [1].
_SAME = 0.002
#: Dimensions whose figures are this share apart, over what is drawn, are of one scale [1].
_ONE_SCALE = 0.01


def dimension_findings(dimensions: Sequence[Dimension], mm_per_unit: float, stated: bool) -> list[Finding]:
    """Return the doubt about a drawing whose dimensions say other lengths than it draws.

    Parameters
    ----------
    dimensions : sequence of Dimension
        What the drawing's dimensions say, lengths in units of the file.
    mm_per_unit : float
        Scale of the file as it was read [mm].
    stated : bool
        Whether somebody stated the unit or a length: then the figures are only warned of.
    """
    other = [d for d in dimensions if not _agrees(d, mm_per_unit)]
    if not other:
        return []
    first = max(other, key=lambda d: d.drawn)
    ratio = _ratio(first, mm_per_unit)
    alike = [d for d in other if abs(_ratio(d, mm_per_unit) / ratio - 1.0) < _ONE_SCALE]
    where = say("{place}", place=place(first.at[0] * mm_per_unit, first.at[1] * mm_per_unit))
    if 2 * len(alike) > len(dimensions):
        message = say(
            "the dimensions say {figure} where {drawn} is drawn: it is drawn to a scale of {scale}",
            figure=number(first.figure, first.unit),
            drawn=mm(first.drawn * mm_per_unit, None),
            scale=_scale(ratio),
        )
        fix = say("measure one length and state it, such as {length}", length=LENGTH_WIDTH)
        return [Finding("drawn-to-scale", "warning" if stated else "error", message, where, fix)]
    message = plural(
        "a dimension says {figure} where {drawn} is drawn",
        "{count} dimensions say other lengths than are drawn, the longest {figure} where {drawn} is drawn",
        len(other),
        figure=number(first.figure, first.unit),
        drawn=mm(first.drawn * mm_per_unit, None),
    )
    fix = say("what is drawn is cut: ask which of the two is right, or measure it on the part")
    return [Finding("dimension-differs", "warning", message, where, fix)]


def _agrees(d: Dimension, mm_per_unit: float) -> bool:
    """Whether a figure, in millimetres or in inches, is the length drawn."""
    drawn = d.drawn * mm_per_unit
    sizes = [scale for unit, scale in (("mm", 1.0), ("in", MM_PER_INCH)) if d.unit in ("", unit)]
    return any(abs(d.figure * s - drawn) <= 0.51 * d.step * s + _SAME * drawn for s in sizes)


def _ratio(d: Dimension, mm_per_unit: float) -> float:
    """A figure over what is drawn; one without a unit is in inches where the drawing is [1]."""
    inches = d.unit == "in" or (not d.unit and abs(mm_per_unit - MM_PER_INCH) < 1e-6)
    return d.figure * (MM_PER_INCH if inches else 1.0) / (d.drawn * mm_per_unit)


def _scale(ratio: float) -> Message:
    return say("1 : {n}", n=number(ratio)) if ratio >= 1.0 else say("{n} : 1", n=number(1.0 / ratio))
