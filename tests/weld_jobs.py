"""Small weld jobs of known shape for the tests of the weld trade."""

from __future__ import annotations

from typing import Any

from cutplan.geometry.contour import Contour, circle_contour, rectangle
from cutplan.geometry.vector import Point
from cutplan.pattern.job import About, Job
from cutplan.pattern.joint import Joint
from cutplan.pattern.pads import Pad
from cutplan.pattern.plate import Hole, Plate, Purpose
from cutplan.pattern.skin import Skin
from cutplan.pattern.wishes import Welding

HOLES = ((50.0, 40.0), (170.0, 40.0), (50.0, 100.0), (170.0, 100.0))


def rectangle_job(
    width_mm: float = 220.0,
    height_mm: float = 140.0,
    radius_mm: float = 12.0,
    plate_mm: float = 4.0,
    skin_mm: float = 2.5,
    joint: Joint | None = None,
    purpose: Purpose = "bolt",
    **welding: Any,
) -> Job:
    """A rectangular plate with four holes."""
    holes = tuple(
        Hole(f"H{i + 1}", circle_contour(Point(x, y), 6.5, ccw=False), purpose) for i, (x, y) in enumerate(HOLES)
    )
    outline = rectangle(0.0, 0.0, width_mm, height_mm, radius_mm)
    pads = tuple(Pad(h.name, h.centre) for h in holes)
    plate = Plate(outline, holes, plate_mm)
    return Job(About("test"), plate, joint or Joint("butt", 1.0), Skin(skin_mm), pads, welding=Welding(**welding))


def plain_job(outline: Contour, plate_mm: float = 3.0, skin_mm: float = 2.0, joint: Joint | None = None) -> Job:
    """A plate without holes."""
    return Job(About("test"), Plate(outline, (), plate_mm), joint or Joint("butt", 1.0), Skin(skin_mm))
