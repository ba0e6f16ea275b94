"""Orders of welding: how fast one is followed, how far the search lies from a longer one, how fine the mesh must be.

Prints ratios measured in one run: orders a second against re-solving the whole plate with the same yielding law; the
score of the search with the budget that a plan has against one with several times that budget, for seams of rising
length and for the main sample; with ``--mesh`` the main sample on meshes of rising fineness. Run it from the repository:
``python benchmarks/weld_order.py [--long] [--mesh]``. Times are of one processor.
"""

from __future__ import annotations

import sys
import time
from dataclasses import replace
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

from oracles.weld_resolve import resolve_order  # noqa: E402
from threadpoolctl import threadpool_limits  # noqa: E402
from weld_samples import sample_task  # noqa: E402
from weld_tasks import butt_task, seam  # noqa: E402

from cutplan.welding.distortion import OrderOptions  # noqa: E402
from cutplan.welding.distortion.chain.elastic import make_chain  # noqa: E402
from cutplan.welding.distortion.chain.yielding import Run, follow_yielding  # noqa: E402
from cutplan.welding.distortion.draws import drawn  # noqa: E402
from cutplan.welding.distortion.found import found_order  # noqa: E402
from cutplan.welding.distortion.model.condensed import make_model  # noqa: E402
from cutplan.welding.distortion.seam import Seam  # noqa: E402
from cutplan.welding.distortion.search.follower import Follower  # noqa: E402
from cutplan.welding.distortion.search.judge import make_judge  # noqa: E402
from cutplan.welding.distortion.search.orders import people_orders  # noqa: E402

#: Stitches of the seams, and how many times the budget the longer search has.
SHORT = ((8, 5), (28, 5))
LONG = ((8, 50), (28, 50), (80, 50), (200, 50))
#: Orders of the main sample's long search.
MANY = 30_000


def seam_setting(stitches: int) -> Seam:
    """A plate that grows with its seam."""
    size = 9.0 * stitches + 90.0
    task = butt_task(size, 0.6 * size)
    return Seam(task, *seam(task.path, max(4, stitches // 2), stitches))


def followed(setting: Seam, options: OrderOptions) -> Follower:
    """All stations of a setting, with the draws that the search sees."""
    model = make_model(setting.task, setting.beads, setting.inherent, options)
    return Follower(make_chain(model), make_judge(model, options), drawn(model, options.training, options.seed))


def speed(setting: Seam) -> None:
    """Orders a second, against the whole plate solved again."""
    options = OrderOptions(triangles=1200, training=1)
    who = followed(setting, options)
    model = who.chain.model
    order = people_orders(model.beads)["skip"]
    start = time.process_time()
    resolve_order(model, order.sequence(model.stations).tolist(), who.draws.wishes[0], who.draws.limits[0])
    whole = time.process_time() - start
    start = time.process_time()
    for _ in range(10):
        who.follow(order)
    mine = (time.process_time() - start) / 10
    print(f"8 stitches: the whole plate solved again takes {whole / mine:.0f} x as long as following an order")


def gap(name: str, setting: Seam, options: OrderOptions, longer: int) -> None:
    """The search of a plan against a longer one."""
    scores, seconds, counts = [], [], []
    for factor in (1, longer):
        who = followed(setting, options)
        more = replace(options, evaluations=factor * options.evaluations)
        start = time.process_time()
        order, searched = found_order(more, who, told_mm=0.0)
        seconds.append(time.process_time() - start)
        scores.append(who.follow(order).score)
        counts.append(searched.followed)
    people = min(who.follow(o).score for o in people_orders(who.chain.model.beads).values())
    print(
        f"{name}: {counts[0]} orders, {counts[0] / seconds[0]:.0f} a second, {seconds[0]:.1f} s; people's best "
        f"{people / scores[1]:.2f} and the search {scores[0] / scores[1]:.2f} of the score after {counts[1]} orders",
        flush=True,
    )


def meshes(setting: Seam, options: OrderOptions) -> None:
    """Mean out of flat of eight draws on meshes of rising fineness, over that on the finest."""
    rows = []
    for triangles in (1600, 3200, 6400, 12_800):
        model = make_model(setting.task, setting.beads, setting.inherent, replace(options, triangles=triangles))
        chain, judge, draws = make_chain(model), make_judge(model, options), drawn(model, 8, 3)
        flat = []
        for order in people_orders(model.beads).values():
            left = follow_yielding(Run(chain, order.sequence(model.stations), draws))
            flat.append(float(judge.flatness_mm(left.outputs).mean()))
        rows.append((sum(len(b.mesh.triangles) for b in model.sheets.bodies), flat))
    print("triangles:", ", ".join(people_orders(setting.beads)))
    for count, flat in rows:
        print(f"{count:6d}: " + ", ".join(f"{v / last:.2f}" for v, last in zip(flat, rows[-1][1], strict=True)))


def main() -> None:
    """Print the ratios."""
    sample = Seam(*sample_task())
    if "--mesh" in sys.argv:
        meshes(sample, OrderOptions())
        return
    speed(seam_setting(8))
    long = "--long" in sys.argv
    for stitches, longer in LONG if long else SHORT:
        gap(f"{stitches} stitches", seam_setting(stitches), OrderOptions(triangles=1200), longer)
    gap("main sample", sample, OrderOptions(), MANY // OrderOptions().evaluations if long else 5)


if __name__ == "__main__":
    with threadpool_limits(limits=1):
        main()
