"""What gets hot beside the weld, as bands with a legend of its own, and how warm each start is."""

from __future__ import annotations

from cutplan.drawing.layout import filled, paragraph
from cutplan.drawing.model import Figure, Item, Pen, Stroke
from cutplan.geometry.vector import Box, box_of
from cutplan.sheets.page import CELL, Builder
from cutplan.sheets.pictures import place
from cutplan.sheets.results import Results
from cutplan.units import format_length

_PICTURE_MM = 80.0


def heat_picture(results: Results) -> tuple[Figure, dict[str, str]] | None:
    """Return the bands beside the weld and the colour of each thing; None where nothing is to be kept away."""
    plan = results.weld
    if plan is None or not plan.keep_away:
        return None
    from cutplan.welding.figures import heat_figure

    whole = heat_figure(results.job, plan)
    items: list[Item] = [i for i in whole.items if i.tag != "key"]
    colours = {
        i.tag.removeprefix("heat "): i.fill for i in items if isinstance(i, Stroke) and i.tag.startswith("heat ")
    }
    # the bands are polygons and lie outside everything else: their corners give the box
    ends = [
        s.start for i in items if isinstance(i, Stroke) and i.tag.startswith("heat ") for s in i.segments
    ]
    return Figure(tuple(items), box_of(ends)), colours


def wait_picture(results: Results, width_mm: float = 180.0) -> Figure | None:
    """Return how warm the metal is before each start, over time; None without a weld plan."""
    if results.weld is None:
        return None
    from cutplan.welding.figures import wait_figure

    return wait_figure(results.weld, width_mm)


def heat_page(b: Builder, results: Results) -> None:
    """Write the page of heat: bands, distances to keep, and the waits."""
    found, plan = heat_picture(results), results.weld
    if plan is None:
        return
    b.page("heat.title")
    if found is not None:
        figure, colours = found
        place(b, figure, _PICTURE_MM, caption=b.say("heat.picture"), scale_text=False)
        for k in sorted(plan.keep_away, key=lambda k: k.distance_mm.mid):
            d = k.distance_mm
            words = b.say(
                "heat.row", thing=k.thing, limit=f"{k.limit_C:.0f}", keep=format_length(d.mid, b.job.display),
                low=f"{d.low:.0f}", high=f"{d.high:.0f}", otherwise=k.consequence,
            )
            text, below = paragraph(words, b.left + 12.0, b.y, b.wide - 12.0, CELL, tag="heat")
            box = Box(b.left, b.y - 5.0, b.left + 9.0, b.y)
            b.add(filled(box, colours.get(k.thing, "#ffffff"), "swatch", Pen(0.3)), *text)
            b.y = min(below, b.y - 5.0) - 1.8
        b.skip(2.0)
    waits = wait_picture(results, b.wide - 4.0)
    if waits is not None:
        b.heading(b.say("heat.waits"), 70.0)
        b.para(b.say("heat.waits_lead", interpass=f"{plan.interpass_C:.0f}"), CELL)
        place(b, waits, (b.wide - 4.0) * waits.box.height / waits.box.width + 4.0, scale_text=False)
