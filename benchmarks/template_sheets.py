# ruff: noqa: E402
"""Sheets of the templates against the plain grid, and how true the joined sheets are.

    python benchmarks/template_sheets.py [--drawings FOLDER] [--join]

Every real drawing and every sample part is planned on A4, Letter and A3. The plain grid is upright sheets over the
template's box, as drawn, with the same room and overlap; the map sheet is counted in neither. With --join the sheets of
each drawing on A4 are drawn by pdfium at 254 dots per inch, joined by their registration marks and compared with the
plate (largest deviation in millimetres; the aim is 0.15).
"""

from __future__ import annotations

import argparse
import os
import sys
import time
from dataclasses import replace
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path[:0] = [str(ROOT), str(ROOT / "tests"), str(ROOT / "tests" / "roundtrip")]

from sheet_reading import by_pdfium
from test_templates_print import deviation, wanted_lines

from cutplan.drawing.model import Document
from cutplan.drawing.pdf import render_pdf
from cutplan.files.drawing_in import read_drawing
from cutplan.files.job.read import read_job
from cutplan.pattern.job import About, Job
from cutplan.pattern.plate import Hole, Plate
from cutplan.pattern.shop import Shop
from cutplan.pattern.wishes import PaperWish
from cutplan.tables.paper import SHEETS
from cutplan.templates.plan import plan_templates

PAPERS = ("A4", "Letter", "A3")


def jobs(folder: Path) -> list[tuple[str, Job]]:
    """Return every drawing and sample as a job."""
    found: list[tuple[str, Job]] = []
    for path in sorted(folder.glob("plate-*")):
        region = read_drawing(path).parts[0].region
        holes = tuple(Hole(f"H{k + 1}", c) for k, c in enumerate(region.holes))
        found.append((path.name, Job(About(path.name), Plate(region.outer, holes, 3.0))))
    for path in sorted((ROOT / "sample_parts").glob("*/job.toml")):
        found.append((path.parent.name, read_job(path)))
    return found


def main() -> None:
    """Print counts, ratios and times."""
    ask = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ask.add_argument(
        "--drawings", type=Path, default=Path(os.environ.get("CUTPLAN_DRAWINGS", ROOT.parent / "shared" / "drawings"))
    )
    ask.add_argument("--join", action="store_true", help="also draw, join and compare the sheets on A4")
    wish = ask.parse_args()
    total = {p: [0, 0] for p in PAPERS}
    slowest, worst_of_all = 0.0, 0.0
    for name, job in jobs(wish.drawings):
        cells = []
        for paper in PAPERS:
            sheet = SHEETS[paper]
            start = time.perf_counter()
            made = plan_templates(replace(job, paper=PaperWish(paper, sheet.width_mm, sheet.height_mm)), Shop())
            slowest = max(slowest, time.perf_counter() - start)
            total[paper][0] += made.sheets
            total[paper][1] += made.plain_sheets
            flag = " MORE" if made.sheets > made.plain_sheets else ""
            cells.append(f"{paper} {made.sheets}/{made.plain_sheets}{flag}")
            if wish.join and paper == "A4":
                pages = by_pdfium(render_pdf(Document(made.pages, name)))
                values = [
                    deviation(made, part, pages, lines)[0] for part in made.joined if (lines := wanted_lines(job, part))
                ]
                if values:
                    worst_of_all = max(worst_of_all, *values)
                    cells.append(f"joined {max(values):.3f} mm")
        print(f"{name:26}", "  ".join(cells))
    for paper, (ours, plain) in total.items():
        print(f"{paper}: {ours} sheets, plain grid {plain}, ratio {ours / plain:.3f}")
    print(f"slowest plan {slowest:.2f} s")
    if wish.join:
        print(f"largest deviation of joined sheets {worst_of_all:.3f} mm")


if __name__ == "__main__":
    main()
