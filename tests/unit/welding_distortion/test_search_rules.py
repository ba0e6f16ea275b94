"""What the search promises, against plain counting and trying. Expected values are exact."""

from __future__ import annotations

from dataclasses import replace
from itertools import permutations, product

import numpy as np
import pytest
from weld_tasks import butt_task, seam

from cutplan.welding.distortion import Bead, OrderOptions
from cutplan.welding.distortion.chain.elastic import Chain, make_chain
from cutplan.welding.distortion.chain.scan import REACH, make_scanner, scores_of
from cutplan.welding.distortion.model.condensed import make_model
from cutplan.welding.distortion.search import local as search
from cutplan.welding.distortion.search.judge import Judge, make_judge
from cutplan.welding.distortion.search.local import CLOSE, CLOSEST, Counter, _greedy, _start, search_order
from cutplan.welding.distortion.search.orders import PATTERNS, Order, groups_of, people_orders

COARSE = OrderOptions(triangles=320)


@pytest.fixture(scope="module")
def job() -> tuple[Chain, Judge]:
    """Two tacks and four stitches on a braced plate."""
    task = butt_task(brace=True)
    model = make_model(task, *seam(task.path, 2, 4), COARSE)
    return make_chain(model), make_judge(model, COARSE)


def score(chain: Chain, judge: Judge, order: Order, brace_off: bool = True) -> float:
    sequence = order.sequence(chain.model.stations)[None, :]
    return float(scores_of(judge, make_scanner(chain).scan(sequence, brace_off))[0])


def order_of(beads: list[int], backward: list[bool]) -> Order:
    return Order(np.array(beads), np.array(backward, dtype=bool))


TURNABLE = np.array([False, False, True, True, True, True])


def test_the_best_of_all_orders_and_directions_is_found(job: tuple[Chain, Judge]) -> None:
    chain, judge = job
    orders = [
        order_of([*t, *s], [False, False, *turns])
        for t in permutations(range(2))
        for s in permutations(range(2, 6))
        for turns in product((False, True), repeat=4)
    ]
    assert len(orders) == 2 * 24 * 16
    sequences = np.array([o.sequence(chain.model.stations) for o in orders])
    best = float(scores_of(judge, make_scanner(chain).scan(sequences)).min())
    for seed in (1, 2, 3):
        assert search_order(chain, judge, 400, seed).score == pytest.approx(best, rel=1e-9)


def test_close_orders_come_best_last_and_within_a_tenth(job: tuple[Chain, Judge]) -> None:
    chain, judge = job
    found = search_order(chain, judge, 900, seed=2)
    scores = [score(chain, judge, o) for o in found.close]
    assert 1 < len(scores) <= CLOSEST == 10
    assert scores == sorted(scores, reverse=True)
    assert scores[-1] == pytest.approx(found.score) and scores[0] <= CLOSE * found.score
    assert CLOSE == 1.1


def test_progress_is_told_and_the_bound_is_kept(job: tuple[Chain, Judge]) -> None:
    chain, judge = job
    told: list[tuple[int, int]] = []
    found = search_order(chain, judge, 300, seed=1, progress=lambda done, wanted: told.append((done, wanted)))
    assert found.evaluations in (300, 301)  # the best is looked at once more
    assert told and all(wanted == 300 for _, wanted in told)
    assert [d for d, _ in told] == sorted(d for d, _ in told) and told[-1][0] < 300


def test_without_directions_everything_is_welded_forward(job: tuple[Chain, Judge]) -> None:
    chain, judge = job
    assert not search_order(chain, judge, 200, seed=1, directions=False).order.backward.any()


@pytest.mark.parametrize(("turnable", "cost"), [(TURNABLE, 3 + 20), (np.zeros(6, dtype=bool), 3 + 10)])
def test_a_greedy_start_is_made_where_it_takes_less_than_a_quarter(
    job: tuple[Chain, Judge], turnable: np.ndarray, cost: int
) -> None:
    # two tacks take 2 + 1 tries, four stitches 4 + 3 + 2 + 1, in both directions twice that
    chain, judge = job
    groups = groups_of(chain.model.beads, True)
    for evaluations, more in ((4 * cost + 3, 0), (4 * cost + 4, cost + 1)):
        counter = Counter(chain, judge)
        order, found = _start(counter, groups, turnable, evaluations)
        assert counter.count == len(PATTERNS) + more
        assert found == pytest.approx(score(chain, judge, order))
        assert turnable.any() or not order.backward.any()


def test_every_greedy_step_is_the_best_at_that_moment(job: tuple[Chain, Judge]) -> None:
    chain, judge = job
    groups = groups_of(chain.model.beads, True)
    order = _greedy(Counter(chain, judge), groups, TURNABLE)
    beads, flags = order.beads.tolist(), order.backward.tolist()
    assert sorted(beads[:2]) == [0, 1] and sorted(beads[2:]) == [2, 3, 4, 5]
    for k in range(6):
        left = [b for b in (range(2) if k < 2 else range(2, 6)) if b not in beads[:k]]
        tried = [
            score(chain, judge, order_of([*beads[:k], b], [*flags[:k], turn]), brace_off=False)
            for b in left
            for turn in ((False, True) if b > 1 else (False,))
        ]
        taken = score(chain, judge, order_of(beads[: k + 1], flags[: k + 1]), brace_off=False)
        assert taken == pytest.approx(min(tried), rel=1e-9)


def test_an_order_is_new_once(job: tuple[Chain, Judge]) -> None:
    counter = Counter(*job)
    forward, backward = order_of([0, 1, 2], [False] * 3), order_of([0, 1, 2], [False, False, True])
    assert [counter.new(o) for o in (forward, backward, forward, backward)] == [True, True, False, False]


def test_only_the_back_step_is_welded_backward_and_tacks_never() -> None:
    beads = [Bead(f"T{i}", "tack", 100.0 * i + 40, 100.0 * i + 50) for i in range(4)]
    beads += [Bead(f"S{i}", "stitch", 100.0 * i, 100.0 * (i + 1)) for i in range(4)]
    orders = people_orders(beads)
    stitches = {
        "once round": [4, 5, 6, 7],
        "once round, back-step": [4, 5, 6, 7],
        "opposite pairs": [4, 6, 5, 7],
        "skip": [4, 6, 5, 7],
        "ends last": [6, 5, 7, 4],
    }
    for name, order in orders.items():
        assert order.beads[4:].tolist() == stitches[name]
        tacks = [0, 1, 2, 3] if name.startswith("once") else [0, 2, 1, 3]
        assert order.beads[:4].tolist() == tacks
        assert order.backward.tolist() == [False] * 4 + [name == "once round, back-step"] * 4


def test_part_of_an_order_and_stations_laid_backward(job: tuple[Chain, Judge]) -> None:
    chain, _ = job
    stations = chain.model.stations
    order = order_of([1, 0, 3, 2], [False, False, True, False])
    part = order.part(1, 3)
    assert part.beads.tolist() == [0, 3] and part.backward.tolist() == [False, True]
    own = [np.flatnonzero(stations.bead == b).tolist() for b in (0, 3)]
    assert part.sequence(stations).tolist() == [*own[0], *own[1][::-1]]


def test_mixes_are_the_middle_and_all_eight_corners_of_the_bands(job: tuple[Chain, Judge]) -> None:
    chain, _ = job
    scanner = make_scanner(chain)
    corners = {tuple(m) for m in scanner.mixes.tolist()}
    low, middle, high = 0, 1, 2
    assert tuple(scanner.mixes[0]) == (middle,) * 3
    assert len(scanner.mixes) == 9 and corners == {(middle,) * 3, *product((low, high), repeat=3)}
    wish = chain.model.wish
    # a triangle over the band scatters by 1 / sqrt(6) = 0.41 of half its width
    assert pytest.approx(1.0 / np.sqrt(6.0), abs=0.005) == REACH
    for level in (low, high):
        moved = scanner.problem.levels[:, level] - wish[:, middle]
        assert np.allclose(moved, REACH * (wish[:, level] - wish[:, middle]))
    assert np.array_equal(scanner.problem.levels[:, middle], wish[:, middle])


def test_a_gap_that_closes_makes_the_score_worse(job: tuple[Chain, Judge]) -> None:
    chain, judge = job
    strict = replace(judge, closing_weight=2.0, closing_free_mm=0.1)
    scanned = make_scanner(chain).scan(np.arange(chain.model.stations.count)[None, :])
    # exact: the largest closing on the way, beyond what does no harm, times its weight
    fine = 2.0 * max(0.0, float(scanned.closing.max()) - 0.1)
    free = replace(judge, closing_weight=0.0)
    assert fine > 0.0
    assert scores_of(strict, scanned)[0] - scores_of(free, scanned)[0] == pytest.approx(fine)


def test_a_search_that_has_seen_all_orders_ends() -> None:
    task = butt_task()
    model = make_model(task, *seam(task.path, 1, 2), COARSE)
    found = search_order(make_chain(model), make_judge(model, COARSE), 3000, seed=1)
    assert found.evaluations < 400  # 8 orders, and one more look at each of 200 idle rounds at most


class Log:
    """What a search does, step after step, while nothing counts as a gain."""

    def __init__(self, patch: pytest.MonkeyPatch) -> None:
        self.steps: list[str] = []
        batch, inside, shaken, mixed = search._batch, Counter.scores_inside, search.shaken, search.mixed

        def note_batch(*args: object) -> object:
            self.steps.append(str(args[5]))
            return batch(*args)  # type: ignore[arg-type]

        def note_inside(*args: object) -> object:
            self.steps[-1] += " inside"
            return inside(*args)  # type: ignore[arg-type]

        def note_shaken(*args: object) -> object:
            self.steps.append(f"shake {args[3]}")
            return shaken(*args)  # type: ignore[arg-type]

        def note_mixed(*args: object) -> object:
            self.steps.append("start anew")
            return mixed(*args)  # type: ignore[arg-type]

        patch.setattr(search, "GAIN_MM", np.inf)
        patch.setattr(search, "_batch", note_batch)
        patch.setattr(Counter, "scores_inside", note_inside)
        patch.setattr(search, "shaken", note_shaken)
        patch.setattr(search, "mixed", note_mixed)

    @property
    def rounds(self) -> list[str]:
        return [s for s in self.steps if s[0].isdigit()]

    @property
    def restarts(self) -> list[str]:
        return [s for s in self.steps if not s[0].isdigit()]


def test_rounds_look_into_windows_and_every_twelfth_over_the_whole_order(
    job: tuple[Chain, Judge], monkeypatch: pytest.MonkeyPatch
) -> None:
    log = Log(monkeypatch)
    search_order(*job, 500, seed=1)
    assert len(log.rounds) >= 24
    for number, step in enumerate(log.rounds[:24], 1):
        assert step.startswith("6" if number % 12 == 0 else "32")
        assert number % 12 or "inside" not in step
    assert sum("inside" in s for s in log.rounds) > 0.6 * len(log.rounds)


def test_without_gain_the_best_is_shaken_harder_and_harder_then_all_starts_anew(
    job: tuple[Chain, Judge], monkeypatch: pytest.MonkeyPatch
) -> None:
    log = Log(monkeypatch)
    search_order(*job, 500, seed=1)
    assert log.restarts[:5] == ["shake 2", "shake 3", "shake 4", "shake 6", "start anew"]
    # exact: 1.2 times the square of two tacks and of four stitches in two directions is 43: two rounds of 32
    assert [s[:2] for s in log.steps[:6]] == ["32", "32", "sh", "32", "32", "sh"]


@pytest.mark.parametrize(("few", "step"), [(6, "start anew"), (5, "shake 2")])
def test_many_beads_are_not_started_anew(
    job: tuple[Chain, Judge], monkeypatch: pytest.MonkeyPatch, few: int, step: str
) -> None:
    log = Log(monkeypatch)
    monkeypatch.setattr(search, "FEW", few)
    search_order(*job, 500, seed=1)
    assert log.restarts[3:5] == ["shake 6", step]


@pytest.mark.parametrize(("patience", "rounds"), [(64, 2), (65, 3)])
def test_patience_is_counted_in_orders(
    job: tuple[Chain, Judge], monkeypatch: pytest.MonkeyPatch, patience: int, rounds: int
) -> None:
    log = Log(monkeypatch)
    monkeypatch.setattr(search, "PATIENCE", patience)
    monkeypatch.setattr(search, "PATIENCE_SHARE", 100.0)
    search_order(*job, 500, seed=1)
    places = [i for i, s in enumerate(log.steps) if not s[0].isdigit()]
    assert places[:3] == [rounds, 2 * rounds + 1, 3 * rounds + 2]
