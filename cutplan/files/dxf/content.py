"""What a DXF file draws, and the words for what in it is not drawn as lines."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from typing import Literal

from cutplan.files.dxf.dimensions import Dimension
from cutplan.files.traces import Trace
from cutplan.findings import Finding
from cutplan.texts import Message, say

#: Words for kinds of entities that are left aside.
WORDS: dict[str, Message] = {
    "TEXT": say("text"),
    "MTEXT": say("text"),
    "ATTRIB": say("text"),
    "ATTDEF": say("text"),
    "RTEXT": say("text"),
    "ARCALIGNEDTEXT": say("text"),
    "DIMENSION": say("dimension"),
    "ARC_DIMENSION": say("dimension"),
    "LARGE_RADIAL_DIMENSION": say("dimension"),
    "LEADER": say("dimension"),
    "MULTILEADER": say("dimension"),
    "MLEADER": say("dimension"),
    "TOLERANCE": say("dimension"),
    "HATCH": say("hatch"),
    "MPOLYGON": say("hatch"),
    "SOLID": say("filled patch"),
    "TRACE": say("filled patch"),
    "WIPEOUT": say("filled patch"),
    "POINT": say("point"),
    "XLINE": say("construction line"),
    "RAY": say("construction line"),
    "IMAGE": say("picture"),
    "VIEWPORT": say("viewport"),
    "ACAD_TABLE": say("table"),
    "3DFACE": say("face in space"),
    "MESH": say("face in space"),
    "OLEFRAME": say("picture"),
    "OLE2FRAME": say("picture"),
    "SHAPE": say("symbol"),
}
#: Kinds that may hold the plate's outline in a form that is not read: the drawing is not complete without them.
BODIES = {"3DSOLID", "REGION", "BODY", "SURFACE", "EXTRUDEDSURFACE", "PLANESURFACE", "MLINE", "HELIX"}


@dataclass(slots=True)
class DxfContent:
    """What a DXF file draws, in file units."""

    traces: list[Trace] = field(default_factory=list)
    findings: list[Finding] = field(default_factory=list)
    left_aside: Counter[Message] = field(default_factory=Counter)
    header: dict[str, str] = field(default_factory=dict)
    text_places: list[tuple[float, float]] = field(default_factory=list)
    other_layers: dict[str, None] = field(default_factory=dict)
    dimensions: list[Dimension] = field(default_factory=list)
    unit_notes: dict[Literal["mm", "in"], str] = field(default_factory=dict)
