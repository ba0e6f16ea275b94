"""A plate with a sleeve and a rib to be welded after its stitches."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from mesh_shapes import circle
from weld_tasks import butt_task, inherent

from cutplan.welding.distortion import LaterPart, PadPoints, WeldTask


def made(parts_of: str) -> tuple[WeldTask, list[LaterPart]]:
    """A plate with a hole for a sleeve, on a skin without a box, and the parts asked for."""
    task = butt_task(220.0, 150.0)
    hole = circle(13.0, (75.0, 80.0), 60)[::-1]
    task = replace(
        task,
        plate=replace(task.plate, holes=(hole,)),
        skin=replace(task.skin, wall_held=False),
        pads=(*task.pads, PadPoints("P5", (75.0, 80.0), (), 22.0)),
    )
    turn = (np.arange(6) + 0.5) / 6 * 0.5 * np.pi
    quarters = tuple(
        np.array([75.0, 80.0]) + 13.0 * np.column_stack([np.cos(a + turn), np.sin(a + turn)])
        for a in np.radians((0.0, 180.0, 90.0, 270.0))
    )
    bead = inherent(0.2, 20e3, 0.01)
    sleeve = LaterPart("H", "sleeve", quarters, np.full(6, 13.0 * 0.5 * np.pi / 6), 2.0, 2.8, bead)
    line = np.column_stack([np.full(60, 140.0), (np.arange(60) + 0.5) * 150.0 / 60])
    rib = LaterPart("R", "rib", (line, line[::-1]), np.full(60, 2.5), -2.0, 2.8, bead, (2.0, 25.0))
    return task, [{"s": sleeve, "r": rib}[c] for c in parts_of]
