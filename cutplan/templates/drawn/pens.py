"""Line kinds of the templates: black and grey only, told apart by width and dash so that any printer shows them."""

from __future__ import annotations

from cutplan.drawing.model import Pen

#: The line that the paper is cut along and the scriber follows.
CUT = Pen(0.5)
#: Holes in the template.
HOLE = Pen(0.35)
#: Lines to trace or to lay against that are not cut.
TRACE = Pen(0.25, "#000000", (4.0, 1.5))
#: Centre lines and crosses.
CENTRE = Pen(0.18, "#333333", (6.0, 1.2, 1.2, 1.2))
CROSS = Pen(0.18)
#: From a label to what it names: thinner than any line of the work, grey, and with a head, so that nobody cuts along it.
LEADER, LEADER_HEAD_MM = Pen(0.13, "#666666"), 2.2
#: Datum lines.
DATUM = Pen(0.3, "#000000", (14.0, 2.0, 2.0, 2.0, 2.0, 2.0))
#: Bend lines, and lines where a long template may be folded or cut for handling.
BEND = Pen(0.25, "#000000", (7.0, 2.0))
FOLD = Pen(0.25, "#555555", (10.0, 2.0, 0.8, 2.0, 0.8, 2.0))
#: Slit for the scissors, from the edge to a hole.
SLIT = Pen(0.25, "#555555", (1.0, 1.2))
#: Zones for double-sided tape.
TAPE = Pen(0.2, "#888888", (2.0, 1.0))
#: Where a sheet is trimmed, and the far edge of the overlap.
TRIM = Pen(0.2, "#555555", (2.5, 1.5))
#: Second line that a hand tool cuts to; cuts across the waste; ribs behind; what stands on the skin.
SECOND = Pen(0.18, "#444444")
ACROSS = Pen(0.35, "#000000", (8.0, 1.0))
RIB, RIB_GUESSED = Pen(0.5, "#888888", (5.0, 1.5)), Pen(0.5, "#888888", (1.5, 1.8))
BRACE = Pen(0.3, "#777777", (1.2, 1.2))
#: Ruler ticks.
TICK = Pen(0.15)
"""Thin, so that a tick can be read to a tenth of a millimetre."""
