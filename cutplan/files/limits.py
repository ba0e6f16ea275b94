"""What a drawing may hold before it is refused: bounds that keep reading under ten seconds and one gibibyte."""

from __future__ import annotations

#: Largest file that is opened at all [bytes].
MAX_BYTES = 64 * 1024 * 1024
#: Most lines of a DXF file.
MAX_LINES = 10_000_000
#: Most entities after blocks, arrays and ``use`` have been expanded.
MAX_ENTITIES = 300_000
#: Most times that an SVG file may use an element again.
MAX_USES = 20_000
#: Most characters of all transforms of an SVG file, counted at each use.
MAX_TRANSFORMS = 8_000_000
#: Longest name or number of a DXF file that is looked at [characters].
MAX_VALUE = 300
#: Most lines and arcs that are joined end to end.
MAX_STROKES = 220_000
#: Most arcs among them.
MAX_LOOSE_ARCS = 40_000
#: Most lines and arcs that meet at one point.
MAX_MEETING = 5_000
#: Most arcs of all outlines together, full circles not counted.
MAX_ARCS = 200_000
#: Most vertices over all entities.
MAX_VERTICES = 700_000
#: Longest attribute of an SVG element that is taken apart [characters].
MAX_ATTRIBUTE = 20_000_000
#: Deepest nesting of blocks in blocks.
MAX_BLOCK_DEPTH = 24
#: Deepest nesting of elements in an SVG file.
MAX_XML_DEPTH = 200
#: Most elements in an SVG file.
MAX_XML_ELEMENTS = 400_000
#: Most pieces of free curves (Bezier, ellipse) that are turned into arcs.
MAX_CURVES = 15_000
#: Most pairs of outlines whose boxes overlap; beyond, telling them apart would take minutes.
MAX_PAIRS = 400_000
#: Most closed outlines.
MAX_LOOPS = 30_000
#: Most control points of one spline.
MAX_SPLINE_POINTS = 5_000
#: Highest spline degree that is computed.
MAX_SPLINE_DEGREE = 11
#: Largest coordinate that is believed [file units].
MAX_COORDINATE = 1e9
#: Most findings of one kind that are listed one by one; the rest are counted.
MAX_LISTED = 40
