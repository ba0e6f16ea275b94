"""Jobs and words of templates for tests."""

from __future__ import annotations

import os
from pathlib import Path

from cutplan.drawing.model import Page, Text
from cutplan.geometry.contour import circle_contour, rectangle
from cutplan.geometry.vector import Point
from cutplan.pattern.job import About, Job
from cutplan.pattern.plate import Hole, Plate
from cutplan.pattern.wishes import PaperWish
from cutplan.tables.paper import SHEETS
from cutplan.templates.result import TemplateSet

ROOT = Path(__file__).resolve().parents[1]
DRAWINGS = Path(os.environ.get("CUTPLAN_DRAWINGS", ROOT.parent / "shared" / "drawings"))
SAMPLES = sorted(p.parent.name for p in (ROOT / "sample_parts").glob("*/job.toml"))


def hole(name: str, x: float, y: float, across: float, **more: object) -> Hole:
    return Hole(name, circle_contour(Point(x, y), across / 2, ccw=False), "bolt", **more)  # type: ignore[arg-type]


def job(width: float = 380.0, height: float = 240.0, holes: tuple[Hole, ...] | None = None, **more: object) -> Job:
    if holes is None:
        holes = (hole("H1", 60, 60, 11), hole("H2", 320, 60, 11), hole("H3", 190, 120, 60))
    plate = Plate(rectangle(0, 0, width, height, 25), holes, 4.0)
    return Job(About("Left tow-eye insert", date="2026-04-01"), plate, **more)  # type: ignore[arg-type]


def paper(name: str, **more: float) -> PaperWish:
    return PaperWish(name, SHEETS[name].width_mm, SHEETS[name].height_mm, **more)


def texts(page: Page) -> list[str]:
    return [i.text for i in page.items if isinstance(i, Text)]


def all_words(made: TemplateSet) -> str:
    return "\n".join(t for p in made.pages for t in texts(p))
