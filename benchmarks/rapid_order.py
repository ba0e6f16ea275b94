# ruff: noqa: E402
"""How short the moves between cuts are: against the exact optimum on small plates, against habit on large ones.

    python benchmarks/rapid_order.py [PLATES]

Random plates of 4 to 12 features (holes of several kinds and the outline, which must come last) are planned; the
same stops with the same ways to cut them are solved exactly by a dynamic programme over all sets. "search" is the
search that larger plates get, with its exact short cut for small ones switched off; "plan" is what plan_cut returns,
which also keeps hot neighbours apart. Ratios and times are of this run.
"""

from __future__ import annotations

import statistics
import sys
import time
from pathlib import Path
from random import Random

ROOT = Path(__file__).resolve().parent.parent
sys.path[:0] = [str(ROOT)]

from cutplan.cutting import work as plans
from cutplan.cutting.order import short as orders
from cutplan.cutting.order.exact import exact_order
from cutplan.cutting.order.short import Stops, nearest_neighbour, short_order
from cutplan.cutting.plan import plan_cut
from cutplan.geometry.contour import circle_contour, rectangle
from cutplan.geometry.vector import Point
from cutplan.pattern.job import About, Job
from cutplan.pattern.plate import Hole, Plate
from cutplan.pattern.shop import Shop
from cutplan.pattern.wishes import Cutting


def random_job(seed: int, features: int, width_mm: float = 500.0, height_mm: float = 350.0) -> Job:
    """A plate with ``features - 1`` holes, round and square, apart from each other."""
    rng = Random(seed)
    holes: list[Hole] = []
    while len(holes) < features - 1:
        reach = rng.uniform(7.0, 25.0)
        c = Point(rng.uniform(reach + 8, width_mm - reach - 8), rng.uniform(reach + 8, height_mm - reach - 8))
        if any(c.distance(h.centre) < reach + 0.75 * h.contour.box.width + 8.0 for h in holes):
            continue
        if rng.random() < 0.6:
            shape = circle_contour(c, reach, ccw=False)
        else:
            side = 1.3 * reach
            shape = rectangle(c.x - 0.5 * side, c.y - 0.5 * side, side, side, 2.0).reversed()
        holes.append(Hole(f"H{len(holes) + 1}", shape))
    plate = Plate(rectangle(0.0, 0.0, width_mm, height_mm, 15.0), tuple(holes), 3.0)
    return Job(About(""), plate, cutting=Cutting(kerf_mm=1.4))


def stops_of(job: Job) -> tuple[Stops, float]:
    """The stops that plan_cut orders, and the rapid length of its plan [mm]."""
    caught: list[Stops] = []
    real = plans.short_order

    def catching(stops: Stops) -> orders.Order:
        caught.append(stops)
        return real(stops)

    plans.short_order = catching
    try:
        plan = plan_cut(job, Shop())
    finally:
        plans.short_order = real
    return caught[0], plan.totals.rapid_mm


def line(name: str, values: list[float], wanted: str = "") -> None:
    mean = statistics.mean(values)
    print(f"  {name}: mean {mean:.4f}, median {statistics.median(values):.4f}, worst {max(values):.4f}{wanted}")


def small(count: int) -> None:
    rows: dict[str, list[float]] = {"search": [], "plan": [], "habit": [], "time": []}
    worse = 0
    for seed in range(count):
        stops, planned = stops_of(random_job(seed, 4 + seed % 9))
        _, best = exact_order(stops.home, stops.pierces, stops.ends, stops.before)
        habit = nearest_neighbour(stops).rapid_mm
        kept, orders.EXACT = orders.EXACT, 0
        start = time.perf_counter()
        found = short_order(stops).rapid_mm
        rows["time"].append(1000.0 * (time.perf_counter() - start))
        orders.EXACT = kept
        worse += (found > habit + 1e-6) + (planned > habit + 1e-6)
        rows["search"].append(found / best)
        rows["plan"].append(planned / best)
        rows["habit"].append(habit / best)
    print(f"rapid length over the exact optimum, {count} plates of 4 to 12 features")
    line("search", rows["search"], ", wanted mean <= 1.02")
    line("plan, hot neighbours kept apart", rows["plan"])
    line("nearest neighbour", rows["habit"])
    print(f"  worse than the nearest neighbour: {worse} of {2 * count}, wanted 0")
    line("time of the search [ms]", rows["time"])


def large() -> None:
    print("rapid length over the nearest neighbour's, and time of the whole plan")
    for n, wide in ((50, 900.0), (200, 1600.0), (1000, 3200.0), (2001, 4500.0)):
        job = random_job(7, n, wide, 0.7 * wide)
        start = time.process_time()
        stops, planned = stops_of(job)
        took = time.process_time() - start
        print(f"  {n} features: {planned / nearest_neighbour(stops).rapid_mm:.4f} in {took:.2f} s of processor time")


def main() -> None:
    small(int(sys.argv[1]) if len(sys.argv) > 1 else 100)
    large()


if __name__ == "__main__":
    main()
