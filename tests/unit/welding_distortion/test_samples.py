"""The samples: the chosen order against people's orders and two thousand random ones; within time and memory."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from cutplan.files.job.read import read_job
from cutplan.welding import order as weld_order
from cutplan.welding.distortion import Bead, Inherent, OrderOptions
from cutplan.welding.distortion.adapter import task_of
from cutplan.welding.distortion.chain.elastic import make_chain
from cutplan.welding.distortion.chain.scan import make_scanner, scores_of
from cutplan.welding.distortion.model.condensed import make_model
from cutplan.welding.distortion.search.judge import make_judge
from cutplan.welding.distortion.search.local import search_order
from cutplan.welding.distortion.search.orders import Order, people_orders
from cutplan.welding.plan import plan_weld

SAMPLES = Path(__file__).resolve().parents[3] / "sample_parts"
TAKEN: dict[str, tuple[tuple[Bead, ...], tuple[Inherent, ...]]] = {}


class Enough(Exception):
    """Stops the weld plan once its beads are known."""


@pytest.mark.slow
@pytest.mark.parametrize("name", sorted(p.parent.name for p in SAMPLES.glob("*/job.toml")))
def test_chosen_order_of_a_sample_is_never_worse(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    job = read_job(SAMPLES / name / "job.toml")

    def taken(_job, beads, inherent, *_rest, **_more):  # type: ignore[no-untyped-def]
        TAKEN[name] = (tuple(beads), tuple(inherent))
        raise Enough

    monkeypatch.setattr(weld_order, "plan_order", taken)
    with pytest.raises(Enough):
        plan_weld(job)
    options = OrderOptions()
    model = make_model(task_of(job)[0], *TAKEN[name], options)
    chain, judge = make_chain(model), make_judge(model, options)
    scanner, stations = make_scanner(chain), model.stations
    found = search_order(chain, judge, 5000, options.seed)
    for order in people_orders(model.beads).values():
        assert found.score <= float(scores_of(judge, scanner.scan(order.sequence(stations)[None, :]))[0]) + 1e-12
    random = np.random.default_rng(11)
    tacks = [i for i, b in enumerate(model.beads) if b.kind == "tack"]
    others = [i for i, b in enumerate(model.beads) if b.kind == "stitch"]
    for _ in range(40):
        orders = []
        for _ in range(50):
            beads = np.concatenate([random.permutation(tacks), random.permutation(others)])
            turned = np.array([model.beads[int(b)].kind == "stitch" and bool(random.integers(2)) for b in beads])
            orders.append(Order(beads, turned).sequence(stations))
        assert found.score <= float(scores_of(judge, scanner.scan(np.array(orders))).min()) + 1e-12
