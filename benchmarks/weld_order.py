# ruff: noqa: E402
"""The order of beads: chain against a full solution, a whole plan, cost against stations, gain over common orders.

    python benchmarks/weld_order.py [JOB.toml] [--orders N] [--random N]

All figures are of this run. An order is timed in a batch of whole orders, and in a window of a longer order, which is
how the search meets most of them; a full solution factors plate, skin and joined beads anew at every step.
"""

from __future__ import annotations

import argparse
import resource
import sys
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

import numpy as np
from cutplan.welding.distortion.chain.resolve import resolve_order
from cutplan.welding.distortion.chain.scan import make_scanner, scores_of
from cutplan.welding.distortion.chain.window import make_state, make_window
from cutplan.welding.distortion.search.local import search_order
from threadpoolctl import threadpool_limits
from weld_tasks import butt_task, seam

from cutplan.files.job.read import read_job
from cutplan.welding import order as weld_order
from cutplan.welding.distortion import Bead, Inherent, OrderOptions, OrderPlan
from cutplan.welding.distortion.adapter import task_of
from cutplan.welding.distortion.chain.elastic import make_chain
from cutplan.welding.distortion.model.condensed import Model, make_model
from cutplan.welding.distortion.search.judge import make_judge
from cutplan.welding.distortion.search.orders import Order
from cutplan.welding.plan import plan_weld

MAIN = ROOT / "sample_parts" / "van-nose-mount" / "job.toml"
Batch = tuple[tuple[Bead, ...], tuple[Inherent, ...]]


def some_orders(model: Model, count: int, seed: int = 0) -> list[Order]:
    """Random lawful orders: tacks, then stitches, in any direction."""
    random = np.random.default_rng(seed)
    tacks = np.array([i for i, b in enumerate(model.beads) if b.kind == "tack"], dtype=np.int64)
    others = np.array([i for i, b in enumerate(model.beads) if b.kind == "stitch"], dtype=np.int64)
    return [
        Order(
            np.concatenate([random.permutation(tacks), random.permutation(others)]),
            np.concatenate([np.zeros(len(tacks), dtype=bool), random.integers(0, 2, len(others)).astype(bool)]),
        )
        for _ in range(count)
    ]


def best_time(work, rounds: int = 3) -> float:  # type: ignore[no-untyped-def]
    """Shortest of some runs [s]."""
    times = []
    for _ in range(rounds):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return min(times)


def order_times(model: Model) -> tuple[float, float]:
    """Time of an order as a whole, and in a window of eighteen stations [s]."""
    scanner, stations = make_scanner(make_chain(model)), model.stations
    sequences = np.array([o.sequence(stations) for o in some_orders(model, 12)])
    whole = best_time(lambda: scanner.scan(sequences)) / len(sequences)
    state = make_state(scanner, sequences[0])
    first = max(0, (stations.count - 18) // 2)
    random = np.random.default_rng(1)
    last = min(stations.count, first + 18)
    inner = np.array([random.permutation(sequences[0][first:last]) for _ in range(32)])
    return whole, best_time(lambda: make_window(state, first, last).scan(inner)) / len(inner)


def ratio(model: Model) -> None:
    """Full solution of one order at every step against the chain."""
    sequence = some_orders(model, 1, 5)[0].sequence(model.stations)
    start = time.perf_counter()
    states = resolve_order(model, sequence.tolist())
    full = time.perf_counter() - start
    scanned = make_scanner(make_chain(model)).scan(sequence[None, :])
    miss = np.abs(scanned.pads[0, 0] - states[-1].outputs).max() / np.abs(states[-1].outputs).max()
    whole, inside = order_times(model)
    triangles = sum(len(b.mesh.triangles) for b in model.bodies)
    print(f"one order, {triangles} triangles, {model.stations.count} stations; answers agree to {miss:.1e}")
    print(f"  full solution at every step  {full:9.2f} s")
    print(f"  chain, whole order           {1e3 * whole:9.3f} ms   {full / whole:9.0f} times faster")
    print(f"  chain, in a window           {1e3 * inside:9.3f} ms   {full / inside:9.0f} times faster")


def growth() -> None:
    """Cost of an order against the number of stations."""
    print("cost against stations (rounded plate 600 x 400, stitches all round)")
    task = butt_task(600.0, 400.0)
    sizes, wholes, insides, searched = [], [], [], []
    for stitches in (12, 24, 48, 72):
        model = make_model(task, *seam(task.path, stitches // 2, stitches), OrderOptions(triangles=1600))
        whole, inside = order_times(model)
        sizes.append(model.stations.count)
        wholes.append(whole)
        insides.append(inside)
        chain, options = make_chain(model), OrderOptions()
        start = time.perf_counter()
        found = search_order(chain, make_judge(model, options), 1500, 1)
        searched.append((time.perf_counter() - start) / found.evaluations)
        print(f"  {sizes[-1]:4d} stations: whole order {1e3 * whole:8.3f} ms, in a window {1e3 * inside:7.3f} ms, "
              f"mean of a search {1e3 * searched[-1]:7.3f} ms")  # fmt: skip
    for name, times in (("whole order", wholes), ("in a window", insides), ("mean of a search", searched)):
        power = np.polyfit(np.log(sizes), np.log(times), 1)[0]
        print(f"  {name}: grows with stations to the power {power:.2f}")


def compare(plan: OrderPlan, model: Model, options: OrderOptions, count: int) -> None:
    """Score of the chosen order against the people's orders and random ones."""
    judge, scanner = make_judge(model, options), make_scanner(make_chain(model))
    scores = np.concatenate(
        [
            scores_of(
                judge, scanner.scan(np.array([o.sequence(model.stations) for o in some_orders(model, 50, 10 + i)]))
            )
            for i in range(max(1, count // 50))
        ]
    )
    chosen = plan.chosen.score
    print(f"score of the chosen order {chosen:.4f} mm, flatness {plan.chosen.flatness_mm.text(2)}")
    for order in plan.orders[:-1]:
        print(f"  {order.name:22s} {order.score:8.4f} mm   factor {order.score / chosen:6.2f}")
    print(f"  best of {len(scores)} random   {scores.min():8.4f} mm   factor {scores.min() / chosen:6.2f}")
    print(f"  never worse: {chosen <= min([*(o.score for o in plan.orders), float(scores.min())]) + 1e-9}")


def main() -> None:
    """Print every figure."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("job", nargs="?", default=str(MAIN))
    parser.add_argument("--orders", type=int, default=5000)
    parser.add_argument("--random", type=int, default=2000)
    wanted = parser.parse_args()
    job = read_job(Path(wanted.job))
    taken: list[Batch] = []
    real = weld_order.plan_order

    def watched(*given):  # type: ignore[no-untyped-def]
        taken.append((tuple(given[1]), tuple(given[2])))
        return real(*given)

    weld_order.plan_order = watched  # type: ignore[attr-defined]
    start = time.perf_counter()
    whole = plan_weld(job)
    spent = time.perf_counter() - start
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0
    print(f"{job.title}: whole weld plan {spent:.1f} s, {memory:.0f} MiB, {len(whole.tacks)} tacks, "
          f"{len(whole.stitches)} stitches, the model asked {len(taken)} times")  # fmt: skip
    beads, shrinks = taken[-1]
    options = OrderOptions(evaluations=wanted.orders)
    start = time.perf_counter()
    plan = real(job, beads, shrinks, options)
    print(f"mesh, condensation and search of {plan.evaluations} orders: {time.perf_counter() - start:.1f} s")
    print(plan.reason)
    model = make_model(task_of(job)[0], beads, shrinks, options)
    compare(plan, model, options, wanted.random)
    ratio(model)
    growth()


if __name__ == "__main__":
    with threadpool_limits(limits=1):  # as in the plan itself
        main()
