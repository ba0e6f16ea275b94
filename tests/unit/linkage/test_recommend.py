"""The place recommended: against a fine search, and its standard error against simulated readings."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from steering_studies import WISHES, study

from cutplan.linkage.picture import map_png
from cutplan.linkage.places.bands import cost_of_shift, error_field, standard_errors
from cutplan.linkage.places.margins import HELD, margins, score
from cutplan.linkage.places.place_map import grid, place_map
from cutplan.linkage.places.placed import Placed, place
from cutplan.linkage.places.recommend import best_shift, mount_tolerance, recommend, shift_errors
from cutplan.linkage.solved.figures import figures
from cutplan.linkage.study import Layout, Range, Wish
from cutplan.texts import Reader


@pytest.fixture(scope="module")
def placed() -> Placed:
    return place(replace(study(), range=Range((-40.0, 20.0), (-30.0, 30.0), 41)))


def test_the_errors_of_the_figures_are_those_of_simulated_readings() -> None:
    """by simulation: 4,000 vehicles measured with the same tape; first order holds to a tenth"""
    layout = Layout(study())
    rng = np.random.default_rng(42)
    rows = layout.values + rng.standard_normal((4000, layout.values.size)) * layout.errors
    told = standard_errors(layout, np.array([-10.0, 0.0, 4.0]))
    seen = figures(layout, rows, np.array([-10.0, 0.0, 4.0]))
    for name in told:
        if name != "rod_change":  # the size of a difference: never below nought
            assert float(told[name]) == pytest.approx(float(seen[name].std()), rel=0.1), name


def test_no_place_of_a_finer_map_has_a_larger_margin(placed: Placed) -> None:
    layout = Layout(placed.study)
    fine = grid(np.linspace(-40.0, 20.0, 121), np.linspace(-30.0, 30.0, 121))
    wishes = placed.study.wishes
    values = figures(layout, layout.values, fine, only=frozenset(w.figure for w in wishes))
    there = margins(wishes, values, placed.chart.field.at(fine))
    shift = best_shift(layout, layout.values[None], np.zeros(3), placed.chart.field, np.array([30.0, 30.0]))[0]
    best = margins(wishes, figures(layout, layout.values, shift), placed.chart.field.at(shift))
    assert score(best) >= score(there).max() - 1e-3
    assert best.min() >= there.min(axis=0).max() - np.log(len(wishes)) / 3.0  # exact: how far the score may fall behind
    assert (
        placed.best is not None and np.abs(placed.best.shift - shift).max() <= 0.25 + 1e-9
    )  # told to half a millimetre


@pytest.mark.slow
def test_the_shift_moves_with_the_readings_as_its_standard_error_tells() -> None:
    """by simulation: the whole search repeated for 150 vehicles measured with the same tape"""
    layout = Layout(replace(study(), range=Range((-40.0, 20.0), (-30.0, 30.0))))
    field = error_field(layout, 5)
    start = np.array([-13.0, 0.0, -5.0])
    shift = best_shift(layout, layout.values[None], start, field, np.array([10.0, 10.0]))[0]
    told = shift_errors(layout, shift, field)
    rng = np.random.default_rng(5)
    rows = layout.values + rng.standard_normal((150, layout.values.size)) * layout.errors
    seen = best_shift(layout, rows, shift, field, np.array([30.0, 30.0])).std(axis=0)
    assert told[[0, 2]] == pytest.approx(seen[[0, 2]], rel=0.25)  # 150 draws: 12 % for two standard errors, and kinks
    assert told[1] == 0.0


def test_one_millimetre_at_the_mount_costs_what_a_millimetre_changes() -> None:
    layout = Layout(study())
    shift = np.array([-10.0, 0.0, 4.0])
    costs = cost_of_shift(layout, shift)
    for axis in (0, 2):
        step = np.zeros(3)
        step[axis] = 0.5
        high, low = figures(layout, layout.values, shift + step), figures(layout, layout.values, shift - step)
        for name in costs:
            assert float(costs[name][axis]) == pytest.approx(float(high[name] - low[name]), rel=1e-2, abs=2e-3), name


def test_inside_the_mounts_tolerance_every_wish_is_held() -> None:
    easy = replace(
        study(), wishes=tuple(replace(w, limit=w.limit * (0.8 if w.kind == "at least" else 1.4)) for w in WISHES)
    )
    layout = Layout(easy)
    shift = np.array([-8.0, 0.0, -4.0])
    errors = standard_errors(layout, shift)
    tolerance = mount_tolerance(layout, shift, errors)
    assert tolerance is not None and 0.2 <= tolerance <= 5.0
    rng = np.random.default_rng(1)
    ways = rng.standard_normal((400, 3))
    ways /= np.linalg.norm(ways, axis=1)[:, None]
    inside = margins(easy.wishes, figures(layout, layout.values, shift + 0.97 * tolerance * ways), errors)
    assert (inside >= HELD).all()
    if tolerance < 5.0:
        beyond = margins(easy.wishes, figures(layout, layout.values, shift + (tolerance + 0.3) * ways), errors)
        assert not (beyond >= HELD).all()


def test_an_impossible_wish_still_gets_the_least_bad_place() -> None:
    tight = replace(study(), wishes=(Wish("departure", "at most", 0.1),), range=Range((-20.0, 20.0), (-20.0, 20.0), 21))
    layout = Layout(tight)
    best = recommend(layout, place_map(layout))
    assert best is not None and best.margin < 0.0 and best.tolerance_mm is None and best.at_edge


def test_the_picture_carries_no_clock(placed: Placed) -> None:
    one = map_png(placed, Reader("de"))
    assert one[:8] == b"\x89PNG\r\n\x1a\n" and b"tIME" not in one
