"""What gets hot beside the weld, as bands with a legend of its own, and how warm each start is."""

from __future__ import annotations

from typing import TYPE_CHECKING

from cutplan.drawing.layout import filled, paragraph, wrap_text
from cutplan.drawing.model import Figure, Item, Pen, Stroke
from cutplan.geometry.vector import Box, box_of
from cutplan.sheets.page import CELL, SMALL, Builder
from cutplan.sheets.pictures import place, place_in
from cutplan.sheets.results import Results
from cutplan.texts import Reader, mm
from cutplan.texts.values import Banded

if TYPE_CHECKING:
    from cutplan.welding.result import KeepAway

#: Width and least height of the bands' picture, indent and size of the legend's words [mm].
_PICTURE_MM, _INDENT_MM, _WORDS_MM = (54.0, 38.0), 9.0, 3.3


def heat_with_key(results: Results, width_mm: float = 180.0, size_mm: float = 3.6) -> Figure | None:
    """Return the bands beside the weld with their key, its texts of one size [mm]; None where nothing is to be kept away."""
    plan = results.weld
    if plan is None or not plan.heat.keep_away:
        return None
    from cutplan.welding.figures import heat_figure

    return results.once(
        f"heat {width_mm:g}", lambda: heat_figure(results.job, plan, width_mm, _reader(results), size_mm)
    )


def _reader(results: Results) -> Reader:
    return Reader(results.job.shown.language, results.job.shown.display)


def heat_picture(results: Results) -> tuple[Figure, dict[str, str]] | None:
    """Return the bands beside the weld and the colour of each thing; None where nothing is to be kept away."""
    whole = heat_with_key(results)
    if whole is None:
        return None
    items: list[Item] = [i for i in whole.items if i.tag != "key"]
    colours = {
        i.tag.removeprefix("heat "): i.fill for i in items if isinstance(i, Stroke) and i.tag.startswith("heat ")
    }
    # the bands are polygons and lie outside everything else: their corners give the box
    ends = [s.start for i in items if isinstance(i, Stroke) and i.tag.startswith("heat ") for s in i.segments]
    return Figure(tuple(items), box_of(ends)), colours


def wait_picture(results: Results, width_mm: float = 180.0, read: Reader | None = None) -> Figure | None:
    """Return how warm the metal is before each start, over time; None without a weld plan."""
    if results.weld is None:
        return None
    from cutplan.welding.figures import wait_figure

    return wait_figure(results.weld, width_mm, read or _reader(results))


def heat_page(b: Builder, results: Results) -> None:
    """Write what gets hot: the bands, and beside them the distances to keep."""
    found, plan = heat_picture(results), results.weld
    if plan is None or found is None:
        return
    figure, colours = found
    rows = [(colours.get(str(k.thing), "#ffffff"), _words(b, k)) for k in _by_distance(plan.heat.keep_away)]
    split = b.left + _PICTURE_MM[0] + 5.0
    inside = b.right - split - _INDENT_MM
    tall = max(sum(_row_height(words, inside) for _, words in rows), _PICTURE_MM[1])
    b.page("heat.title", need_mm=tall + 9.0)
    b.need(tall + 9.0)
    b.para(b.say("heat.picture"), SMALL)
    place_in(b, figure, Box(b.left, b.y - tall, b.left + _PICTURE_MM[0], b.y), scale_text=False)
    y = b.y
    for colour, words in rows:
        text, _ = paragraph(words, split + _INDENT_MM, y, inside, _WORDS_MM, tag="heat")
        b.add(filled(Box(split, y - 5.0, split + 8.0, y), colour, "swatch", Pen(0.3)), *text)
        y -= _row_height(words, inside)
    b.skip(tall + 2.0)


def waits_chart(b: Builder, results: Results) -> None:
    """Write how warm each start is, as a chart: for the annex; the waits themselves stand in the list of stitches."""
    plan, waits = results.weld, wait_picture(results, b.wide - 4.0, b.read)
    if plan is None or waits is None:
        return
    tall = (b.wide - 4.0) * waits.box.height / waits.box.width + 4.0
    b.heading(b.say("heat.waits"), tall + 30.0)
    b.para(b.say("heat.waits_lead", interpass=f"{plan.heat.interpass_C:.0f}"), CELL)
    place(b, waits, tall, scale_text=False)


def _by_distance(things: tuple[KeepAway, ...]) -> list[KeepAway]:
    return sorted(things, key=lambda k: k.distance_mm.mid)


def distance_said(k: KeepAway) -> Banded:
    """Return how far a thing is to be kept away, its band to the millimetre."""
    d = k.distance_mm
    return Banded(mm(d.mid), mm(d.low, 0), mm(d.high, 0))


def _words(b: Builder, k: KeepAway) -> str:
    """One thing to keep away, its distance and what happens otherwise."""
    keep = distance_said(k)
    return b.say("heat.row", thing=k.thing, limit=f"{k.limit_C:.0f}", keep=keep, otherwise=k.consequence)


def _row_height(words: str, width_mm: float) -> float:
    return max(1.3 * _WORDS_MM * len(wrap_text(words, width_mm, _WORDS_MM)), 5.0) + 1.0
