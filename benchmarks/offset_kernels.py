"""Our offset against GEOS, Clipper2 and OpenCascade: entities, time, distance to the true offset. One run.

    PYTHONPATH=.:tests python benchmarks/offset_kernels.py [--count 500]

Random plates come from tests/random_plates.py, drawings from ../shared/drawings (or CUTPLAN_DRAWINGS) where
present. GEOS and Clipper2 get chords good to 0.001 mm and are asked for round joins good to 0.001 mm.
OpenCascade runs where CUTPLAN_KERNEL_PYTHON names a Python that has cadquery-ocp; else its kept answers in
shared/ serve for the counts and there are no times.
"""

from __future__ import annotations

import argparse
import json
import os
import subprocess
import tempfile
import time
from collections.abc import Callable
from math import acos, ceil, pi
from pathlib import Path
from statistics import median
from typing import Any

import pyclipr
import shapely
from offset_judge import offset_error
from random_plates import random_plate

from cutplan.errors import CutplanError
from cutplan.files.drawing_in import read_drawing
from cutplan.findings import errors
from cutplan.geometry.check import check_region
from cutplan.geometry.flatten import flatten_array, to_shapely
from cutplan.geometry.offset.regions import offset_region
from cutplan.geometry.region import Region
from cutplan.geometry.segment import Arc

ROOT = Path(__file__).parents[1]
TOLERANCE_MM = 0.001
DISTANCES = (0.75, -0.75)
#: Whole units of Clipper2 to the millimetre.
CLIPPER_SCALE = 1e6


def geos(region: Region, distance: float) -> int:
    """Number of vertices of GEOS's buffer."""
    quarter = ceil(pi / (4.0 * acos(1.0 - TOLERANCE_MM / abs(distance))))
    shape = to_shapely(region, TOLERANCE_MM).buffer(distance, quad_segs=quarter)
    rings = sum(1 + len(g.interiors) for g in getattr(shape, "geoms", [shape]) if not g.is_empty)
    return int(shapely.get_num_coordinates(shape)) - rings


def clipper(region: Region, distance: float) -> int:
    """Number of vertices of Clipper2's offset."""
    worker = pyclipr.ClipperOffset()
    worker.scaleFactor = int(CLIPPER_SCALE)
    worker.arcTolerance = TOLERANCE_MM * CLIPPER_SCALE
    for contour in region.contours:
        worker.addPath(flatten_array(contour, TOLERANCE_MM), pyclipr.JoinType.Round, pyclipr.EndType.Polygon)
    paths = worker.execute(distance)
    return sum(len(p) for p in paths)


def best_ms(work: Callable[[], object], rounds: int = 3) -> float:
    best = float("inf")
    for _ in range(rounds):
        start = time.perf_counter()
        work()
        best = min(best, time.perf_counter() - start)
    return 1e3 * best


def kernel_answers(named: list[tuple[str, Region]]) -> list[dict[str, Any]] | None:
    """Ask OpenCascade in its own environment, with times."""
    python = os.environ.get("CUTPLAN_KERNEL_PYTHON")
    if not python:
        return None
    rows = [{"name": n, "contours": [_as_data(c) for c in r.contours]} for n, r in named]
    with tempfile.TemporaryDirectory() as folder:
        asked, answered = Path(folder, "plates.json"), Path(folder, "answers.json")
        asked.write_text(json.dumps(rows))
        script = str(ROOT / "benchmarks" / "kernel_answers.py")
        env = {**os.environ, "PYTHONPATH": f"{ROOT}{os.pathsep}{ROOT / 'tests'}"}
        subprocess.run([python, script, str(answered), "--plates", str(asked), "--times"], check=True, env=env)
        answers: list[dict[str, Any]] = json.loads(answered.read_text())["plates"]
        return answers


def _as_data(contour: Any) -> list[Any]:
    first = contour.segments[0]
    if isinstance(first, Arc) and first.is_circle:
        return [first.centre.x, first.centre.y, first.radius]
    return [[s.start.x, s.start.y, s.bulge if isinstance(s, Arc) else 0.0] for s in contour.segments]


def drawings() -> list[tuple[str, Region]]:
    """Sound parts of the drawings; a part that touches itself has no offset to compare."""
    folder = Path(os.environ.get("CUTPLAN_DRAWINGS", ROOT / ".." / "shared" / "drawings"))
    found: list[tuple[str, Region]] = []
    for file in sorted(folder.glob("plate-*.*")) if folder.is_dir() else []:
        try:
            parts = read_drawing(file).parts
        except CutplanError as problem:
            print(f"  {file.name} left out: {problem.message}")
            continue
        for k, part in enumerate(parts):
            if errors(check_region(part.region)):
                print(f"  {file.name} part {k} left out: its outline crosses or touches itself")
            else:
                found.append((f"{file.name}#{k}", part.region))
    return found


def without_times(answers: list[dict[str, Any]]) -> str:
    for row in answers:
        for offset in row["offsets"].values():
            if offset is not None:
                offset.pop("ms")
    lines = ",\n".join(json.dumps(row, separators=(",", ":")) for row in answers)
    return '{"kernel": "OpenCascade through cadquery-ocp", "plates": [\n' + lines + "\n]}\n"


def compare(title: str, named: list[tuple[str, Region]], kept: list[dict[str, Any]] | None) -> None:
    answers = kernel_answers(named) or kept
    per: dict[str, list[float]] = {"GEOS": [], "Clipper2": [], "kernel": []}
    times: list[float] = []
    ours_ms = kernel_ms = worst = area_gap = 0.0
    silent = differs = 0
    for k, (_, region) in enumerate(named):
        for d in DISTANCES:
            result = offset_region(region, d)
            ours = sum(len(c.segments) for r in result.regions for c in r.contours)
            worst = max(worst, offset_error(region, result.regions, d))
            if ours == 0:
                continue
            for name, other in (("GEOS", geos), ("Clipper2", clipper)):
                per[name].append(ours / other(region, d))
            if answers is None:
                continue
            row = answers[k]
            area_gap = max(area_gap, abs(row["area_mm2"] / region.area - 1.0))
            theirs = row["offsets"][f"{d:+g}"]
            if theirs is None:
                silent += 1
                continue
            mine = sorted((c.area for r in result.regions for c in r.contours), reverse=True)
            if len(mine) != len(theirs["areas"]) or any(
                abs(a - b) > 1e-6 * a + 1e-6 for a, b in zip(mine, theirs["areas"], strict=True)
            ):
                differs += 1
            per["kernel"].append(ours / theirs["entities"])
            if "ms" in theirs:
                ms = best_ms(lambda region=region, d=d: offset_region(region, d))  # type: ignore[misc]
                times.append(ms / theirs["ms"])
                ours_ms, kernel_ms = ours_ms + ms, kernel_ms + theirs["ms"]
    print(f"{title}: {len(named)} plates, offsets of +-0.75 mm")
    print(f"  largest distance to the true offset, sampled both ways   {worst:.2e} mm   (promised {TOLERANCE_MM:g})")
    for name in ("GEOS", "Clipper2"):
        if per[name]:
            print(f"  our entities / {name:<8} vertices at 0.001 mm, median       1/{1.0 / median(per[name]):.1f}")
    if per["kernel"]:
        print(f"  our entities / OpenCascade edges, median                {median(per['kernel']):.3f}")
        print(f"  OpenCascade gave no answer {silent} times, another answer {differs} times, of {len(named) * 2}")
        print(f"  largest relative difference of plate area               {area_gap:.1e}")
    if times:
        print(f"  our time / OpenCascade's, median                        {median(times):.2f}")
        print(f"  our time / OpenCascade's, sum                           {ours_ms / kernel_ms:.2f}")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--count", type=int, default=500)
    parser.add_argument("--keep", action="store_true", help="keep the kernel's answers for the drawings in shared/")
    args = parser.parse_args()
    file = ROOT / "shared" / "kernel-random-plates.json"
    kept = json.loads(file.read_text())["plates"][: args.count] if file.exists() else None
    compare("random plates", [(str(k), random_plate(k)) for k in range(args.count)], kept)
    named = drawings()
    file = ROOT / "shared" / "kernel-drawings.json"
    if named:
        rows = {r["plate"]: r for r in json.loads(file.read_text())["plates"]} if file.exists() else {}
        if args.keep and (answers := kernel_answers(named)) is not None:
            file.write_text(without_times(answers))
        compare("drawings", named, [rows[n] for n, _ in named] if all(n in rows for n, _ in named) else None)


if __name__ == "__main__":
    main()
