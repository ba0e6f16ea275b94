# ruff: noqa: E402
"""Cards rendered, traced and judged: the table of docs/how-to/trace-a-cardboard-template.md, made anew.

    python benchmarks/trace.py [--cases NAME,...] [--photos 1,4] [--scenes N] [--keep DIR]

With --scenes N it draws N scenes by chance and compares the errors made with the errors told (chi-square over their number).
"""

from __future__ import annotations

import argparse
import io
import resource
import sys
import time
from pathlib import Path

import numpy as np

sys.path[:0] = [str(Path(__file__).parents[1]), str(Path(__file__).parents[1] / "tests")]

from rig.cases import CASES, known, random_scene, scene_of
from rig.judge import judge
from rig.render import jpeg, render
from rig.scene import Scene

from cutplan.errors import CutplanError
from cutplan.photo.picture import read_picture
from cutplan.photo.plate import Wanted, trace


def pictures_of(scene: Scene, name: str, many: int, keep: Path) -> list:  # type: ignore[type-arg]
    """Return the first photographs of a scene, from the folder where they were kept if they are there."""
    out = []
    for i in range(many):
        path = keep / f"{name.replace(' ', '-').replace(',', '')}-{i}.jpg"
        if not path.exists():
            keep.mkdir(parents=True, exist_ok=True)
            path.write_bytes(jpeg(render(scene, scene.views[i], i), scene.quality))
        out.append(read_picture(path))
    return out


def row(name: str, many: int, keep: Path) -> str:
    """Return one line of the table."""
    scene = scene_of(name)
    thickness = 3.0
    pictures = pictures_of(scene, name, many, keep)
    started = time.process_time()
    try:
        r = trace(pictures, Wanted(thickness, (known(scene),)))
    except CutplanError as refusal:
        return f"| {name} | {many} | refused: {refusal.message} | | | | | | |"
    spent = time.process_time() - started
    v = judge(r.region, scene.card, r.outer_errors)
    line, radius = (np.abs(x).max() if len(x) else np.nan for x in (v.line_off, v.radius_off))
    height = "" if r.height_mm is None else f"{r.height_mm:.2f}"
    notes = " ".join(f.code for f in r.findings)
    return (
        f"| {name} | {many} | {r.solved.adjusted.rms_px:.3f} | {v.rms:.3f} ({v.bias:+.3f}) | {v.largest:.2f} | "
        f"{np.abs(v.hole_diameter).max():.3f} | {v.hole_place.max():.3f} | {height} | "
        f"{v.pieces}{'' if v.same_kinds else ' (other kinds)'}, lines {line:.3f}, radii {radius:.3f} | {spent:.1f} s {notes}"
    )


def spread(scenes: int, first: int, keep: Path) -> None:
    """Print the errors made over the errors told, squared and averaged, by kind."""
    kinds: dict[str, list[float]] = {"line": [], "radius": [], "diameter": [], "place": []}
    for seed in range(first, first + scenes):
        scene = random_scene(seed)
        pictures = [_read(jpeg(render(scene, v, i), scene.quality), keep) for i, v in enumerate(scene.views)]
        off = float(np.random.default_rng(900 + seed).normal(0.0, 0.1))
        try:
            r = trace(pictures, Wanted(scene.thickness_mm, (known(scene, error_mm=0.1, off_mm=off),)))
        except CutplanError as refusal:
            print(f"scene {seed}: refused: {refusal.message}", flush=True)
            continue
        v = judge(r.region, scene.card, r.outer_errors)
        round_ = [h for h in r.holes if h.diameter_error_mm]
        told = [(h.diameter_error_mm, h.place_error_mm) for h in round_]
        now = {
            "line": (v.line_off / v.line_told).tolist(),
            "radius": (v.radius_off / v.radius_told).tolist(),
            "diameter": [d / t[0] for d, t in zip(v.hole_diameter[np.isfinite(v.hole_diameter)], told, strict=True)],
            "place": [float(x) / t[1] for p, t in zip(v.place_errors, told, strict=True) for x in p],
        }
        for kind, values in now.items():
            kinds[kind] += values
        print(
            f"scene {seed}: rms {v.rms:.4f} pieces {v.pieces} height {r.height_mm} "
            + ", ".join(f"{k} {np.mean(np.square(x)):.2f}" for k, x in now.items())
            + f"; so far {np.mean(np.square(np.concatenate([kinds[k] for k in kinds]))):.2f}",
            flush=True,
        )
    for kind, values in kinds.items():
        clipped = np.square(values)
        print(
            f"{kind}: chi-square over number {clipped.mean():.2f} (median {np.median(clipped) / 0.455:.2f}), "
            f"{len(values)} values, beyond 3 errors: {np.mean(clipped > 9):.3f}"
        )
    everything = np.square(np.concatenate([kinds[k] for k in kinds]))
    print(f"all: {everything.mean():.2f}")


def _read(data: bytes, keep: Path):  # type: ignore[no-untyped-def]
    keep.mkdir(parents=True, exist_ok=True)
    path = keep / "one.jpg"
    path.write_bytes(io.BytesIO(data).getvalue())
    return read_picture(path)


def main() -> None:
    """Print the table, or the spread."""
    p = argparse.ArgumentParser(description=__doc__)
    p.add_argument("--cases", default=",".join(c.replace(",", ";") for c in CASES))
    p.add_argument("--photos", default="4")
    p.add_argument("--scenes", type=int, default=0)
    p.add_argument("--first", type=int, default=0, help="seed of the first scene")
    p.add_argument("--keep", type=Path, default=Path("output") / "trace-pictures")
    args = p.parse_args()
    if args.scenes:
        spread(args.scenes, args.first, args.keep)
        return
    print(
        "| condition | photos | adjustment px | outline rms (bias) | largest | diameter | place | height | pieces | time |"
    )
    print("| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |")
    for name in args.cases.split(","):
        for many in args.photos.split(","):
            print(row(name.replace(";", ","), int(many), args.keep), flush=True)
    print(f"most memory: {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB")


if __name__ == "__main__":
    main()
