"""What to make of chains that do not close: a broken outline, a mark inside the plate, or a line beside it."""

from __future__ import annotations

from collections import Counter

import numpy as np

from cutplan.files.joining import Chain
from cutplan.files.loops import Loop
from cutplan.files.strokes import lengths
from cutplan.findings import Finding


def judge_chains(
    chains: list[Chain], loops: list[Loop], repair: bool
) -> tuple[list[Loop], list[Finding], Counter[str]]:
    """Return loops made of open chains (filled shapes, or by repair), findings, and counts of lines left aside.

    A single straight line, or a chain whose ends lie far apart for its length, is a line of its own (a bend, centre or
    marking line) when there are closed outlines beside it. Anything else is an outline with a piece missing.
    """
    made: list[Loop] = []
    findings: list[Finding] = []
    aside: Counter[str] = Counter()
    for chain in chains:
        run = float(lengths(chain.xy, chain.bulge).sum())
        a, b = chain.xy[0], chain.xy[-1]
        where = f"({a[0]:.3f}, {a[1]:.3f}) and ({b[0]:.3f}, {b[1]:.3f}) mm; {chain.where}"
        if chain.filled and len(chain.xy) > 2:
            made.append(_closed(chain))
            findings.append(
                Finding(
                    "filled-open-closed",
                    "note",
                    f"a filled shape with {chain.gap:.3f} mm between its ends was closed",
                    where,
                    "its ends were joined by a straight line",
                )
            )
        elif _is_line(chain, run) and loops:
            aside["open line"] += 1
        elif repair and len(chain.xy) > 2 and chain.gap < 0.1 * run:
            made.append(_closed(chain))
            findings.append(
                Finding(
                    "open-outline-closed",
                    "warning",
                    f"an open outline with a gap of {chain.gap:.3f} mm was closed",
                    where,
                    "its ends were joined by a straight line",
                )
            )
        else:
            findings.append(
                Finding(
                    "open-outline",
                    "error",
                    f"an outline does not close: its ends are {chain.gap:.3f} mm apart",
                    where,
                    "close the gap in the drawing, or use --repair if a straight line there is right",
                )
            )
    if aside:
        findings.append(
            Finding(
                "open-lines",
                "warning",
                f"{aside['open line']} lines that close nothing were left aside",
                "",
                "check that none of them was meant to be cut",
            )
        )
    return made, findings, aside


def _is_line(chain: Chain, run: float) -> bool:
    """Return whether a chain looks like a line of its own and not like an outline with a piece missing."""
    return chain.pieces == 1 and (len(chain.xy) == 2 or chain.gap > 0.5 * run)


def _closed(chain: Chain) -> Loop:
    xy = np.vstack([chain.xy, chain.xy[:1]])
    return Loop(xy, np.append(chain.bulge, 0.0), chain.where, chain.layer)
