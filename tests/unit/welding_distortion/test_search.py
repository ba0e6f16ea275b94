"""The search: the best of all orders where all can be tried, lawful, the same for the same seed."""

from __future__ import annotations

from itertools import permutations

import numpy as np
import pytest
from mesh_shapes import circle, rectangle
from weld_tasks import butt_task, inherent, seam

from cutplan.fem.outline import lengths_along
from cutplan.welding.distortion import Bead, OrderOptions, PadPoints, Sheet, WeldTask
from cutplan.welding.distortion.chain.elastic import Chain, make_chain
from cutplan.welding.distortion.chain.scan import make_scanner, scores_of
from cutplan.welding.distortion.model.condensed import make_model
from cutplan.welding.distortion.search.judge import Judge, make_judge
from cutplan.welding.distortion.search.local import search_order
from cutplan.welding.distortion.search.orders import PATTERNS, Order, groups_of, people_orders

COARSE = OrderOptions(triangles=320)


def small_job(number: int) -> tuple[Chain, Judge]:
    """A job with seven stitches of unlike length, plate, hole, heat and support drawn from its number."""
    random = np.random.default_rng(100 + number)
    width, height = random.uniform(80, 200, 2)
    radius = random.uniform(5, 0.3 * min(width, height))
    centre = (random.uniform(0.35, 0.65) * width, random.uniform(0.35, 0.65) * height)
    hole = circle(0.2 * min(width, height), centre, 90)
    thick = float(random.uniform(2.5, 6.0))
    plate = Sheet(rectangle(0, 0, width, height, radius), (hole,), thick, -0.5 * thick)
    around = random.uniform(25, 80, 4)
    outer = rectangle(-around[0], -around[1], width + around[2], height + around[3])
    skin = Sheet(outer, (rectangle(-1, -1, width + 1, height + 1, radius + 1),), 2.5, -1.25, wall_held=True)
    spots = [(0.2, 0.2), (0.8, 0.25), (0.5, 0.8)]
    pads = tuple(PadPoints(f"P{i}", (x * width, y * height), (), 8.0) for i, (x, y) in enumerate(spots))
    task = WeldTask(plate, skin, plate.outer, -1.25, 1.0, pads=pads)
    whole = float(lengths_along(plate.outer, True)[-1])
    cuts = np.concatenate([[0.0], np.cumsum(random.uniform(1.0, 2.0, 7))])
    cuts *= whole / cuts[-1]
    beads = [Bead(f"S{i + 1}", "stitch", cuts[i], cuts[i + 1]) for i in range(7)]
    shrinks = [inherent(random.uniform(0.1, 0.4), random.uniform(1e4, 5e4), random.uniform(0.0, 0.02))] * 7
    model = make_model(task, beads, shrinks, COARSE)
    return make_chain(model), make_judge(model, COARSE)


def best_of_all(chain: Chain, judge: Judge) -> float:
    """Lowest score over all 5,040 orders, stitches welded forward."""
    stations = chain.model.stations
    scanner = make_scanner(chain)
    forward = np.zeros(7, dtype=bool)
    sequences = np.array([Order(np.array(p), forward).sequence(stations) for p in permutations(range(7))])
    assert len(sequences) == 5040
    return min(float(scores_of(judge, scanner.scan(part)).min()) for part in np.array_split(sequences, 42))


@pytest.mark.slow
@pytest.mark.parametrize("number", range(20))
def test_search_finds_the_best_of_all_orders_of_seven_stitches(number: int) -> None:
    chain, judge = small_job(number)
    found = search_order(chain, judge, 3000, seed=3, directions=False)
    assert found.evaluations <= 3000 + 1
    assert found.score == pytest.approx(best_of_all(chain, judge), abs=1e-9)


@pytest.fixture(scope="module")
def job() -> tuple[Chain, Judge]:
    task = butt_task(brace=True)
    model = make_model(task, *seam(task.path, 6, 10), COARSE)
    return make_chain(model), make_judge(model, COARSE)


def score(chain: Chain, judge: Judge, order: Order) -> float:
    return float(scores_of(judge, make_scanner(chain).scan(order.sequence(chain.model.stations)[None, :]))[0])


def test_found_order_is_lawful_and_its_score_is_its_own(job: tuple[Chain, Judge]) -> None:
    chain, judge = job
    found = search_order(chain, judge, 1200, seed=1)
    assert sorted(found.order.beads.tolist()) == list(range(16))
    kinds = [chain.model.beads[int(b)].kind for b in found.order.beads]
    assert kinds == ["tack"] * 6 + ["stitch"] * 10
    assert not found.order.backward[:6].any()
    assert found.score == pytest.approx(score(chain, judge, found.order), rel=1e-9)


def test_same_seed_same_order_other_seed_no_worse_than_people(job: tuple[Chain, Judge]) -> None:
    chain, judge = job
    one, two = (search_order(chain, judge, 800, seed=5) for _ in range(2))
    assert np.array_equal(one.order.beads, two.order.beads)
    assert np.array_equal(one.order.backward, two.order.backward)
    people = min(score(chain, judge, o) for o in people_orders(chain.model.beads).values())
    for seed in (6, 7):
        assert search_order(chain, judge, 800, seed).score < people


def test_search_beats_random_orders(job: tuple[Chain, Judge]) -> None:
    chain, judge = job
    random = np.random.default_rng(0)
    scanner, stations = make_scanner(chain), chain.model.stations
    best = np.inf
    for _ in range(20):
        orders = [
            Order(np.concatenate([random.permutation(6), 6 + random.permutation(10)]),
                  np.concatenate([np.zeros(6, dtype=bool), random.integers(0, 2, 10).astype(bool)]))
            for _ in range(100)
        ]  # fmt: skip
        sequences = np.array([o.sequence(stations) for o in orders])
        best = min(best, float(scores_of(judge, scanner.scan(sequences)).min()))
    assert search_order(chain, judge, 2000, seed=2).score <= best


def test_tacks_may_come_later_but_never_after_the_stitch_that_melts_them(job: tuple[Chain, Judge]) -> None:
    chain, judge = job
    found = search_order(chain, judge, 600, seed=4, tacks_first=False)
    place = {int(b): i for i, b in enumerate(found.order.beads)}
    stations = chain.model.stations
    pairs = [(int(stations.bead[t]), int(stations.bead[s])) for s, tacks in enumerate(stations.melts) for t in tacks]
    assert len(pairs) == 6
    assert all(place[t] < place[s] for t, s in pairs)


def test_people_orders_hold_every_bead_once(job: tuple[Chain, Judge]) -> None:
    chain, _ = job
    orders = people_orders(chain.model.beads)
    assert list(orders) == list(PATTERNS)
    for order in orders.values():
        assert sorted(order.beads.tolist()) == list(range(16))


@pytest.mark.parametrize("count", range(1, 14))
@pytest.mark.parametrize("name", list(PATTERNS))
def test_patterns_are_permutations(name: str, count: int) -> None:
    assert sorted(PATTERNS[name][0](count)) == list(range(count))


def test_patterns_are_what_their_names_say() -> None:
    assert list(PATTERNS["skip"][0](5)) == [0, 2, 4, 1, 3]
    assert list(PATTERNS["opposite pairs"][0](8)) == [0, 4, 2, 6, 1, 5, 3, 7]
    assert list(PATTERNS["ends last"][0](5)) == [2, 1, 3, 0, 4]
    assert PATTERNS["once round, back-step"][1]


def test_groups_follow_the_joint() -> None:
    beads = [Bead("S2", "stitch", 50, 90), Bead("T1", "tack", 60, 70), Bead("S1", "stitch", 0, 50)]
    beads.append(Bead("T0", "tack", 5, 9))
    assert [g.tolist() for g in groups_of(beads, True)] == [[3, 1], [2, 0]]
    assert [g.tolist() for g in groups_of(beads, False)] == [[2, 3, 0, 1]]
