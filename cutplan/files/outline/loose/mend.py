"""Open chains made closed: along their circle, where their lines meet, or by a straight line."""

from __future__ import annotations

import numpy as np

from cutplan.files.outline.joining import Chain, string
from cutplan.files.outline.loops import Loop
from cutplan.files.outline.loose.broken import Ring
from cutplan.files.outline.strokes import lengths
from cutplan.files.traces import Floats


def mended(ring: Ring, chains: list[Chain]) -> Loop:
    """Return the closed loop that chains with gaps stand for [mm]."""
    first = chains[ring.order[0][0]]
    where = first.where.with_more(sum(chains[i].pieces for i, _ in ring.order) - 1)
    drawn = sum(chains[i].length for i, _ in ring.order)
    circle = _circle(ring, chains)
    if circle is not None:
        x, y, r = circle
        xy = np.array([[x + r, y], [x - r, y], [x + r, y]])
        return Loop(xy, np.ones(2), where, first.layer, circle, False, 2.0 * float(np.pi) * r - drawn)
    xy, bulge, _ = string(ring.order, chains, closed=True)
    keep = np.hypot(*(xy[1:] - xy[:-1]).T) > 0.0
    xy, bulge = np.vstack([xy[:-1][keep], xy[-1:]]), bulge[keep]
    return Loop(xy, bulge, where, first.layer, None, False, float(lengths(xy, bulge).sum()) - drawn)


def closed_chain(chain: Chain) -> Loop:
    """Return a chain closed by a straight line."""
    xy = np.vstack([chain.xy, chain.xy[:1]])
    return Loop(xy, np.append(chain.bulge, 0.0), chain.where, chain.layer, added=chain.gap + chain.added)


def _circle(ring: Ring, chains: list[Chain]) -> tuple[float, float, float] | None:
    """Return the circle (x, y, radius) [mm] that all arcs of a ring lie on within the width of its gaps, else None."""
    if not all(chains[i].bulge.all() for i, _ in ring.order):
        return None
    found: list[Floats] = []
    weights: list[float] = []
    for i, _ in ring.order:
        chain = chains[i]
        v = chain.xy[1:] - chain.xy[:-1]
        b = chain.bulge
        rise = ((1.0 - b * b) / (4.0 * b))[:, None]
        centre = chain.xy[:-1] + 0.5 * v + rise * np.column_stack([-v[:, 1], v[:, 0]])
        radius = np.hypot(*(chain.xy[:-1] - centre).T)
        found.append(np.column_stack([centre, radius]))
        weights += lengths(chain.xy, b).tolist()
    circles = np.vstack(found)
    mean: Floats = np.average(circles, axis=0, weights=weights)
    slack = max(0.01, max(g.width for g in ring.gaps))
    if float(np.abs(circles - mean).max()) > slack or mean[2] <= slack:
        return None
    return float(mean[0]), float(mean[1]), float(mean[2])
