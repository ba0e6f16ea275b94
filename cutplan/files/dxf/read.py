"""A DXF file as traces, with what reading it noticed."""

from __future__ import annotations

import numpy as np

from cutplan.files.dxf.content import DxfContent
from cutplan.files.dxf.sections import read_sections
from cutplan.files.dxf.space import View, common_plane
from cutplan.files.dxf.tags import read_tags
from cutplan.files.dxf.walk import Place, Reader
from cutplan.files.limits import MAX_LISTED
from cutplan.files.reading_options import REPAIR
from cutplan.files.repair import NOTHING, Repair
from cutplan.files.traces import Affine
from cutplan.findings import Finding
from cutplan.texts import name as named
from cutplan.texts import number, plural, say


def read_dxf(data: bytes, wanted: frozenset[str] | None = None, repair: Repair = NOTHING) -> DxfContent:
    """Return what a DXF file draws in model space.

    Parameters
    ----------
    data : bytes
        The file.
    wanted : set of str, optional
        Lower-case names of the only layers to read, hidden or not.
    repair : Repair
        Lay a drawing that lies in one tilted plane flat instead of reporting its shadow.

    Raises
    ------
    DrawingError
        If the bytes are no DXF file.
    LimitError
        If blocks and arrays expand beyond the stated limits.
    """
    sections = read_sections(read_tags(data))
    reader = Reader(sections, wanted)
    reader.draw(sections.entities, Place(Affine(), "", "", ()))
    if reader.leaning and repair.takes("tilted-plane", _leaning(reader).where):
        points = np.vstack([p for p in reader.points if len(p)])
        view = common_plane(points) if not reader.inserted else None
        if view is not None:
            flat = Reader(sections, wanted, view)
            flat.draw(sections.entities, Place(Affine(), "", "", ()))
            flat.out.findings.append(_flattened(view, reader))
            _finish(flat)
            return flat.out
    if reader.leaning:
        reader.out.findings.append(_leaning(reader))
    _finish(reader)
    return reader.out


def _leaning(reader: Reader) -> Finding:
    count, first = reader.leaning, reader.first_leaning
    return Finding(
        "tilted-plane",
        "error",
        plural(
            "a thing drawn leans out of the drawing plane: seen from above it is too short",
            "{count} things drawn lean out of the drawing plane: seen from above they are too short",
            count,
        ),
        first.said(),
        say("draw the plate flat, or use {repair} to lay its own plane flat", repair=REPAIR),
    )


def _flattened(view: View, reader: Reader) -> Finding:
    normal = np.cross(view.axes[0], view.axes[1])
    angle = float(np.degrees(np.arccos(min(1.0, abs(float(normal[2]))))))
    return Finding(
        "plane-flattened",
        "warning",
        say("the drawing lies in a plane tilted by {angle} and was laid flat", angle=number(angle, "deg", digits=2)),
        reader.first_leaning.said(),
        say("each length is now measured in its own plane"),
        done=True,
    )


def _finish(reader: Reader) -> None:
    """Turn the counts of a walk into findings."""
    out = reader.out
    if reader.faults["unreadable"] > MAX_LISTED:
        more = reader.faults["unreadable"] - MAX_LISTED
        out.findings.append(
            Finding(
                "entity-unreadable",
                "error",
                plural("{count} more entity cannot be drawn", "{count} more entities cannot be drawn", more),
            )
        )
    if reader.commas:
        out.findings.append(
            Finding(
                "decimal-comma",
                "warning",
                say("numbers with a decimal comma were read as with a point"),
                "",
                say("check one length of the drawing"),
            )
        )
    out.left_aside.update(reader.hidden)
    for kind, count in reader.bodies.items():
        out.findings.append(
            Finding(
                "solid-left-aside",
                "warning",
                say("{count} x {kind}: a solid or special object is not read", count=count, kind=named(kind)),
                "",
                say("explode it into lines and arcs before exporting"),
            )
        )
