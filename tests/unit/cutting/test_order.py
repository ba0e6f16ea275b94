import itertools
import time

import numpy as np
import pytest

from cutplan.cutting.order.exact import exact_order
from cutplan.cutting.order.many import improve_many
from cutplan.cutting.order.moves import improve_few
from cutplan.cutting.order.short import Stops, choose_ways, nearest_neighbour, repaired, short_order
from cutplan.errors import GeometryError, LimitError
from cutplan.geometry.vector import Point


def stops_of(n: int, seed: int, ways: int = 4, size: float = 400.0, nested: bool = False) -> Stops:
    """Random stops; the last one waits for all, and nested ones wait for their own inner stop."""
    rng = np.random.default_rng(seed)
    pierces, ends = [], []
    for _ in range(n):
        c, r = rng.uniform(0.0, size, 2), rng.uniform(3.0, 15.0)
        a = np.arange(ways) * 2.0 * np.pi / ways
        ring = c + r * np.column_stack((np.cos(a), np.sin(a)))
        pierces.append(np.repeat(c[None], ways, axis=0))
        ends.append(ring)
    before = [(k, n - 1) for k in range(n - 1)]
    if nested:
        before += [(2 * k + 1, 2 * k) for k in range((n - 1) // 2)]
    return Stops(Point(-10.0, -10.0), tuple(pierces), tuple(ends), tuple(before))


def length_of(stops: Stops, turns) -> float:
    at, total = np.array(stops.home, dtype=float), 0.0
    for stop, way in turns:
        total += float(np.hypot(*(stops.pierces[stop][way] - at)))
        at = stops.ends[stop][way]
    return total


def check(stops: Stops, turns) -> None:
    order = [s for s, _ in turns]
    assert sorted(order) == list(range(len(stops)))
    place = {s: k for k, s in enumerate(order)}
    assert all(place[a] < place[b] for a, b in stops.before)


@pytest.mark.parametrize("seed", range(4))
def test_exact_order_agrees_with_trying_everything(seed: int) -> None:
    stops = stops_of(5, seed, ways=2, nested=seed % 2 == 1)
    best = min(
        length_of(stops, list(zip(order, ways, strict=True)))
        for order in itertools.permutations(range(5))
        if all(order.index(a) < order.index(b) for a, b in stops.before)
        for ways in itertools.product(range(2), repeat=5)
    )
    turns, length = exact_order(stops.home, stops.pierces, stops.ends, stops.before)
    check(stops, turns)
    assert length == pytest.approx(best)  # exact: brute force
    assert length_of(stops, turns) == pytest.approx(length)


@pytest.mark.parametrize("n", [3, 11, 25, 170, 400])
@pytest.mark.parametrize("nested", [False, True])
def test_orders_are_valid_and_never_worse_than_nearest_neighbour(n: int, nested: bool) -> None:
    stops = stops_of(n, n, nested=nested)
    order = short_order(stops)
    check(stops, order.turns)
    assert length_of(stops, order.turns) == pytest.approx(order.rapid_mm)
    assert order.rapid_mm <= nearest_neighbour(stops).rapid_mm + 1e-9


def test_the_search_alone_comes_close_to_the_optimum(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("cutplan.cutting.order.short.EXACT", 0)
    ratios = []
    for seed in range(6):
        stops = stops_of(10, 100 + seed)
        ratios.append(short_order(stops).rapid_mm / exact_order(stops.home, stops.pierces, stops.ends, stops.before)[1])
    assert min(ratios) >= 1.0 - 1e-9
    assert sum(ratios) / len(ratios) <= 1.02


def test_many_stops_take_seconds_and_gain() -> None:
    stops = stops_of(2001, 5, size=2000.0)
    started = time.process_time()
    order = short_order(stops)
    assert time.process_time() - started < 10.0
    assert order.rapid_mm < 0.9 * nearest_neighbour(stops).rapid_mm


def test_choice_of_ways_is_exact() -> None:
    stops = stops_of(6, 3, ways=3)
    sequence = list(range(6))
    best = min(length_of(stops, list(zip(sequence, w, strict=True))) for w in itertools.product(range(3), repeat=6))
    assert choose_ways(stops, sequence).rapid_mm == pytest.approx(best)


def test_moves_never_lengthen_and_keep_the_pairs() -> None:
    stops = stops_of(30, 9, ways=1, nested=True)
    p, e = np.concatenate(stops.pierces), np.concatenate(stops.ends)
    start = repaired(range(30), stops.before)
    found = improve_few(stops.home, p, e, start, stops.before)
    check(stops, [(s, 0) for s in found])
    assert length_of(stops, [(s, 0) for s in found]) < length_of(stops, [(s, 0) for s in start])


def test_levels_are_kept_for_many() -> None:
    stops = stops_of(300, 11, ways=1, nested=True)
    p, e = np.concatenate(stops.pierces), np.concatenate(stops.ends)
    found = improve_many(stops.home, p, e, repaired(range(300), stops.before), stops.before)
    check(stops, [(s, 0) for s in found])


def test_the_answer_is_always_the_same() -> None:
    assert short_order(stops_of(20, 1)) == short_order(stops_of(20, 1))


def test_circles_of_pairs_are_refused() -> None:
    stops = stops_of(3, 1)
    loop = Stops(stops.home, stops.pierces, stops.ends, ((0, 1), (1, 0)))
    with pytest.raises(GeometryError, match="circle"):
        nearest_neighbour(loop)
    with pytest.raises(GeometryError, match="circle"):
        repaired([0, 1, 2], ((0, 1), (1, 0)))


def test_exact_order_refuses_too_many() -> None:
    stops = stops_of(15, 1)
    with pytest.raises(LimitError):
        exact_order(stops.home, stops.pierces, stops.ends)


def test_stops_at_one_place_come_one_after_the_other() -> None:
    grid = [(50.0 * (k % 3), 50.0 * (k % 4)) for k in range(36)]  # 12 places, three stops at each
    points = np.array(grid, dtype=float)
    found = improve_many(Point(0.0, 0.0), points, points, range(36), [])
    assert sorted(found) == list(range(36))
    # exact: a way through 3 x 4 places 50 mm apart has eleven steps of 50 mm
    assert np.hypot(*np.diff(points[found], axis=0).T).sum() == pytest.approx(550.0)
