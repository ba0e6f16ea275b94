"""What to make of lines that branch: outlines that touch, a sheet's border, a mark, or a way round that is not told."""

from __future__ import annotations

import numpy as np

from cutplan.files.limits import MAX_LISTED
from cutplan.files.outline.loops import Loop
from cutplan.files.outline.loose.open_ends import Box, outer_boxes
from cutplan.files.outline.loose.tangles import Branching
from cutplan.files.reading_options import REPAIR
from cutplan.files.repair import Repair
from cutplan.files.traces import Floats
from cutplan.findings import Finding
from cutplan.texts import every, place, plural, say

#: Branching lines that go round nothing and are smaller than this share of the largest outline are a mark.
_TREE = 0.5


def branch_findings(branches: list[Branching], loops: list[Loop], repair: Repair, border: Box | None) -> list[Finding]:
    """Return a finding for each group of strokes with branches; those of a sheet's border are only counted."""
    findings: list[Finding] = []
    boxes, largest = outer_boxes(loops)
    sheet = 0
    for branching in branches:
        b = branching.box
        if branching.tree and float(np.hypot(b[2] - b[0], b[3] - b[1])) < _TREE * largest:
            continue  # a mark: its lines are counted with the open ones
        if border is not None and _of_sheet(branching, border, boxes):
            sheet += 1
            continue
        findings.append(_branch_finding(branching, repair))
    if sheet:
        findings.append(
            Finding(
                "sheet-lines",
                "note",
                plural(
                    "{count} group of branching lines belongs to the border or title block",
                    "{count} groups of branching lines belong to the border or title block",
                    sheet,
                ),
            )
        )
    if len(findings) > MAX_LISTED:
        more = len(findings) - MAX_LISTED
        findings[MAX_LISTED:] = [
            Finding(
                "branch",
                "error",
                plural("{count} more place where lines branch", "{count} more places where lines branch", more),
            )
        ]
    return findings


def _of_sheet(branching: Branching, border: Box, boxes: Floats) -> bool:
    """Return whether a branching group is the border itself or lies beside every part in it."""
    b = branching.box
    if (b[2] - b[0]) >= 0.9 * (border[2] - border[0]) and (b[3] - b[1]) >= 0.9 * (border[3] - border[1]):
        return True
    low, high = np.array(b[:2]), np.array(b[2:])
    return not bool(((boxes[:, 2:] > low) & (boxes[:, :2] < high)).all(axis=1).any())


def _branch_finding(branching: Branching, repair: Repair) -> Finding:
    places = every(place(x, y, 3) for x, y in branching.places[:4])
    more = len(branching.places) - 4
    where = say("{places}; {what}", places=places, what=branching.where.said())
    if more > 0:
        where = plural("{places} and one more; {what}", "{places} and {count} more; {what}", more, places=places,
                       what=branching.where.said())  # fmt: skip
    if branching.touch:
        return Finding(
            "contours-touch",
            "warning",
            say("outlines touch in a point or share an edge: no material is left between them"),
            where,
            say("check the distance meant"),
        )
    if repair.takes("branch", where):
        return Finding(
            "branch-resolved",
            "warning",
            say("more than two lines meet; the outer boundary was taken as the outline"),
            where,
            say("lines inside it and loose ends were left aside"),
            done=True,
        )
    return Finding(
        "branch",
        "error",
        say("more than two lines meet in a point, so the way round the outline is not told"),
        where,
        say("delete the line that is no edge of the plate, or use {repair} to take the outer boundary", repair=REPAIR),
    )
