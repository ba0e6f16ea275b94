"""Draws moved to readings: against the exact law of straight lines, and readings that cannot be."""

from __future__ import annotations

import numpy as np
import pytest

from cutplan.welding.readings.agree import agreement
from cutplan.welding.readings.cloud import Cloud, Read
from cutplan.welding.readings.update import updated

MAP = np.array([[1.0, 0.5, 0.0], [0.2, -1.0, 0.3]])


def cloud(count: int = 2000, states: int = 1) -> Cloud:
    rows = np.random.default_rng(3).standard_normal((count, 3))
    return Cloud(rows, np.arange(count) % states, states, 2)


def straight(some: Cloud) -> np.ndarray:
    return np.asarray(some.latent @ MAP.T)


@pytest.mark.parametrize("error", [1.0, 0.1, 0.02])
def test_straight_lines_give_the_exact_mean_and_spread(error: float) -> None:
    values = np.array([0.9, -0.4])
    found = updated(cloud(), straight, Read(values, error**2 * np.eye(2)), 1)
    # exact: the normal law given y = M z + e
    gain = MAP.T @ np.linalg.inv(MAP @ MAP.T + error**2 * np.eye(2))
    mean, spread = gain @ values, np.eye(3) - gain @ MAP
    assert found.cloud.latent.mean(axis=0) == pytest.approx(mean, abs=0.08)
    assert found.cloud.latent.std(axis=0) == pytest.approx(np.sqrt(np.diag(spread)), rel=0.08, abs=0.005)
    assert found.after.std(axis=0).max() < 1.2 * error


def test_sharper_readings_leave_fewer_of_the_first_draws_and_more_bits() -> None:
    values = np.array([0.9, -0.4])
    blunt, sharp = (updated(cloud(400), straight, Read(values, e**2 * np.eye(2)), 1) for e in (3.0, 0.02))
    assert blunt.bits == 1 < sharp.bits
    assert sharp.effective < 10.0 < 300.0 < blunt.effective
    # moved about, not copied: the readings are met by many different draws
    assert len(np.unique(sharp.cloud.latent[:, 0])) > 200


def test_states_are_told_apart_by_their_weight() -> None:
    """Exact: two states that differ by 1 in what is predicted, read with an error of 0.5 at 0.8."""

    def predict(some: Cloud) -> np.ndarray:
        return np.asarray(some.state[:, None] + 0.3 * some.latent[:, :1])

    found = updated(cloud(2000, 2), predict, Read(np.array([0.8]), np.array([[0.25]])), 2)
    total = 0.25 + 0.09
    weight = np.exp(-0.5 * np.array([0.8, -0.2]) ** 2 / total)
    assert found.cloud.state.mean() == pytest.approx(weight[1] / weight.sum(), abs=0.03)


def test_fair_readings_agree_and_impossible_ones_do_not() -> None:
    predicted = straight(cloud())
    random = np.random.default_rng(9)
    read = [Read(predicted[i] + 0.1 * random.standard_normal(2), 0.01 * np.eye(2)) for i in range(200)]
    assert sum(agreement(predicted, r).agrees for r in read) >= 198
    assert not agreement(predicted, Read(np.array([9.0, -4.0]), 0.01 * np.eye(2))).agrees


def test_one_reading_against_all_others_is_named() -> None:
    many = np.random.default_rng(4).standard_normal((500, 1)) * np.ones((1, 6))
    values = np.full(6, 0.7)
    values[4] = 3.0
    found = agreement(many, Read(values, 0.01 * np.eye(6)))
    assert not found.agrees
    assert found.odd == (4,)


def test_the_same_seed_gives_the_same_draws() -> None:
    read = Read(np.array([0.9, -0.4]), 0.01 * np.eye(2))
    one, two = (updated(cloud(100), straight, read, 5).cloud.latent for _ in range(2))
    assert (one == two).all()
