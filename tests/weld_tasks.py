"""Small weld tasks for distortion tests."""

from __future__ import annotations

import numpy as np
from mesh_shapes import circle, rectangle

from cutplan.fem.outline import lengths_along
from cutplan.tables.band import Band
from cutplan.welding.distortion import Bead, BracePath, Inherent, PadPoints, Rib, Sheet, WeldTask
from cutplan.welding.distortion.draws import Draws
from cutplan.welding.distortion.model.condensed import MIDDLE, MOVES, Model

SOURCE = "made up for a test"


def inherent(shrink: float = 0.25, pull: float = 30e3, angle: float = 0.01, spread: float = 0.5) -> Inherent:
    """Bands about middles, each a share wide on both sides."""

    def band(mid: float, unit: str) -> Band:
        return Band(mid * (1 - spread), mid, mid * (1 + spread), unit, SOURCE)

    return Inherent(band(shrink, "mm"), band(pull, "N"), band(angle, "rad"))


def seam(path: np.ndarray, tacks: int, stitches: int) -> tuple[list[Bead], list[Inherent]]:
    """Tacks and stitches spread evenly all round a path."""
    whole = float(lengths_along(path, True)[-1])
    beads, shrinks = [], []
    for i in range(tacks):
        middle = (i + 0.5) * whole / tacks
        beads.append(Bead(f"T{i + 1}", "tack", middle - 7, middle + 7))
        shrinks.append(inherent(0.12, 8e3, 0.004))
    for i in range(stitches):
        beads.append(Bead(f"S{i + 1}", "stitch", i * whole / stitches, (i + 1) * whole / stitches))
        shrinks.append(inherent())
    return beads, shrinks


def butt_task(width: float = 260.0, height: float = 160.0, brace: bool = False, rib: bool = False) -> WeldTask:
    """A rounded plate flush in a thinner skin on walls, four pads, one large hole."""
    plate = Sheet(rectangle(0, 0, width, height, 25), (circle(25, (width / 2, height / 2)),), 4.0, -2.0)
    opening = rectangle(-1, -1, width + 1, height + 1, 26)
    skin = Sheet(rectangle(-55, -35, width + 55, height + 35), (opening,), 2.5, -1.25, wall_held=True)
    spots = [(45.0, 45.0), (width - 45, 45.0), (width - 45, height - 45), (45.0, height - 45)]
    pads = tuple(PadPoints(f"P{i + 1}", spot, (), 12.0) for i, spot in enumerate(spots))
    bar = BracePath("bar", (spots[0], (width / 2, 40.0), spots[1]), 4e4, 500.0) if brace else None
    ribs = (Rib(np.array([[-55.0, height / 2], [width + 55, height / 2]]), 2.0, 25.0),) if rib else ()
    return WeldTask(plate, skin, plate.outer, -1.25, 1.0, False, ribs, pads, bar)


def lap_task() -> WeldTask:
    """A round plate on the skin, lapped over its opening, braced from skin to skin across it."""
    plate = Sheet(circle(80.0, (90, 90), 240), (circle(9, (90, 90), 60),), 3.0, 1.5)
    skin = Sheet(rectangle(-40, -40, 220, 220), (circle(65.0, (90, 90), 240),), 2.0, -1.0, wall_held=True)
    spots = [(50.0, 90.0), (130.0, 90.0), (90.0, 40.0)]
    pads = tuple(PadPoints(f"P{i}", spot, (), 10.0) for i, spot in enumerate(spots))
    bar = BracePath("bar", ((-20.0, 90.0), (50.0, 90.0), (130.0, 90.0), (200.0, 90.0)), 6e4, 700.0)
    return WeldTask(plate, skin, plate.outer, 0.7, 2.0, True, (), pads, bar)


def unyielding(model: Model, wishes: np.ndarray | None = None) -> Draws:
    """Draws whose metal bears anything: the middle of the bands, or given values (draws, 3, stations)."""
    values = model.wish[None, :, MIDDLE] if wishes is None else wishes
    return Draws(values, np.full((len(values), model.stations.count, MOVES), 1e15))
