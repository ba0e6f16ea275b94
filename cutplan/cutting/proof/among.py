"""Proof of many parts on one sheet: no cut bites into any of them, none starts on one, all stay on the stock."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely

from cutplan.cutting.proof.prove import BITE_MM, bites
from cutplan.cutting.result import CutPath, Fault, Proof
from cutplan.geometry.clearance import Clearance
from cutplan.geometry.locate import inside
from cutplan.geometry.region import Region


def prove_among(nets: Sequence[Region], paths: Sequence[CutPath], stock: Region, alone: Sequence[Proof]) -> Proof:
    """Return the proof of all cuts of a sheet.

    Parameters
    ----------
    nets : sequence of Region
        The parts where they lie.
    paths : sequence of CutPath
        All cuts.
    stock : Region
        The sheet.
    alone : sequence of Proof
        What the proof of each part alone showed: moving a part as a whole leaves no more metal on it.
    """
    edges = Clearance([s for n in nets for c in n.contours for s in c.segments])
    deepest, faults = bites(edges, paths, BITE_MM)
    faults += _on_a_part(nets, paths)
    rim = Clearance([s for c in stock.contours for s in c.segments])
    segments = [s for p in paths for s in p.segments]
    owner = np.repeat(np.arange(len(paths)), [len(p.segments) for p in paths])
    half = np.array([p.half_mm for p in paths])[owner]
    gaps, _ = rim.of(segments, float(half.max()) + 1.0)
    outside = ~inside(stock, np.array([p.pierce for p in paths]))
    for k in np.unique(owner[gaps < half]):
        faults.append(Fault("edge", paths[k].name, paths[k].pierce, float((half - gaps)[owner == k].max())))
    faults += [Fault("edge", p.name, p.pierce, p.half_mm) for p, off in zip(paths, outside, strict=True) if off]
    return Proof(
        deepest,
        max(p.rest_mm for p in alone),
        max(p.corner_mm for p in alone),
        sum(p.places for p in alone),
        tuple(faults),
    )


def _on_a_part(nets: Sequence[Region], paths: Sequence[CutPath]) -> list[Fault]:
    """Cuts that start on the metal of a part."""
    x0, y0, x1, y1 = np.array([n.box for n in nets]).T
    places = shapely.points(np.array([p.pierce for p in paths]))
    which, part = shapely.STRtree(shapely.box(x0, y0, x1, y1)).query(places)
    return [
        Fault("inside", paths[k].name, paths[k].pierce, paths[k].half_mm)
        for k, n in zip(which, part, strict=True)
        if nets[n].contains(paths[k].pierce)
    ]
