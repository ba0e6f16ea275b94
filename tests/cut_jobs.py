"""Jobs that the cutting tests share: plates built by hand, and the real drawings where they are present."""

from __future__ import annotations

import os
from pathlib import Path

from cutplan.geometry.contour import Contour, circle_contour, rectangle
from cutplan.geometry.region import Region
from cutplan.geometry.vector import Point
from cutplan.pattern.job import About, Job
from cutplan.pattern.plate import Hole, Plate
from cutplan.pattern.wishes import Cutting


def round_hole(name: str, x: float, y: float, diameter_mm: float, **more: object) -> Hole:
    """A round hole."""
    return Hole(name, circle_contour(Point(x, y), 0.5 * diameter_mm, ccw=False), **more)  # type: ignore[arg-type]


def slot_hole(name: str, x: float, y: float, length_mm: float, width_mm: float, **more: object) -> Hole:
    """A round-ended slot along x from its lower left corner."""
    return Hole(name, rectangle(x, y, length_mm, width_mm, 0.5 * width_mm).reversed(), **more)  # type: ignore[arg-type]


def job_of(
    holes: tuple[Hole, ...] = (), *, outline: Contour | None = None, thickness_mm: float = 5.0, **cutting: object
) -> Job:
    """A plate of 300 x 200 mm with rounded corners, unless another outline is given; kerf 1.5 mm unless stated."""
    cutting.setdefault("kerf_mm", 1.5)
    plate = Plate(outline or rectangle(0.0, 0.0, 300.0, 200.0, 20.0), holes, thickness_mm)
    return Job(About("test plate"), plate, cutting=Cutting(**cutting))  # type: ignore[arg-type]


def sample_holes() -> tuple[Hole, ...]:
    """Holes of many kinds: bolt, too small, small, large, slot, square."""
    return (
        round_hole("H1", 40.0, 40.0, 11.0, purpose="bolt", bolt="M10"),
        round_hole("H2", 100.0, 60.0, 30.0),
        round_hole("H3", 150.0, 100.0, 80.0),
        round_hole("H4", 250.0, 40.0, 14.0),
        slot_hole("S1", 30.0, 150.0, 60.0, 20.0),
        Hole("S2", rectangle(200.0, 150.0, 40.0, 30.0).reversed()),
        round_hole("H5", 250.0, 70.0, 6.0),
    )


def region_job(region: Region, thickness_mm: float = 5.0, **cutting: object) -> Job:
    """A job for any region; its holes are named H1, H2 ..."""
    holes = tuple(Hole(f"H{i}", h) for i, h in enumerate(region.holes, 1))
    return job_of(holes, outline=region.outer, thickness_mm=thickness_mm, **cutting)


def drawings() -> list[Path]:
    """The real drawings, or nothing where their folder is absent."""
    default = Path(__file__).resolve().parents[2] / "shared" / "drawings"
    folder = Path(os.environ.get("CUTPLAN_DRAWINGS", default))
    return sorted(p for p in folder.glob("plate-*.*") if p.suffix in (".dxf", ".svg"))
