"""Points that keep to a plan: exact readings give exact shapes, a wrong one is found or its rivals are named."""

from __future__ import annotations

from itertools import combinations

import pytest

from cutplan.geometry.vector import Point
from cutplan.survey.network import Adjusted, Distance
from cutplan.survey.network import adjust as adjusted

PLAN = [
    ("A", Point(0.0, 0.0)),
    ("B", Point(300.0, 0.0)),
    ("C", Point(300.0, 200.0)),
    ("D", Point(0.0, 200.0)),
    ("E", Point(140.0, 90.0)),
]


def adjust(plan: list[tuple[str, Point]], distances: list[tuple[str, str, float]]) -> Adjusted:
    names = [n for n, _ in plan]
    rows = [Distance(names.index(a), names.index(b), d) for a, b, d in distances]
    return adjusted([p for _, p in plan], rows, range(len(plan)), planned=True)


def _distances(built: dict[str, Point]) -> list[tuple[str, str, float]]:
    return [(a, b, built[a].distance(built[b])) for a, b in combinations(built, 2)]


def test_exact_distances_give_the_shape_exactly() -> None:
    built = dict(PLAN) | {"C": Point(302.0, 199.0)}
    net = adjust(PLAN, _distances(built))
    found = dict(zip(built, net.points, strict=True))
    for a, b in combinations(built, 2):
        assert found[a].distance(found[b]) == pytest.approx(built[a].distance(built[b]), abs=1e-7)  # exact
    assert net.left_out == () and max(abs(r) for r in net.residuals_mm) < 1e-7


@pytest.mark.parametrize("wrong", range(10))
def test_one_wrong_reading_among_ten_is_the_one_named(wrong: int) -> None:
    distances = _distances(dict(PLAN))
    a, b, d = distances[wrong]
    distances[wrong] = (a, b, d + 6.0)
    net = adjust(PLAN, distances)
    assert net.left_out == (wrong,)
    assert abs(net.residuals_mm[wrong]) == pytest.approx(6.0, abs=1e-6)


def test_with_one_spare_distance_the_rivals_are_named() -> None:
    plan = PLAN[:4]
    distances = _distances(dict(plan))  # six distances, five unknowns: one spare, so none can be told from another
    a, b, d = distances[3]
    distances[3] = (a, b, d + 6.0)
    net = adjust(plan, distances)
    assert net.left_out == (3,)  # the one farthest from the plan
    assert set(net.rivals[0]) == {0, 1, 2, 4, 5}


def test_unchecked_readings_are_known_as_such() -> None:
    net = adjust(PLAN[:2], [("A", "B", 305.0)])
    assert not net.checked(0) and net.left_out == ()
    assert net.points[0].x == pytest.approx(-2.5) and net.points[1].x == pytest.approx(302.5)  # exact: split evenly
    # exact: half of one reading's error at either end
    assert net.error_mm(0) == pytest.approx(0.25)


@pytest.mark.parametrize("apart", [2.0, -7.0])
def test_points_that_no_reading_ties_to_the_others_keep_to_the_plan(apart: float) -> None:
    plan = [*PLAN[:4], ("P", Point(60.0, 95.0)), ("Q", Point(180.0, 95.0))]
    distances = [*_distances(dict(plan[:4])), ("P", "Q", 120.0 - apart)]
    net = adjust(plan, distances)
    found = dict(zip([name for name, _ in plan], net.points, strict=True))
    for name, place in plan[:4]:
        assert found[name].distance(place) < 1e-4  # exact: their distances are those of the plan
    assert found["P"].distance(Point(60.0 + 0.5 * apart, 95.0)) < 1e-4  # exact: as little as possible, half at each end
    assert found["Q"].distance(Point(180.0 - 0.5 * apart, 95.0)) < 1e-4
