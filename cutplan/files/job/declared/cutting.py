"""``[cutting]``: how the plate is cut."""

from __future__ import annotations

from cutplan.files.job.declared.key import Offer, choice, count, figure, flag, length, table
from cutplan.pattern.wishes import CUT_PROCESSES
from cutplan.tables.cutting.holes import COOL_TRAVEL_S
from cutplan.texts import code, say

_RULE = say("the rule of the process")

CUTTING = table(
    "cutting",
    say("how the plate is cut"),
    choice("process", say("what cuts it"), CUT_PROCESSES, "air plasma", offer=Offer("air plasma")),
    length(
        "kerf",
        say("width that the cut removes; measured is better: {command}", command=code("cutplan coupon kerf")),
        None,
        0.01,
        10.0,
        usual=say("shop file, else a published value"),
        offer=Offer(1.5, 1.524, off=True),
    ),
    flag("kerf_sure", say("the kerf is right although it lies outside what is published")),
    figure("current_A", say("current of a plasma torch"), "A", 5.0, 400.0, usual=say("by the thickness")),
    figure("speed_mm_per_min", say("feed, for the estimate of time"), "mm/min", 1.0, 50_000.0, usual=_RULE),
    flag("cut_bolt_holes", say("cut bolt holes too, which are drilled otherwise")),
    flag("reversed_swirl", say("the squarer side of the cut lies to the left of travel")),
    length("lead", say("length of the lead-ins"), None, 0.2, 100.0, usual=_RULE),
    length("overburn", say("cut past the closure, where a contour gets one"), None, 0.0, 20.0, usual=_RULE),
    flag("torch_on", say("the program for the table lights the torch; else it is a dry run")),
    figure("cool_travel_s", say("travel that may be spent on letting thin webs cool"), "s", 0.0, 600.0, COOL_TRAVEL_S),
    count("tabs", say("holding tabs left in the outline"), 0, 0, 50),
    flag("reference_square", say("draw a square of 100 mm on a layer that is not cut")),
    choice("dxf_version", say("version of the DXF files"), ("R2000", "R12"), "R2000"),
    offer=Offer(),
)
