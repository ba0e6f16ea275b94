"""Orders of welding: how fast one is followed, and how far the search's budget lies from a longer one.

Prints ratios measured in one run: evaluations a second against re-solving the whole plate with the same yielding law,
and the score of the search against one with several times its budget, for seams of rising length. Run it from the
repository: ``python benchmarks/weld_order.py [--long]``.
"""

from __future__ import annotations

import sys
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

from oracles.weld_resolve import resolve_order  # noqa: E402
from threadpoolctl import threadpool_limits  # noqa: E402
from weld_tasks import butt_task, seam  # noqa: E402

from cutplan.welding.distortion import OrderOptions  # noqa: E402
from cutplan.welding.distortion.chain.elastic import make_chain  # noqa: E402
from cutplan.welding.distortion.draws import drawn  # noqa: E402
from cutplan.welding.distortion.model.condensed import make_model  # noqa: E402
from cutplan.welding.distortion.plan import affordable  # noqa: E402
from cutplan.welding.distortion.search.descent import Follower, descend  # noqa: E402
from cutplan.welding.distortion.search.judge import make_judge  # noqa: E402
from cutplan.welding.distortion.search.orders import people_orders  # noqa: E402

#: Stitches of the seams, and how many times the budget the longer search has.
SEAMS, LONGER = (8, 28), 5
LONG_SEAMS, MUCH_LONGER = (8, 28, 60), 50


def follower(stitches: int, draws: int) -> Follower:
    """A plate that grows with its seam."""
    size = 9.0 * stitches + 90.0
    task = butt_task(size, 0.6 * size)
    options = OrderOptions(triangles=1200)
    model = make_model(task, *seam(task.path, max(4, stitches // 2), stitches), options)
    return Follower(make_chain(model), make_judge(model, options), drawn(model, draws, 7))


def main(seams: tuple[int, ...], longer: int) -> None:
    """Print the ratios."""
    who = follower(8, 1)
    model = who.chain.model
    order = people_orders(model.beads)["skip"]
    sequence = order.sequence(model.stations).tolist()
    start = time.process_time()
    resolve_order(model, sequence, who.draws.wishes[0], who.draws.limits[0])
    whole = time.process_time() - start
    start = time.process_time()
    for _ in range(10):
        who.follow(order)
    print(
        f"8 stitches: the whole plate solved again takes {whole / ((time.process_time() - start) / 10):.0f} x as long"
    )
    for stitches in seams:
        budget = affordable(OrderOptions().evaluations, follower(stitches, 1).chain.model.stations.count)
        scores, seconds = [], []
        for count in (budget, longer * budget):
            who = follower(stitches, 6)
            starts = list(people_orders(who.chain.model.beads).values())
            start = time.process_time()
            scores.append(descend(who, starts, count, 7).score)
            seconds.append(time.process_time() - start)
        people = min(who.follow(o).score for o in starts)
        print(
            f"{stitches} stitches: {budget / seconds[0]:.0f} orders a second; people's best {people / scores[1]:.2f} and "
            f"the search {scores[0] / scores[1]:.2f} of the score with {longer} x the budget; {seconds[0]:.1f} s"
        )


if __name__ == "__main__":
    with threadpool_limits(limits=1):
        main(LONG_SEAMS, MUCH_LONGER) if "--long" in sys.argv else main(SEAMS, LONGER)
