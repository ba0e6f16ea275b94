# ruff: noqa: E402
"""How dense pieces are laid on a strip: published instances against the best length known, each judged by GEOS.

    python benchmarks/packing.py FOLDER [--seconds 30] [--workers 2] [--seeds 1] [NAME ...]

FOLDER holds instances as JSON (strip height, items with their demand, rotations and corners). The search is the one that
``cutplan sheet`` uses. Density is the pieces' area over height times length; overlap and the strip's edges are checked by
GEOS, which has no part in the search. Target on two idle cores in 30 s: 97 % of the best known in the mean, 95 % each.
The processor time used is told: on a machine that does other work it falls short of workers times seconds, and so does
the result.
"""

from __future__ import annotations

import argparse
import json
import os
import sys
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path[:0] = [str(ROOT)]

from shapely import Polygon, STRtree, affinity, box

from cutplan.cutting.nest.strip import strip
from cutplan.project.planned.beside import beside

#: Best lengths known, kept beside the instances in their public repository (published).
BEST = {"albano": 9692.056, "fu": 30.843, "jakobs1": 10.980, "mao": 1696.802, "marques": 75.176, "shapes0": 57.012}
#: Overlap over a piece's area that counts as none [1].
OVERLAP = 1e-6


def judged(shapes: list[Polygon], laid: list, height: float) -> float:
    """Return the length used when no piece overlaps another or leaves the strip, else raise."""
    placed = [
        affinity.translate(affinity.rotate(shapes[p.shape], p.turn_deg, origin=(0.0, 0.0)), p.x_mm, p.y_mm)
        for p in laid
    ]
    length = max(p.bounds[2] for p in placed)
    strip_box = box(0.0, 0.0, length, height).buffer(1e-4 * height)
    for p in placed:
        if not strip_box.contains(p):
            raise SystemExit("a piece leaves the strip")
    tree = STRtree(placed)
    for i, p in enumerate(placed):
        for j in tree.query(p):
            if j > i and p.intersection(placed[j]).area > OVERLAP * min(p.area, placed[j].area):
                raise SystemExit(f"pieces {i} and {j} overlap")
    return length - min(p.bounds[0] for p in placed)


def _processor_s() -> float:
    """Processor time of this process and of those that it waited for [s]."""
    used = os.times()
    return used.user + used.system + used.children_user + used.children_system


def main() -> None:
    """Print one line for each instance and the mean."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder", type=Path)
    parser.add_argument("names", nargs="*")
    parser.add_argument("--seconds", type=int, default=30)
    parser.add_argument("--workers", type=int, default=2)
    parser.add_argument("--seeds", type=int, default=1, help="searches of each instance, each with its own start value")
    args = parser.parse_intermixed_args()
    shares: list[float] = []
    for path in sorted(args.folder.glob("*.json")):
        if args.names and path.stem not in args.names:
            continue
        data = json.loads(path.read_text())
        shapes = [Polygon(i["shape"]["data"]) for i in data["items"]]
        counts = [i["demand"] for i in data["items"]]
        area = sum(s.area * c for s, c in zip(shapes, counts, strict=True))
        turns, best = data["items"][0].get("allowed_orientations"), BEST.get(path.stem)
        lengths = []
        for seed in range(1, args.seeds + 1):
            start, used = time.perf_counter(), _processor_s()
            laid, _ = strip(shapes, counts, data["strip_height"], turns, args.seconds, args.workers, 100 * seed, beside)
            took, used = time.perf_counter() - start, _processor_s() - used
            if len(laid) != sum(counts):
                raise SystemExit(f"{path.stem}: pieces are missing")
            lengths.append(judged(shapes, laid, data["strip_height"]))
            density = 100.0 * area / (lengths[-1] * data["strip_height"])
            told = f", {100.0 * best / lengths[-1]:.1f} % of the best known" if best else ""
            print(
                f"{path.stem}: {sum(counts)} pieces, length {lengths[-1]:.3f}, density {density:.2f} %{told}, "
                f"{took:.0f} s, {used:.0f} s of processor time"
            )
        if best:
            shares.append(best * sum(1.0 / length for length in lengths) / len(lengths))
            print(f"{path.stem}: mean {100.0 * shares[-1]:.1f} %, least {100.0 * best / max(lengths):.1f} %")
    if shares:
        print(f"mean {100.0 * sum(shares) / len(shares):.1f} %, least {100.0 * min(shares):.1f} % (target: 97 and 95)")


if __name__ == "__main__":
    main()
