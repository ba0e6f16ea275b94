"""The shop file: what this shop's printer, torch and welder really do, as ``cutplan coupon`` writes it.

A key that carries an :class:`~cutplan.files.job.declared.key.Offer` has its help written beside it in the file.
"""

from __future__ import annotations

from cutplan.files.job.declared.key import FARTHEST_MM, Key, Offer, choice, figure, flag, length, table, tables, text
from cutplan.texts import say

_SAID = Offer()
_PROCESS = text("process", say("the process, by its word in the job file"), 40)
_THICKNESS = length("thickness", say("thickness of the trial piece"), 0.0, 0.1, 100.0)
_READING = length("reading", say("reading error"), 0.05, 0.0, 2.0)

PRINTER = tables(
    "printer",
    say("how a printer scales what it prints"),
    text("name", say("name of the printer, as the job's paper names it"), 40, "default"),
    figure("x", say("printed length over nominal length"), "1", 0.9, 1.1, 1.0, offer=_SAID),
    figure("y", say("the same, up the sheet"), "1", 0.9, 1.1, 1.0),
    figure("skew_rad", say("angle that the printed axes miss from square"), "rad", -0.05, 0.05, 0.0),
    length("reading", say("reading error"), 0.25, 0.0, 5.0, offer=_SAID),
    length("length", say("nominal length measured"), 0.0, offer=_SAID),
    most=200,
)
KERF = tables(
    "kerf",
    say("the kerf of a process at one thickness"),
    _PROCESS,
    _THICKNESS,
    length("x", say("kerf measured across x"), 0.0, 0.01, 12.0, offer=_SAID),
    length("y", say("kerf measured across y"), 0.0, 0.01, 12.0, offer=_SAID),
    _READING,
    flag("sure", say("the kerf is right although it lies outside what is published")),
    most=500,
)
HOLES = tables(
    "holes",
    say("kerf and taper of small holes by their diameter"),
    _PROCESS,
    _THICKNESS,
    _READING,
    Key("diameters", "lengths", say("diameters of the holes as drawn"), (), (0.1, FARTHEST_MM)),
    Key("kerfs", "lengths", say("kerf of a hole of each diameter"), (), (0.01, FARTHEST_MM), offer=_SAID),
    Key("tapers_deg", "numbers", say("taper of each hole, above zero wider at the top"), (), (-45.0, 45.0), "deg"),
    most=500,
)
WELD = tables(
    "weld",
    say("what a welded trial piece showed, at one thickness"),
    _PROCESS,
    _THICKNESS,
    figure("shrink", say("measured over predicted shrinkage"), "1", 0.05, 10.0, 1.0, offer=_SAID),
    figure("shrink_spread", say("relative half-width of the band of the shrinkage"), "1", 0.0, 3.0, 0.5),
    figure("angle", say("measured over predicted angle"), "1", 0.0, 20.0, 1.0, offer=_SAID),
    figure("angle_spread", say("relative half-width of the band of the angle"), "1", 0.0, 5.0, 1.0),
    most=500,
)
SHOP = table(
    "",
    say("the shop"),
    choice("units", say("unit of every length that does not carry its own"), ("mm", "in"), "mm"),
    text("name", say("name of the shop"), 80),
    PRINTER,
    KERF,
    HOLES,
    WELD,
)
