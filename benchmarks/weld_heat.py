"""Cost and truth of the waits between beads: growth with the number of beads, and against a finite-difference sheet.

Run ``python benchmarks/weld_heat.py``; every figure is a ratio measured in this run.
"""

from __future__ import annotations

import sys
from math import log
from pathlib import Path
from time import perf_counter

import numpy as np

ROOT = Path(__file__).resolve().parent.parent
sys.path[:0] = [str(ROOT), str(ROOT / "tests"), str(ROOT / "tests" / "unit" / "welding")]

from test_weld_heat_truth import temperatures  # noqa: E402
from weld_jobs import plain_job  # noqa: E402

from cutplan.geometry.contour import rectangle  # noqa: E402
from cutplan.welding.heat.timing import Turn, heat_room, order_starts  # noqa: E402
from cutplan.welding.settings.machine import settings_for  # noqa: E402
from cutplan.welding.stitches.joint import weld_joint  # noqa: E402
from cutplan.welding.stitches.split import split_joint  # noqa: E402
from cutplan.welding.stitches.tacks import sequence_by_rule  # noqa: E402


def waits(width: float, height: float) -> tuple[int, float]:
    """Number of beads of a rectangle, and the time that the waits of one order take [s]."""
    job = plain_job(rectangle(0.0, 0.0, width, height, 20.0))
    settings = settings_for("butt", job.skin.thickness_mm, job.welding)
    joint = weld_joint(job, settings)
    spans = split_joint(joint)
    order = sequence_by_rule(tuple(s.start_mm for s in spans), joint.line.outline_mm, closed=True)
    turns = tuple(Turn(i, True) for i in order)
    begin = perf_counter()
    order_starts(job.plate.outline, spans, turns, settings, heat_room(job, joint), 100.0, 20.0)
    return len(spans), perf_counter() - begin


def main() -> None:
    """Print the table."""
    waits(200.0, 120.0)
    print("waits of one order")
    sizes = [(200.0, 120.0), (400.0, 240.0), (800.0, 480.0), (1600.0, 960.0)]
    found = [min(waits(*size) for _ in range(2)) for size in sizes]
    for beads, seconds in found:
        print(f"  {beads:4d} beads  {1000.0 * seconds:8.1f} ms  {1000.0 * seconds / beads:6.2f} ms a bead")
    growth = log(found[-1][1] / found[0][1]) / log(found[-1][0] / found[0][0])
    print(f"  cost grows with the number of beads to the power {growth:.2f}")
    errors: list[float] = []
    outside = starts = 0
    for size in ((120.0, 80.0), (200.0, 120.0), (80.0, 80.0)):
        for pairs in (True, False):
            for limit in (100.0, 150.0):
                low, mid, high, truth = temperatures(*size, pairs, limit)
                warm = mid > 40.0
                errors += list((np.abs(truth - mid) / np.maximum(mid - 20.0, 1.0))[warm])
                outside += int(((truth < low - 1.0) | (truth > high + 1.0)).sum())
                starts += len(mid)
    print("temperature before each bead against finite differences")
    print(f"  {len(errors)} warm starts, {outside} of all {starts} outside the band (slack 1 K)")
    print(f"  middle off by {np.mean(errors):.0%} of the rise on average, {max(errors):.0%} at worst")


if __name__ == "__main__":
    main()
