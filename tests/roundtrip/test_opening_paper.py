"""Where the opening is drilled, read back from print: circles and crosses of the paper, the drawing file, and the table."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from io import StringIO
from pathlib import Path

import numpy as np
import pytest
from paper_marks import Marks, carried, laid_on, marks, table_rows
from sheet_results import small_job

from cutplan.files.job.read import read_job
from cutplan.pattern.job import Job, Shown
from cutplan.pattern.shop import Shop
from cutplan.project.planned.plans import plans
from cutplan.project.run.documents import chosen

SAMPLES = sorted(p.parent for p in (Path(__file__).parents[2] / "sample_parts").glob("*/job.toml"))
#: A place on the paper may be off by so much [mm]: less than half of what a centre punch can follow.
PAPER_MM = 0.02
#: The table rounds both numbers to 0.1 mm: a place of it may be off by the diagonal of half of that [mm], and a hair.
TABLE_MM = 0.0708 + 0.005


@cache
def documents(job: Job) -> dict[str, bytes]:
    """What is printed and drawn for the opening."""
    results = plans(job, Shop(), ("templates", "opening"), remember=False, cores=1)
    return {k: v for m in chosen(("templates", "opening", "job-sheet")) for k, v in m.make(results).items()}


def drawn(dxf: bytes) -> tuple[list[str], np.ndarray, np.ndarray]:
    """Names, centres and radii of what is drilled, read by the outside reader of drawings; a name stands right of its hole."""
    import ezdxf

    doc = ezdxf.read(StringIO(dxf.decode()))
    circles = [c for c in doc.modelspace().query("CIRCLE") if c.dxf.layer in ("opening drill", "opening window")]
    texts = [(t.dxf.text, t.dxf.insert) for t in doc.modelspace().query("TEXT") if t.dxf.text[:1] in "DW"]
    at = np.array([(c.dxf.center.x, c.dxf.center.y) for c in circles])
    radii = np.array([c.dxf.radius for c in circles])
    right = at + np.column_stack([radii, np.zeros(len(radii))])
    names = [min(texts, key=lambda t: np.hypot(t[1].x - x, t[1].y - y))[0] for x, y in right]
    return names, at, radii


def off_paper(at: np.ndarray, radii: np.ndarray, pages: list[Marks]) -> np.ndarray:
    """How far each place is, at best, from a circle of its size with a cross in it, on any page [mm]."""
    best = np.full(len(at), np.inf)
    for page in pages:
        ways = laid_on(at, radii, page.rounds) if len(page.crosses) else []
        for there in ways:
            for k, place in enumerate(there):
                best[k] = min(best[k], _off(place, radii[k], page))
    return best


def _off(place: np.ndarray, radius: float, page: Marks) -> float:
    rings = [np.hypot(c.x - place[0], c.y - place[1]) for c in page.rounds if abs(c.radius - radius) < 0.02]
    return float(max(min(rings, default=np.inf), np.hypot(*(page.crosses - place).T).min()))


def alone(radius: float, pages: list[Marks]) -> float:
    """How far the cross is from the middle of the one circle of a size on some page [mm]: nothing else there to hold it to."""
    found = [np.inf]
    for page in pages:
        rings = [c for c in page.rounds if abs(c.radius - radius) < 0.02]
        if len(rings) == 1 and len(page.crosses):
            found.append(float(np.hypot(*(page.crosses - (rings[0].x, rings[0].y)).T).min()))
    return min(found)


def _nearest_pair(crosses: np.ndarray, apart: float) -> float:
    """How far the distance of some two crosses is from a wanted one, at best [mm]."""
    if len(crosses) < 2:
        return float(np.inf)
    gap = np.hypot(*(crosses[:, None, :] - crosses[None, :, :]).transpose(2, 0, 1))
    return float(np.abs(gap[np.triu_indices(len(crosses), 1)] - apart).min())


def check(job: Job) -> None:
    made = documents(job)
    names, at, radii = drawn(made["opening.dxf"])
    assert len(at) >= 2 and len(set(names)) == len(names)
    pages = marks(made["templates.pdf"])
    off = off_paper(at, radii, pages)
    lone = [k for k in range(len(at)) if off[k] >= PAPER_MM]
    off[lone] = [alone(radii[k], pages) for k in lone]
    assert off.max() < PAPER_MM and len(lone) <= 1, dict(zip(names, off.round(3).tolist(), strict=True))
    table = table_rows(made["job-sheet.pdf"])
    assert set(names) <= set(table) and {"M1", "M2", "M3", "M4"} <= set(table)
    assert [table[n][0] for n in names] == pytest.approx((2.0 * radii).tolist(), abs=0.51)  # sizes are told in whole mm
    told = np.array([table[n][1:] for n in names])
    assert np.hypot(*(carried(told, at, told) - at).T).max() < TABLE_MM
    # every datum mark of the table has its cross on the paper, where holes and table put it
    punched = np.array([table[f"M{k}"][1:] for k in (1, 2, 3, 4)])
    seen = np.full(4, np.inf)
    for page in pages:
        for there in laid_on(at, radii, page.rounds) if len(page.crosses) else ():
            all_four = carried(told, there, punched)
            seen = np.minimum(seen, [np.hypot(*(page.crosses - p).T).min() for p in all_four])
    away = [k for k in range(4) if seen[k] >= 2.0 * TABLE_MM]  # on a sheet without two holes to lay it by
    assert len(away) in (0, 2), seen
    if away:
        apart = np.hypot(*(punched[away[0]] - punched[away[1]]))
        assert min(_nearest_pair(page.crosses, apart) for page in pages) < 2.0 * TABLE_MM, (away, apart)


def test_the_reader_finds_a_hole_printed_a_tenth_off() -> None:
    """The judge is judged: one hole moved by 0.1 mm is noticed."""
    made = documents(small_job())
    _, at, radii = drawn(made["opening.dxf"])
    pages = marks(made["templates.pdf"])
    assert off_paper(at, radii, pages).max() < PAPER_MM
    moved = at.copy()
    moved[0] += (0.1, 0.0)
    assert off_paper(moved, radii, pages).max() > PAPER_MM


def test_drill_centres_of_paper_drawing_and_table_agree() -> None:
    check(small_job())


@pytest.mark.slow
@pytest.mark.parametrize("folder", SAMPLES, ids=lambda p: p.name)
def test_drill_centres_of_the_samples_agree(folder: Path) -> None:
    check(replace(read_job(folder / "job.toml"), shown=Shown("mm")))  # an inch table tells fractions
