"""What to make of chains that do not close and of branches: a broken outline, a mark on the plate, a line beside it."""

from __future__ import annotations

from collections import Counter
from typing import TypeAlias

import numpy as np

from cutplan.files.limits import MAX_LISTED
from cutplan.files.outline.joining import Chain
from cutplan.files.outline.loops import Loop
from cutplan.files.outline.strokes import lengths, middles
from cutplan.files.outline.tangles import Branching
from cutplan.files.traces import Floats
from cutplan.findings import Finding
from cutplan.texts import Message, every, mm, place, plural, say

#: Why lines that close nothing are no edge.
OPEN_LINE = say("open line")

Box: TypeAlias = tuple[float, float, float, float]

#: Most outlines in which open chains are looked for.
_OUTLINES = 200
#: Most pairs of an arc and a full circle that are compared.
_LOOKED_UP = 5_000_000
#: An arc this close to a full circle repeats it [mm].
_SAME_MM = 0.005
#: Ends nearer than this share of the chain's length: an outline with a gap, wherever it lies.
_GAP = 0.25
#: Ends nearer than this share: an outline with a side missing, when it lies outside every closed outline.
_SIDE = 0.75
#: Branching lines that go round nothing and are smaller than this share of the largest outline are a mark.
_TREE = 0.5
#: A chain smaller than this share of the largest outline is no part of its own.
_SMALL = 0.1


def judge_chains(
    chains: list[Chain], loops: list[Loop], repair: bool, border: Box | None
) -> tuple[list[Loop], list[Finding], Counter[Message]]:
    """Return loops made of open chains (filled shapes, or by repair), findings, and counts of lines left aside.

    A straight line, or a chain that looks like no outline, is a line of its own (a bend, centre or marking line) when
    there are closed outlines beside it. Anything else is an outline with a piece missing, which is refused.
    """
    made: list[Loop] = []
    findings: list[Finding] = []
    aside: Counter[Message] = Counter()
    boxes, largest = _boxes(loops)
    faults = 0
    circles = np.array([loop.circle for loop in loops if loop.circle is not None]).reshape(-1, 3)
    repeated = 0
    for chain in chains:
        if chain.is_line and loops:
            aside[OPEN_LINE] += 1
            continue
        if 0 < len(circles) <= _LOOKED_UP / len(chains) and _on_a_circle(chain, circles):
            repeated += 1
            continue
        if faults >= MAX_LISTED and not loops and not repair:
            faults += 1
            continue
        run = float(lengths(chain.xy, chain.bulge).sum())
        (x0, y0), (x1, y1) = chain.xy[0].tolist(), chain.xy[-1].tolist()
        where = say("{a} and {b}; {what}", a=place(x0, y0, 3), b=place(x1, y1, 3), what=chain.where.said())
        if chain.filled and len(chain.xy) > 2:
            made.append(_closed(chain))
            findings.append(
                Finding(
                    "filled-open-closed",
                    "note",
                    say("a filled shape with {gap} between its ends was closed", gap=mm(chain.gap, 3)),
                    where,
                    say("its ends were joined by a straight line"),
                )
            )
        elif loops and _is_line(chain, run, boxes, largest, border):
            aside[OPEN_LINE] += 1
        elif repair and len(chain.xy) > 2 and chain.gap <= _GAP * run:
            made.append(_closed(chain))
            findings.append(
                Finding(
                    "open-outline-closed",
                    "warning",
                    say("an open outline with a gap of {gap} was closed", gap=mm(chain.gap, 3)),
                    where,
                    say("its ends were joined by a straight line"),
                )
            )
        else:
            faults += 1
            if faults <= MAX_LISTED:
                findings.append(
                    Finding(
                        "open-outline",
                        "error",
                        say("an outline does not close: its ends are {gap} apart", gap=mm(chain.gap, 3)),
                        where,
                        say("close the gap in the drawing, or use --repair if a straight line there is right"),
                    )
                )
    if faults > MAX_LISTED:
        findings.append(
            Finding(
                "open-outline", "error", say("{max_listed} more outlines do not close", max_listed=faults - MAX_LISTED)
            )
        )
    if repeated:
        findings.append(
            Finding(
                "overlap-removed",
                "note",
                say("{repeated} arcs that lie on a full circle were left out", repeated=repeated),
                "",
                say("left out"),
            )
        )
    if aside:
        findings.append(
            Finding(
                "open-lines",
                "warning",
                plural(
                    "one line that closes nothing was left aside",
                    "{count} lines that close nothing were left aside",
                    aside[OPEN_LINE],
                ),
                "",
                say("check that none of them was meant to be cut"),
            )
        )
    return made, findings, aside


def _boxes(loops: list[Loop]) -> tuple[Floats, float]:
    """Return the boxes of the largest loops (n, 4), which hold all others, and the largest diagonal [mm]."""
    boxes = np.array([loop.box for loop in loops], dtype=np.float64).reshape(-1, 4)
    across = np.hypot(*(boxes[:, 2:] - boxes[:, :2]).T)
    return boxes[np.argsort(-across, kind="stable")[:_OUTLINES]], float(across.max(initial=0.0))


def _is_line(chain: Chain, run: float, boxes: Floats, largest: float, border: Box | None) -> bool:
    """Return whether a chain looks like a line of its own and not like an outline with a piece missing."""
    if _straight(chain, run):
        return True
    low, high = chain.xy.min(axis=0), chain.xy.max(axis=0)
    inside = bool(((boxes[:, :2] <= low + 1e-6) & (boxes[:, 2:] >= high - 1e-6)).all(axis=1).any())
    share = chain.gap / run
    if inside:
        return share > _GAP
    if float(np.hypot(*(high - low))) < _SMALL * largest:
        return share > _GAP
    if border is not None and len(chain.bulge) <= 3 and not chain.bulge.any():
        return True
    return share > _SIDE


def _on_a_circle(chain: Chain, circles: Floats) -> bool:
    """Return whether a chain of arcs repeats a piece of a full circle."""
    if not chain.bulge.all():
        return False
    points = np.vstack([chain.xy, middles(chain.xy, chain.bulge)])
    off = np.abs(np.hypot(*(points[:, None, :] - circles[None, :, :2]).transpose(2, 0, 1)) - circles[None, :, 2])
    return bool((off.max(axis=0) <= _SAME_MM).any())


def _straight(chain: Chain, run: float) -> bool:
    if len(chain.xy) == 2:
        return bool(chain.bulge[0] == 0.0)
    return bool(not chain.bulge.any() and chain.gap >= 0.9999 * run)


def _closed(chain: Chain) -> Loop:
    xy = np.vstack([chain.xy, chain.xy[:1]])
    return Loop(xy, np.append(chain.bulge, 0.0), chain.where, chain.layer)


def branch_findings(branches: list[Branching], loops: list[Loop], repair: bool, border: Box | None) -> list[Finding]:
    """Return a finding for each group of strokes with branches; those of a sheet's border are only counted."""
    findings: list[Finding] = []
    boxes, largest = _boxes(loops)
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
                say("{sheet} groups of branching lines belong to the border or title block", sheet=sheet),
            )
        )
    if len(findings) > MAX_LISTED:
        more = len(findings) - MAX_LISTED
        findings[MAX_LISTED:] = [Finding("branch", "error", say("{more} more places where lines branch", more=more))]
    return findings


def _of_sheet(branching: Branching, border: Box, boxes: Floats) -> bool:
    """Return whether a branching group is the border itself or lies beside every part in it."""
    b = branching.box
    if (b[2] - b[0]) >= 0.9 * (border[2] - border[0]) and (b[3] - b[1]) >= 0.9 * (border[3] - border[1]):
        return True
    low, high = np.array(b[:2]), np.array(b[2:])
    return not bool(((boxes[:, 2:] > low) & (boxes[:, :2] < high)).all(axis=1).any())


def _branch_finding(branching: Branching, repair: bool) -> Finding:
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
    if repair:
        return Finding(
            "branch-resolved",
            "warning",
            say("more than two lines meet; the outer boundary was taken as the outline"),
            where,
            say("lines inside it and loose ends were left aside"),
        )
    return Finding(
        "branch",
        "error",
        say("more than two lines meet in a point, so the way round the outline is not told"),
        where,
        say("delete the line that is no edge of the plate, or use --repair to take the outer boundary"),
    )
