# ruff: noqa: E402
"""How long the map of a steering study takes: all places and travels at once, against a plain loop over them.

    python benchmarks/linkage_map.py [PLACES]

101 x 101 places of the gear at 61 travels each, every figure; the loop solves one travel after the other with the cosine
rule and is timed on a sample of places. Times and ratios are of this run.
"""

from __future__ import annotations

import math
import sys
import time
from pathlib import Path

import numpy as np

ROOT = Path(__file__).resolve().parent.parent
sys.path[:0] = [str(ROOT)]

from cutplan.linkage.places.place_map import grid, place_map
from cutplan.linkage.places.recommend import recommend
from cutplan.linkage.read_study import read_study
from cutplan.linkage.solved.course import course, travels
from cutplan.linkage.solved.figures import figures
from cutplan.linkage.study import Layout


def plain_angles(layout: Layout, shift: list[float]) -> list[float]:
    """The left wheel's angles over the travel, one after the other."""
    low, high, outer, inner = (
        layout.point(layout.values, "left", n).tolist() for n in ("low", "high", "outer", "inner")
    )
    inner = [a + b for a, b in zip(inner, shift, strict=True)]

    def dot(a: list[float], b: list[float]) -> float:
        return sum(x * y for x, y in zip(a, b, strict=True))

    def cross(a: list[float], b: list[float]) -> list[float]:
        return [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]

    axis = [h - g for h, g in zip(high, low, strict=True)]
    size = math.sqrt(dot(axis, axis))
    axis = [a / size for a in axis]
    along = dot([o - g for o, g in zip(outer, low, strict=True)], axis)
    foot = [g + along * a for g, a in zip(low, axis, strict=True)]
    arm = [o - f for o, f in zip(outer, foot, strict=True)]
    r = math.sqrt(dot(arm, arm))
    rod = math.dist(inner, outer)
    e1 = [a / r for a in arm]
    e2 = cross(axis, e1)
    out = []
    for s in travels(layout):
        d = [inner[0] - foot[0], inner[1] + float(s) - foot[1], inner[2] - foot[2]]
        a, b = dot(d, e1), dot(d, e2)
        share = (r * r + dot(d, d) - rod * rod) / (2.0 * r * math.hypot(a, b))
        if abs(share) > 1.0:
            out.append(math.nan)
            continue
        bearing, half = math.atan2(b, a), math.acos(share)
        turn = bearing - half if bearing > 0.0 else bearing + half
        y = [0.0, 1.0, 0.0]
        c, d1 = math.cos(turn), math.sin(turn)
        side, lean = cross(axis, y), axis[1] * (1.0 - c)
        spin = [y[i] * c + side[i] * d1 + axis[i] * lean for i in range(3)]
        out.append(math.atan2(-spin[0], spin[1]))
    return out


def main(places: int = 300) -> None:
    """Print the times and ratios."""
    layout = Layout(read_study(ROOT / "sample_parts" / "pickup-gear-plate" / "study.toml"))
    area = layout.study.range
    shifts = grid(np.linspace(*area.forward, 101), np.linspace(*area.up, 101))
    figures(layout, layout.values, shifts[:5])
    start = time.perf_counter()
    ours = course(layout, layout.values, shifts, travels(layout), False).left
    angles = time.perf_counter() - start
    start = time.perf_counter()
    figures(layout, layout.values, shifts)
    whole = time.perf_counter() - start
    picked = shifts.reshape(-1, 3)[:: max(1, 101 * 101 // places)]
    start = time.perf_counter()
    loop = np.array([plain_angles(layout, list(map(float, p))) for p in picked])
    plain = (time.perf_counter() - start) * 101 * 101 / len(picked)
    same = np.nanmax(np.abs(loop - ours.reshape(-1, ours.shape[-1])[:: max(1, 101 * 101 // places)]))
    start = time.perf_counter()
    chart = place_map(layout)
    with_errors = time.perf_counter() - start
    start = time.perf_counter()
    recommend(layout, chart)
    choice = time.perf_counter() - start
    print(f"places {101 * 101}, travels {len(travels(layout))}, largest difference of an angle {same:.1e} rad")
    print(f"angles of both wheels, at once   {angles:8.3f} s")
    print(
        f"angles of one wheel, plain loop  {plain:8.3f} s   ({plain / angles:.0f} times as long, from {len(picked)} places)"
    )
    print(f"every figure of the map          {whole:8.3f} s")
    print(f"the map with reading errors      {with_errors:8.3f} s")
    print(f"the place and its standard error {choice:8.3f} s")


if __name__ == "__main__":
    main(*(int(v) for v in sys.argv[1:2]))
