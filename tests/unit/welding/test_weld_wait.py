"""Waiting: heat is conserved, a long bead becomes Rosenthal's field, the limit is kept, more heat waits longer."""

from __future__ import annotations

from itertools import pairwise
from math import pi

import numpy as np
import pytest
from oracles.rosenthal import thin_rise_K

from cutplan.tables.steel import CARBON_STEEL
from cutplan.welding.heat.kernels import insert_rise_K, sheet_rise_K
from cutplan.welding.heat.wait import HeatRoom, HotBead, hot_bead, plan_starts

ROOM = HeatRoom(3.0, 3.0, 0.5, (0.0, 0.0, 200.0, 120.0), 640.0)


def bead(x: float, y: float, length: float = 40.0, heat: float = 250.0, speed: float = 6.0) -> HotBead:
    n = 16
    xs = x + (np.arange(n) + 0.5) / n * length
    return hot_bead(np.stack([xs, np.full(n, y)], axis=1), heat, speed, length)


def test_one_release_is_the_exact_kernel() -> None:
    # exact: Q / (4 pi k h t) exp(-r2 / 4 a t)
    rise = sheet_rise_K(
        np.array([[10.0, 0.0]]),
        np.array([5.0]),
        np.array([[0.0, 0.0]]),
        np.array([0.0]),
        np.array([1000.0]),
        3.0,
        loss_W_per_m2K=0.0,
    )
    a = 0.041 / 0.0045
    assert rise[0] == pytest.approx(1000 / (4 * pi * 0.041 * 3 * 5) * np.exp(-100 / (4 * a * 5)))


def test_heat_in_the_sheet_is_what_was_put_in() -> None:
    grid = np.arange(-200.0, 200.0, 4.0)
    places = np.stack(np.meshgrid(grid, grid), axis=-1).reshape(-1, 2)
    b = bead(-20.0, 0.0)
    times = (np.arange(16) + 0.5) / 16 * b.duration_s
    heats = np.full(16, 250.0 * 40.0 / 16)
    rise = sheet_rise_K(places, np.full(len(places), 60.0), b.nodes, times, heats, 3.0, loss_W_per_m2K=0.0)
    assert rise.sum() * 16.0 * 3.0 * 0.0045 == pytest.approx(10_000.0, rel=1e-3)  # exact: q L
    lossy = sheet_rise_K(places, np.full(len(places), 60.0), b.nodes, times, heats, 3.0, loss_W_per_m2K=15.0)
    assert 0.8 < lossy.sum() / rise.sum() < 1.0


def test_a_long_bead_becomes_the_steady_field() -> None:
    q, v, h = 250.0, 6.0, 3.0
    length = 1200.0
    n = 12000
    xs = (np.arange(n) + 0.5) / n * length
    sources = np.stack([xs, np.zeros(n)], axis=1)
    place = np.array([[length - 15.0, 8.0]])
    heats = np.full(n, q * length / n)
    rise = sheet_rise_K(place, np.array([length / v]), sources, xs / v, heats, h, loss_W_per_m2K=0.0)
    assert rise[0] == pytest.approx(thin_rise_K(-15.0, 8.0, q, v, h), rel=2e-3)  # rival: Rosenthal's closed field


def test_insulated_insert_keeps_its_heat_and_evens_out() -> None:
    box = (0.0, 0.0, 120.0, 80.0)
    source, heat = np.array([[5.0, 5.0]]), np.array([9000.0])
    grid = np.stack(np.meshgrid(np.arange(1.0, 120.0, 2.0), np.arange(1.0, 80.0, 2.0)), axis=-1).reshape(-1, 2)
    mean = 9000.0 / (120 * 80 * 3 * 0.0045)  # exact: heat over heat capacity
    for t in (5.0, 40.0, 160.0, 400.0, 4000.0):
        rise = insert_rise_K(grid, np.full(len(grid), t), source, np.zeros(1), heat, box, 3.0, loss_W_per_m2K=0.0)
        assert rise.mean() == pytest.approx(mean, rel=5e-3)
    assert rise.max() - rise.min() < 1e-3 * mean


def test_images_and_waves_meet() -> None:
    box = (0.0, 0.0, 100.0, 100.0)
    # switch-over at a t = 0.15 w2, about 165 s here
    args = (np.array([[20.0, 30.0]]), np.array([[0.0, 0.0]]), np.zeros(1), np.array([1000.0]), box, 3.0)
    switch = 0.15 * 100.0**2 / CARBON_STEEL.diffusivity_mm2_per_s
    before, after = (
        insert_rise_K(args[0], np.array([switch * f]), *args[1:], loss_W_per_m2K=0.0)[0] for f in (1 - 1e-9, 1 + 1e-9)
    )
    assert before == pytest.approx(after, rel=1e-4)


def test_near_the_edge_early_the_insert_is_as_hot_as_the_sheet() -> None:
    # half of the heat into half a plane: the same temperature, exact while other edges are far
    place, source = np.array([[100.0, 4.0]]), np.array([[100.0, 0.0]])
    sheet = sheet_rise_K(place, np.array([3.0]), source, np.zeros(1), np.array([1000.0]), 3.0)
    insert = insert_rise_K(place, np.array([3.0]), source, np.zeros(1), np.array([500.0]), (0, 0, 200, 120), 3.0)
    assert insert[0] == pytest.approx(sheet[0], rel=1e-6)


def test_the_limit_is_kept_and_far_places_need_no_wait() -> None:
    starts = plan_starts((bead(0, 0), bead(40, 0), bead(150, 120)), ROOM, 100.0)
    assert starts[0].wait_s == 0.0 and starts[0].mid_C == 20.0
    assert starts[1].wait_s > 5.0
    assert starts[1].mid_C == pytest.approx(100.0, abs=1.0)
    assert starts[2].wait_s == 0.0
    assert starts[2].mid_C < 60.0
    for before, after in pairwise(starts):
        assert after.start_s >= before.end_s + 5.0 - 1e-9
    assert all(s.low_C <= s.mid_C <= s.high_C for s in starts)


def test_more_heat_and_a_lower_limit_mean_more_waiting() -> None:
    def wait(heat: float, limit: float) -> float:
        return plan_starts((bead(0, 0, heat=heat), bead(40, 0, heat=heat)), ROOM, limit)[1].wait_s

    assert wait(300.0, 100.0) > wait(200.0, 100.0)
    assert wait(250.0, 60.0) > wait(250.0, 100.0) > wait(250.0, 150.0)


def test_a_limit_that_cannot_be_reached_is_said() -> None:
    starts = plan_starts((bead(0, 0), bead(40, 0)), ROOM, 20.1)
    assert not starts[1].reached
