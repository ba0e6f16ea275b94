"""Assembly: printed sheets, joined by their registration marks alone, show the plate that was wanted.

Two renderers print every sheet at 254 dots per inch. The marks are found in the pictures, the sheets are joined by
marks with the same ring, and the outline and holes are traced along their normals and compared with the exact plate.
"""

from __future__ import annotations

import os
import shutil
from pathlib import Path

import numpy as np
import pytest
from sheet_reading import Picture, best_pose, by_pdfium, by_poppler, find_marks, join, line_offsets

from cutplan.drawing.model import Document, Text
from cutplan.drawing.pdf import render_pdf
from cutplan.files.drawing_in import read_drawing
from cutplan.files.job.read import read_job
from cutplan.geometry.contour import Contour, rectangle
from cutplan.geometry.vector import Box
from cutplan.pattern.job import About, Job
from cutplan.pattern.opening import opening_line
from cutplan.pattern.plate import Hole, Plate
from cutplan.pattern.shop import Shop
from cutplan.pattern.wishes import PaperWish
from cutplan.tables.paper import SHEETS
from cutplan.templates.plan import plan_templates
from cutplan.templates.result import Joined, TemplateSet

ROOT = Path(__file__).resolve().parents[2]
DRAWINGS = Path(os.environ.get("CUTPLAN_DRAWINGS", ROOT.parent / "shared" / "drawings"))
SAMPLES = sorted(p.parent.name for p in (ROOT / "sample_parts").glob("*/job.toml"))
PLATES = (
    "plate-01.dxf",
    "plate-02.dxf",
    "plate-03.dxf",
    "plate-04.dxf",
    "plate-05.dxf",
    "plate-06.dxf",
    "plate-08.dxf",
    "plate-09.dxf",
    "plate-10.dxf",
    "plate-11.dxf",
)
#: Largest deviation of the joined outline from the plate [mm], from the purpose of the templates.
ALLOWED_MM = 0.15


def renderers() -> list[str]:
    pytest.importorskip("pypdfium2")
    if shutil.which("pdftoppm"):
        return ["poppler", "pdfium"]
    if os.environ.get("CI"):
        pytest.fail("poppler's pdftoppm is missing, and CI must not leave this test out")
    pytest.skip("poppler's pdftoppm is missing, which draws the sheets for this test")


def on_paper(job: Job, name: str) -> Job:
    from dataclasses import replace

    sheet = SHEETS[name]
    return replace(job, paper=PaperWish(name, sheet.width_mm, sheet.height_mm))


def drawn_job(name: str) -> Job:
    if not (DRAWINGS / name).is_file():
        pytest.skip("the folder of real drawings is not here")
    region = read_drawing(DRAWINGS / name).parts[0].region
    holes = tuple(Hole(f"H{k + 1}", c) for k, c in enumerate(region.holes))
    return Job(About(name), Plate(region.outer, holes, 3.0))


def samples_along(contour: Contour, every_mm: float = 2.5) -> tuple[np.ndarray, np.ndarray]:
    """Points and unit normals along a contour, away from its corners."""
    points, normals = [], []
    for s in contour.segments:
        count = max(1, int(s.length / every_mm))
        for i in range(count):
            t = (i + 0.5) / count
            if min(t, 1 - t) * s.length < 1.5 and len(contour.segments) != 1:
                continue
            d = s.direction_at(t)
            points.append(s.point_at(t))
            normals.append((-d.y, d.x))
    return np.array(points).reshape(-1, 2), np.array(normals).reshape(-1, 2)


def deviation(
    made: TemplateSet, part: Joined, pages: list[Picture], wanted: list[tuple[str, Contour, float]]
) -> tuple[float, float]:
    """Largest deviation [mm] of joined sheets from contours (template, contour, line width), and the share seen."""
    first = part.first_page - 1
    own = pages[first : first + len(part.layout.sheets)]
    poses = join([find_marks(p) for p in own]) if len(own) > 1 else join([[]])
    assert all(p is not None for p in poses), "a sheet could not be joined by its marks"
    nominal, measured, normal, asked, seen = [], [], [], 0, 0
    for name, contour, width in wanted:
        tile = next(t for t in made.tiles if t.template == name and t.sheet == part.first_page)
        points, normals = samples_along(contour)
        if not len(points):
            continue
        angle = np.radians(tile.rotation_deg)
        turn = np.array([[np.cos(angle), np.sin(angle)], [-np.sin(angle), np.cos(angle)]])
        home, out = points @ turn + tile.origin, normals @ turn
        hit = np.zeros(len(points), dtype=bool)
        for page, pose, sheet in zip(own, poses, part.layout.sheets, strict=True):
            local, local_out = pose.undo(home), out @ np.linalg.inv(np.array(_turn(pose.angle)))
            offset = line_offsets(page, local, local_out, width)
            # rulers and title lie outside the template's room, and are trimmed off or covered when sheets are joined
            offset[~_within(local, sheet.form.live)] = np.nan
            good = np.isfinite(offset)
            hit |= good
            nominal.append(home[good])
            normal.append(out[good])
            measured.append(pose.apply(local[good] + offset[good, None] * local_out[good]))
        asked, seen = asked + len(points), seen + int(hit.sum())
    a, b, n = np.concatenate(nominal), np.concatenate(measured), np.concatenate(normal)
    fitted = best_pose(b, a).apply(b)
    return float(np.abs(((fitted - a) * n).sum(axis=1)).max()), seen / asked


def _within(points: np.ndarray, box: Box) -> np.ndarray:
    """Which points lie in a box, half a line width off its edge."""
    x, y = points[:, 0], points[:, 1]
    return (x > box.xmin + 0.3) & (x < box.xmax - 0.3) & (y > box.ymin + 0.3) & (y < box.ymax - 0.3)


def _turn(angle: float) -> list[list[float]]:
    return [[np.cos(angle), np.sin(angle)], [-np.sin(angle), np.cos(angle)]]


def wanted_lines(job: Job, part: Joined) -> list[tuple[str, Contour, float]]:
    """What the joined sheets must show: template, exact contour and width of its line [mm]."""
    wanted: list[tuple[str, Contour, float]] = []
    for placed in part.layout.placed:
        name = placed.template.name
        if name in ("Plate", "Plate left"):
            wanted.append((name, job.plate.outline, 0.5))
            wanted += [(name, h.contour, 0.35) for h in job.plate.holes if h.contour.box.width > 6.0]
        elif name in ("Opening", "Opening left"):
            wanted.append((name, opening_line(job), 0.5))
    return wanted


def check(job: Job, folder: Path) -> None:
    made = plan_templates(job, Shop())
    pdf = render_pdf(Document(made.pages, "t"))
    for renderer in renderers():
        pages = by_poppler(pdf, folder) if renderer == "poppler" else by_pdfium(pdf)
        for part in made.joined:
            wanted = wanted_lines(job, part)
            if wanted:
                worst, share = deviation(made, part, pages, wanted)
                assert worst <= ALLOWED_MM, f"{renderer}, {part.layout.name}: {worst:.3f} mm"
                assert share > 0.75, f"{renderer}, {part.layout.name}: only {100 * share:.0f} % was traced"


@pytest.mark.slow
@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("sample", SAMPLES)
def test_joined_sheets_of_a_sample_show_its_plate(sample: str, paper: str, tmp_path: Path) -> None:
    check(on_paper(read_job(ROOT / "sample_parts" / sample / "job.toml"), paper), tmp_path)


@pytest.mark.slow
@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("plate", PLATES)
def test_joined_sheets_of_a_real_drawing_show_its_plate(plate: str, paper: str, tmp_path: Path) -> None:
    check(on_paper(drawn_job(plate), paper), tmp_path)


def tick_places(
    picture: Picture, start: tuple[float, float], along: tuple[float, float], length_mm: float
) -> np.ndarray:
    """Middles of the dark places along a straight scan, as distances from its start [mm]."""
    step = 0.02
    at = np.arange(-2.0, length_mm + 2.0, step)
    px = picture.to_px(np.array(start) + at[:, None] * np.array(along)) - 0.5
    x0, y0 = np.floor(px[:, 0]).astype(int), np.floor(px[:, 1]).astype(int)
    fx, fy = px[:, 0] - x0, px[:, 1] - y0
    p = picture.dark
    upper, lower = (p[y, x0] * (1 - fx) + p[y, x0 + 1] * fx for y in (y0, y0 + 1))
    dark = upper * (1 - fy) + lower * fy
    places, k = [], 0
    while k < len(at):
        if dark[k] > 0.08:
            end = k
            while end < len(at) and dark[end] > 0.08:
                end += 1
            places.append(float((at[k:end] * dark[k:end]).sum() / dark[k:end].sum()))
            k = end
        k += 1
    return np.array(places)


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_printed_rulers_measure_true_on_both_axes(paper: str, tmp_path: Path) -> None:
    sheet = SHEETS[paper]
    job = Job(
        About("ruler"),
        Plate(rectangle(0.0, 0.0, 90.0, 60.0), (), 3.0),
        paper=PaperWish(paper, sheet.width_mm, sheet.height_mm),
    )
    made = plan_templates(job, Shop())
    form = made.joined[0].layout.sheets[0].form
    title = next(i.text for i in made.pages[0].items if isinstance(i, Text) and "rulers must measure" in i.text)
    wide, tall = (float(v) for v in title.split("measure ")[1].split(" mm")[0].split(" x "))
    pdf = render_pdf(Document(made.pages, "t"))
    for renderer in renderers():
        picture = (by_poppler(pdf, tmp_path) if renderer == "poppler" else by_pdfium(pdf))[0]
        # a millimetre above the lower ruler's middle line, and left of the left ruler's: every millimetre tick passes
        scans = (
            ((form.reach.xmin + 0.3, form.reach.ymin + 5.75), (1.0, 0.0), wide),
            ((form.reach.xmin + 3.75, form.live.ymin), (0.0, 1.0), tall),
        )
        for start, along, length in scans:
            ticks = tick_places(picture, start, along, length)
            ticks = ticks[(ticks > -0.5) & (ticks < length + 0.5)]
            assert len(ticks) == int(length) + 1, f"{renderer}: {len(ticks)} ticks on {length} mm"
            # exact: tick k lies k millimetres from the first; a tenth is what an eye can read
            assert np.abs(ticks - ticks[0] - np.arange(len(ticks))).max() < 0.1
            assert ticks[-1] - ticks[0] == pytest.approx(length, abs=0.1)


def test_a_sheet_whose_line_is_off_by_a_third_of_a_millimetre_is_noticed() -> None:
    pytest.importorskip("pypdfium2")
    from dataclasses import replace

    from cutplan.drawing.model import Stroke, moved

    job = Job(About("planted"), Plate(rectangle(0.0, 0.0, 300.0, 120.0, 20.0), (), 3.0))
    made = plan_templates(job, Shop())
    part = made.joined[0]
    assert len(part.layout.sheets) == 2
    bad = made.pages[part.first_page]
    items = tuple(moved(i, 1.0, 0.0, 0.33) if isinstance(i, Stroke) and i.tag == "cut" else i for i in bad.items)
    shifted = [replace(bad, items=items) if p is bad else p for p in made.pages]
    for pages, true in ((made.pages, True), (tuple(shifted), False)):
        seen = by_pdfium(render_pdf(Document(pages, "t")))
        worst, share = deviation(made, part, seen, wanted_lines(job, part))
        assert share > 0.75 and (worst <= ALLOWED_MM) == true, worst
