"""The only tolerances of the program, in millimetres unless the name says otherwise."""

from __future__ import annotations

#: Two points closer than this are one point after a drawing has been read [mm].
JOIN_MM = 1e-6
#: Edges shorter than this are taken out of a contour before it is offset [mm].
MICRO_MM = 2e-4
#: Gap that chaining bridges by default, each bridge a finding [mm].
BRIDGE_MM = 0.05
#: Largest distance between point soup and the lines and arcs fitted to it [mm].
FIT_MM = 0.01
#: Largest distance between an exact curve and its chords at the GEOS door [mm].
CHORD_MM = 0.001
#: Largest distance between an offset and the true offset [mm].
OFFSET_MM = 0.001
#: Shortest segment that a cut file may hold [mm].
SHORTEST_CUT_MM = 0.1
