"""One path over all copies on a sheet, proved once more among them, with yield and what is left of the stock."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from cutplan.cutting.nest.parts import Part, Placed, Room, SheetCut, Stock
from cutplan.cutting.order.heat import cooler_order
from cutplan.cutting.order.short import Stops, short_order
from cutplan.cutting.proof.among import prove_among
from cutplan.cutting.proof.faults import fault_findings
from cutplan.cutting.result import CutPath, Proof
from cutplan.cutting.work import rapid_moves
from cutplan.errors import GeometryError
from cutplan.findings import Finding
from cutplan.geometry.offset.regions import offset_region
from cutplan.geometry.region import Region
from cutplan.geometry.segment import Line
from cutplan.geometry.vector import Point

#: Share of the spacing round a copy that the next job must not use.
SCAR = 0.49


@dataclass(frozen=True, slots=True)
class SheetPlan:
    """What is cut from one sheet.

    Parameters
    ----------
    stock : Stock
        What it is cut from.
    placed : tuple of Placed
        The copies.
    nets : tuple of Region
        The copies' shapes where they lie.
    cuts : tuple of SheetCut
        All cuts in their order.
    rapids : tuple of Line
        Moves without cutting.
    proof : Proof
        The proof of all cuts against all copies.
    findings : tuple of Finding
        Faults of the proof, and heat.
    used : float
        Net area of the copies over the area of the stock [1].
    used_to : float
        The same over the part of the stock up to the last copy along x [1].
    remnant : Region or None
        What is left of the stock, with a margin round each copy; None when it falls apart.
    """

    stock: Stock
    placed: tuple[Placed, ...]
    nets: tuple[Region, ...]
    cuts: tuple[SheetCut, ...]
    rapids: tuple[Line, ...]
    proof: Proof
    findings: tuple[Finding, ...]
    used: float
    used_to: float
    remnant: Region | None

    @property
    def cut_mm(self) -> float:
        """Burnt length with leads [mm]."""
        return sum(c.path.length_mm for c in self.cuts)

    @property
    def rapid_mm(self) -> float:
        """Length of the moves between cuts [mm]."""
        return sum(r.length for r in self.rapids)


def plan_sheet(parts: Sequence[Part], placed: Sequence[Placed], stock: Stock, room: Room, travel_s: float) -> SheetPlan:
    """Return the cut of one sheet.

    Parameters
    ----------
    parts : sequence of Part
        Parts with their proved paths.
    placed : sequence of Placed
        Where the copies lie.
    stock, room : Stock, Room
        What they are cut from, and metal to keep.
    travel_s : float
        Travel that keeping two hot neighbours apart may cost [s].
    """
    nets = tuple(p.region(parts[p.part].net) for p in placed)
    cuts = [
        SheetCut(n, _moved(path, p, parts[p.part], n))
        for n, p in enumerate(placed)
        for path in parts[p.part].plan.paths
    ]
    before = _before(cuts, placed)
    box = stock.shape.box
    home = Point(box.xmin, box.ymin)
    stops = Stops(
        home,
        tuple(np.array([c.path.pierce]) for c in cuts),
        tuple(np.array([c.path.end]) for c in cuts),
        before,
    )
    thickness = parts[placed[0].part].plan.thickness_mm
    order, heat = cooler_order(stops, short_order(stops), [c.path for c in cuts], thickness, travel_s)
    ordered = tuple(cuts[stop] for stop, _ in order.turns)
    paths = [c.path for c in ordered]
    proof = prove_among(nets, paths, stock.shape, [parts[p.part].plan.proof for p in placed])
    net_area = sum(n.area for n in nets)
    reach = max(n.box.xmax for n in nets) - box.xmin
    return SheetPlan(
        stock,
        tuple(placed),
        nets,
        ordered,
        rapid_moves(home, paths),
        proof,
        (*heat, *fault_findings(proof)),
        net_area / stock.shape.area,
        min(1.0, net_area / (reach * box.height)) if stock.rectangle else net_area / stock.shape.area,
        _remnant(stock, placed, nets, room),
    )


def _moved(path: CutPath, placed: Placed, part: Part, copy: int) -> CutPath:
    return replace(
        path,
        name=f"{copy + 1} {part.name} {path.name}",
        lead_in=placed.moved(path.lead_in),
        cut=placed.moved(path.cut),
        lead_out=placed.moved(path.lead_out),
    )


def _before(cuts: Sequence[SheetCut], placed: Sequence[Placed]) -> tuple[tuple[int, int], ...]:
    """Pairs that must keep their order: holes before the outline round them, a copy in a hole before that hole."""
    pairs: list[tuple[int, int]] = []
    inner: dict[int, list[int]] = {}
    outer: dict[int, list[int]] = {}
    for k, cut in enumerate(cuts):
        (inner if cut.path.inner else outer).setdefault(cut.copy, []).append(k)
    for copy, outlines in outer.items():
        pairs += [(a, b) for a in inner.get(copy, ()) for b in outlines]
        host = placed[copy].host
        if host >= 0:
            at = cuts[outlines[0]].path.cut[0].start
            around = [k for k in inner.get(host, ()) if cuts[k].path.contour.contains(at)]
            pairs += [(a, b) for a in outlines for b in around]
    return tuple(pairs)


def _remnant(stock: Stock, placed: Sequence[Placed], nets: Sequence[Region], room: Room) -> Region | None:
    """Return the stock with a hole round every copy: its outline moved out to where the next job may begin."""
    holes = list(stock.shape.holes)
    try:
        for p, net in zip(placed, nets, strict=True):
            if p.host < 0:
                grown = offset_region(Region(net.outer), SCAR * room.spacing_mm).regions
                holes += [r.outer for r in grown]
    except GeometryError:
        return None
    return Region(stock.shape.outer, tuple(holes))
