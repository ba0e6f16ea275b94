"""Flow within limits: the laws of perfect plasticity, on random compliances."""

from __future__ import annotations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from cutplan.tables.band import Band
from cutplan.welding.distortion.chain.box import SLACK, flow
from cutplan.welding.distortion.draws import placed


@settings(max_examples=80, deadline=None)
@given(seed=st.integers(0, 10_000), size=st.integers(1, 12), cases=st.integers(1, 5))
def test_law_forces_stay_within_their_limits_and_only_full_ones_flow(seed: int, size: int, cases: int) -> None:
    random = np.random.default_rng(seed)
    root = random.standard_normal((size, size)) + np.eye(size)
    stiffness = root @ root.T + 0.1 * np.eye(size)
    trial = 3.0 * random.standard_normal((cases, size))
    limit = random.uniform(0.3, 2.0, (cases, size))
    flowed = flow(stiffness, trial, limit)
    force = trial - flowed @ stiffness
    assert np.all(np.abs(force) <= limit * (1.0 + 3.0 * SLACK))
    moving = np.abs(flowed) > 1e-9
    assert np.all(flowed[moving] * force[moving] > 0.0)  # metal flows the way it is pulled
    assert np.allclose(np.abs(force)[moving], limit[moving], rtol=3.0 * SLACK)
    # the closest point: no force within the limits is nearer to the trial in the energy of the compliance
    give = np.linalg.inv(stiffness)
    for row in range(cases):
        off = trial[row] - force[row]
        least = off @ give @ off
        for _ in range(10):
            other = random.uniform(-limit[row], limit[row])
            away = trial[row] - other
            assert least <= (away @ give @ away) * (1.0 + 0.02) + 1e-9


def test_one_spring_is_clipped() -> None:
    # exact: a spring of stiffness 2 at trial 5 and limit 3 flows by (5 - 3) / 2
    assert flow(np.array([[2.0]]), np.array([[5.0], [-5.0], [1.0]]), np.full((3, 1), 3.0)).ravel().tolist() == [
        1,
        -1,
        0,
    ]


def test_values_of_a_lopsided_band() -> None:
    band = Band(1.0, 2.0, 5.0, "mm", "test")
    assert placed(band, np.array([-1.0, 0.0, 1.0, 0.5])).tolist() == [1.0, 2.0, 5.0, 3.5]
