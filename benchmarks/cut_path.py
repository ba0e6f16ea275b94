# ruff: noqa: E402
"""The torch path: how few lines and arcs it takes, how true it is, how fast, and what the played cut leaves.

    python benchmarks/cut_path.py [PLATES] [--drawings FOLDER]

Random plates (tests/random_plates.py) are moved by 0.75 mm out and in at 0.001 mm. Ratios are of numbers of segments
and of times measured in this run, one plate at a time, median over all. The outside kernel's segment counts are kept
in shared/kernel-random-plates.json; with --kernel-python it is asked again in this run, with its times.
"""

from __future__ import annotations

import argparse
import json
import os
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from math import acos, ceil, pi
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parent.parent
sys.path[:0] = [str(ROOT), str(ROOT / "tests"), str(ROOT / "benchmarks")]

import pyclipr
from offset_judge import offset_error
from oracles.played_cut import simulate
from random_plates import random_plate

from cutplan.cutting.plan import plan_cut
from cutplan.errors import CutplanError
from cutplan.findings import errors
from cutplan.geometry.flatten import flatten, to_shapely
from cutplan.geometry.offset.regions import offset_region
from cutplan.geometry.region import Region
from cutplan.pattern.job import About, Job
from cutplan.pattern.plate import Hole, Plate
from cutplan.pattern.shop import Shop
from cutplan.pattern.wishes import Cutting

Plates = tuple[str, Region, dict[str, Any] | None]
DISTANCES = (0.75, -0.75)
TOLERANCE_MM = 0.001


def ours(region: Region, distance_mm: float) -> list[Region]:
    return list(offset_region(region, distance_mm).regions)


def segments_of(regions: list[Region]) -> int:
    return sum(len(c.segments) for r in regions for c in r.contours)


def geos(region: Region, distance_mm: float) -> int:
    """Vertices that GEOS needs for the same offset at the same tolerance."""
    quarter = ceil(0.25 * pi / acos(1.0 - TOLERANCE_MM / abs(distance_mm)))
    shape = to_shapely(region, TOLERANCE_MM).buffer(distance_mm, quad_segs=quarter)
    polygons = getattr(shape, "geoms", [shape])
    return sum(len(r.coords) - 1 for p in polygons if not p.is_empty for r in (p.exterior, *p.interiors))


def clipper(region: Region, distance_mm: float) -> int:
    """Vertices that Clipper2 needs for the same offset at the same tolerance."""
    tool = pyclipr.ClipperOffset()
    tool.scaleFactor = 1_000_000
    tool.arcTolerance = TOLERANCE_MM * tool.scaleFactor
    for contour in region.contours:
        tool.addPath(flatten(contour, TOLERANCE_MM), pyclipr.JoinType.Round, pyclipr.EndType.Polygon)
    return sum(len(path) for path in tool.execute(distance_mm))


def kernel(python: str, plates: list[Plates]) -> dict[str, dict[str, Any]]:
    """Ask the outside kernel for all plates in this run, with times; needs a Python that has cadquery-ocp."""
    rows = []
    for name, region, _ in plates:
        contours: list[Any] = []
        for c in region.contours:
            round_ = c.as_circle()
            if round_ is not None:
                contours.append([round_[0].x, round_[0].y, round_[1]])
            else:
                contours.append([[s.start.x, s.start.y, getattr(s, "bulge", 0.0)] for s in c.segments])
        rows.append({"name": name, "contours": contours})
    with tempfile.TemporaryDirectory() as folder:
        asked, answers = Path(folder) / "plates.json", Path(folder) / "answers.json"
        asked.write_text(json.dumps(rows))
        script = ROOT / "benchmarks/kernel_answers.py"
        subprocess.run(
            [python, str(script), str(answers), "--plates", str(asked), "--times"],
            check=True,
            env={**os.environ, "PYTHONPATH": f"{ROOT}{os.pathsep}{ROOT / 'tests'}"},
        )
        return {str(row["plate"]): row for row in json.loads(answers.read_text())["plates"]}


def best_ms(call: Callable[[], Any], runs: int = 3) -> float:
    times = []
    for _ in range(runs):
        start = time.perf_counter()
        call()
        times.append(1000.0 * (time.perf_counter() - start))
    return min(times)


def line(name: str, values: list[float], wanted: str = "") -> None:
    print(f"  {name}: median {statistics.median(values):.4g}, worst {max(values):.4g}{wanted} (n = {len(values)})")


def offsets(plates: list[Plates], python: str) -> None:
    answers = kernel(python, plates) if python else {}
    against: dict[str, list[float]] = {"kernel": [], "geos": [], "clipper": [], "kernel time": [], "geos time": []}
    error: list[float] = []
    refused = 0
    sums = [0, 0, 0]
    for name, region, kept in plates:
        for distance in DISTANCES:
            try:
                result = ours(region, distance)
            except CutplanError:
                refused += 1
                continue
            n = segments_of(result)
            error.append(offset_error(region, result, distance))
            if n == 0:
                continue
            answer = (answers.get(name) or kept or {}).get("offsets", {}).get(f"{distance:+g}")
            if answer:
                against["kernel"].append(n / answer["entities"])
            geos_n, clipper_n = geos(region, distance), clipper(region, distance)
            against["geos"].append(n / geos_n)
            against["clipper"].append(n / clipper_n)
            sums = [a + b for a, b in zip(sums, (n, geos_n, clipper_n), strict=True)]
            own_ms = best_ms(lambda r=region, d=distance: ours(r, d))  # type: ignore[misc]
            geos_ms = best_ms(lambda r=region, d=distance: geos(r, d))  # type: ignore[misc]
            against["geos time"].append(own_ms / geos_ms)
            if answer and answer.get("ms"):
                against["kernel time"].append(own_ms / answer["ms"])
    print(f"offset by +-0.75 mm at {TOLERANCE_MM} mm, {len(plates)} plates, {refused} refused")
    if against["kernel"]:
        line("segments, ours over the outside kernel's", against["kernel"], ", wanted median <= 1")
    print(f"  all plates together: ours over GEOS {sums[0] / sums[1]:.4f}, over Clipper2 {sums[0] / sums[2]:.4f}")
    line("segments, ours over GEOS vertices", against["geos"], ", wanted <= 0.05")
    line("segments, ours over Clipper2 vertices", against["clipper"], ", wanted <= 0.05")
    line("largest distance from the true offset [mm]", error, f", wanted <= {TOLERANCE_MM}")
    line("time, ours over GEOS", against["geos time"])
    if against["kernel time"]:
        line("time, ours over the outside kernel's", against["kernel time"], ", wanted <= 2")
    else:
        print("  time against the outside kernel: not measured, see --kernel-python")


def cuts(plates: list[Plates]) -> None:
    for process, thickness, kerf in (("air plasma", 5.0, 1.5), ("laser", 3.0, 0.2)):
        gouge, left, clear, times, per_chord = [], [], [], [], []
        told = 0
        for _, region, _ in plates:
            holes = tuple(Hole(f"H{k}", h) for k, h in enumerate(region.holes, 1))
            wish = Cutting(process=process, kerf_mm=kerf)  # type: ignore[arg-type]
            job = Job(About(""), Plate(region.outer, holes, thickness), cutting=wish)
            start = time.perf_counter()
            plan = plan_cut(job, Shop())
            times.append(1000.0 * (time.perf_counter() - start))
            if errors(plan.findings):
                told += 1
                continue
            seen = simulate(plan)
            gouge.append(max(seen.gouge_mm, seen.lead_gouge_mm))
            left.append(seen.left_mm)
            clear.append(min((p.clear_mm for p in plan.paths), default=0.0) - seen.pierce_clear_mm)
            lines = sum(len(p.segments) for p in plan.paths)
            chords = sum(len(flatten(c, TOLERANCE_MM)) for c in plan.net.contours)
            per_chord.append(lines / chords)
        heading = f"played cut, {process}, {thickness:g} mm, kerf {kerf:g} mm"
        print(f"{heading}: {len(gouge)} plates, {told} told as an error")
        line("deepest bite into the net plate [mm]", gouge, ", wanted <= 0.01 but at bridged steps")
        line("metal left on the net plate [mm]", left, ", wanted <= 0.01 but at bridged steps")
        line("pierce nearer to the part than planned [mm]", clear)
        line("segments of the path over chords of the net shape at 0.001 mm", per_chord)
        line("time of a whole plan [ms]", times)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("plates", nargs="?", type=int, default=60)
    drawings = os.environ.get("CUTPLAN_DRAWINGS", ROOT.parent / "shared/drawings")
    parser.add_argument("--drawings", type=Path, default=Path(drawings))
    parser.add_argument(
        "--kernel-python", default=os.environ.get("CUTPLAN_KERNEL_PYTHON", ""), help="a Python that has cadquery-ocp"
    )
    args = parser.parse_args()
    kept = json.loads((ROOT / "shared/kernel-random-plates.json").read_text())["plates"]
    answers = {k["plate"]: k for k in kept}
    random: list[Plates] = [(str(seed), random_plate(seed), answers.get(seed)) for seed in range(args.plates)]
    print("random plates")
    offsets(random, args.kernel_python)
    cuts(random)
    files = sorted(args.drawings.glob("plate-*.*")) if args.drawings.is_dir() else []
    real: list[Plates] = []
    for file in files:
        if file.suffix in (".dxf", ".svg"):
            from cutplan.files.drawing_in import read_drawing

            real.append((file.name, read_drawing(file, repair=True).parts[0].region, None))
    if real:
        print("real drawings")
        offsets(real, args.kernel_python)
        cuts(real)
    else:
        print("real drawings: folder absent, left out")


if __name__ == "__main__":
    main()
