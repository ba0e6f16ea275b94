"""Orders followed roughly, against the whole chain; and what a search with them finds on a long seam."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import spearmanr
from weld_tasks import butt_task, seam, unyielding

from cutplan.welding.distortion import OrderOptions, found
from cutplan.welding.distortion.chain.elastic import Chain, make_chain
from cutplan.welding.distortion.chain.yielding import Run, follow_yielding
from cutplan.welding.distortion.draws import drawn
from cutplan.welding.distortion.model.condensed import make_model
from cutplan.welding.distortion.rough.follower import RoughFollower
from cutplan.welding.distortion.rough.parts import make_rough
from cutplan.welding.distortion.rough.steps import KEPT_EVERY, follow_roughly
from cutplan.welding.distortion.search.follower import Follower
from cutplan.welding.distortion.search.judge import make_judge
from cutplan.welding.distortion.search.orders import Order, people_orders

OPTIONS = OrderOptions(triangles=420)


def chain_of(size: float, tacks: int, stitches: int, options: OrderOptions = OPTIONS) -> Chain:
    """A plate with tacks and stitches all round."""
    task = butt_task(size, 0.6 * size)
    return make_chain(make_model(task, *seam(task.path, tacks, stitches), options))


def follower_of(chain: Chain, draws: int, options: OrderOptions = OPTIONS) -> Follower:
    """What follows orders whole."""
    return Follower(chain, make_judge(chain.model, options), drawn(chain.model, draws, options.seed))


def shuffled(chain: Chain, tacks: int, count: int, seed: int) -> list[Order]:
    """People's orders with half of their stitches mixed, the same tacks first."""
    random, made = np.random.default_rng(seed), []
    people = list(people_orders(chain.model.beads).values())
    for i in range(count):
        order = people[2].part(0, tacks).then(people[i % len(people)].part(tacks, len(people[0].beads)))
        some = tacks + random.permutation(len(order.beads) - tacks)[: (len(order.beads) - tacks) // 2]
        order.beads[np.sort(some)] = order.beads[some]
        made.append(order)
    return made


def test_where_nothing_yields_and_all_are_beside_each_other_it_is_the_whole_chain() -> None:
    """Exact: then nothing is left out."""
    chain = chain_of(300.0, 3, 7)
    draws = unyielding(chain.model)
    order = people_orders(chain.model.beads)["sectors"]
    sequence = order.sequence(chain.model.stations)
    rough = make_rough(chain, draws, order, 3, 99)
    later = len(rough.near)
    assert later % 2 == 1 and rough.near.shape == (later, later), "stations to both sides are all there are"
    way = rough.number[sequence]
    (left,) = follow_roughly(rough, [way[way >= 0]], [None])
    whole = follow_yielding(Run(chain, sequence, draws))
    assert left.outputs == pytest.approx(whole.outputs, rel=1e-7, abs=1e-9)
    assert left.closing == pytest.approx(whole.closing.max(axis=1), rel=1e-7)


def test_orders_that_begin_alike_are_followed_from_where_they_differ_and_leave_the_same() -> None:
    chain = chain_of(300.0, 5, 12)
    who = follower_of(chain, 2)
    whole = who.follow(people_orders(chain.model.beads)["opposite pairs"])
    rough = RoughFollower(who, whole, 5, 2)
    start = rough.follow(whole.order)
    assert start.score == pytest.approx(whole.score, rel=1e-9), "of the order that it is made from both say the same"
    others = []
    for i, j in ((5, 16), (9, 13), (14, 16)):
        beads = whole.order.beads.copy()
        beads[[i, j]] = beads[[j, i]]
        others.append(Order(beads, whole.order.backward))
    assert len(start.left.on_the_way) == -(-len(start.sequence) // KEPT_EVERY)
    alone = [rough.follow(o).score for o in others]
    beside = [f.score for f in rough.follow_all(others, start)]
    # which springs may flow is looked at for all together, and what they exceed their limits by is let pass
    assert beside == pytest.approx(alone, rel=0.03)
    assert max(alone) - min(alone) > 0.1 * min(alone), "they differ"


def test_it_ranks_orders_as_the_whole_chain_does() -> None:
    """Pinned: 0.97 of 24 orders on the same plate."""
    chain = chain_of(342.0, 14, 28)
    who = follower_of(chain, 2)
    orders = shuffled(chain, 14, 16, 3)
    whole = who.follow_all(orders)
    rough = RoughFollower(who, whole[0], 14, 2).follow_all(orders)
    assert spearmanr([f.score for f in whole], [f.score for f in rough])[0] > 0.9


def test_a_long_seam_is_searched_roughly_and_ends_below_what_people_do(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(found, "LONG_STATIONS", 40)
    options = replace(OPTIONS, evaluations=14, training=2)
    chain = chain_of(260.0, 9, 18)
    people = [f.score for f in follower_of(chain, 2).follow_all(list(people_orders(chain.model.beads).values()))]
    who, told = follower_of(chain, 2), []
    order, searched = found.found_order(options, who, lambda done, wanted: told.append((done, wanted)), told_mm=0.0)
    assert sorted(order.beads.tolist()) == list(range(27)) and (np.sort(order.beads[:9]) == np.arange(9)).all()
    assert who.count <= 4 < 90 < searched.followed
    assert all(done <= wanted == told[0][1] for done, wanted in told)
    assert follower_of(chain, 2).follow(order).score < 0.95 * min(people)
    again, _ = found.found_order(options, follower_of(chain, 2), told_mm=0.0)
    assert (again.beads == order.beads).all() and (again.backward == order.backward).all()


def test_without_tacks_a_long_seam_is_searched_whole(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing would stand for what is far."""
    monkeypatch.setattr(found, "LONG_STATIONS", 10)
    chain = chain_of(200.0, 0, 9)
    who = follower_of(chain, 1)
    _, searched = found.found_order(replace(OPTIONS, evaluations=12, training=1), who, told_mm=0.0)
    assert searched.followed == who.count


@pytest.mark.slow
@pytest.mark.parametrize("seed", [7, 8, 9])
def test_two_hundred_stitches_end_a_tenth_below_what_people_do(seed: int) -> None:
    """Before orders were followed roughly a search ended 1 % below, with ten orders."""
    options = OrderOptions(triangles=1200, seed=seed)
    chain = chain_of(1890.0, 100, 200, options)
    who = follower_of(chain, 6, replace(options, seed=7))
    order, _ = found.found_order(options, who, told_mm=0.0)
    people = people_orders(chain.model.beads)
    assert who.follow(order).score < 0.9 * min(
        f.score for f in who.follow_all([people["sectors"], people["ends last"]])
    )
