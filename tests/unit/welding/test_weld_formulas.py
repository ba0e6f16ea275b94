"""Rival formulas against each other, limits of validity, and laws: what no single published value shows."""

from __future__ import annotations

from math import inf, isclose, pi

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from oracles.rosenthal import thin_rise_K

from cutplan.welding.heat.cooling import cooling, t85_thick_s, t85_thin_s, transition_mm
from cutplan.welding.heat.peak import keep_away_mm, thin_peak_rise_K
from cutplan.welding.shrinkage.angular import sheet_angle
from cutplan.welding.shrinkage.buckling import buckling, critical_width_mm
from cutplan.welding.shrinkage.restraint import insert_restraint
from cutplan.welding.shrinkage.tendon import okerblom_N, tendon, white_N

HEAT = st.floats(100.0, 500.0)
THICK = st.floats(1.5, 6.0)


@settings(max_examples=50, deadline=None)
@given(q=HEAT, h=THICK, limit=st.floats(60.0, 900.0))
def test_law_keep_away_is_the_inverse_of_the_peak(q: float, h: float, limit: float) -> None:
    assert 20.0 + thin_peak_rise_K(keep_away_mm(limit, q, h), q, h) == pytest.approx(limit)


@settings(max_examples=50, deadline=None)
@given(q=st.floats(0.1, 2.0), t0=st.floats(0.0, 300.0))
def test_law_both_cooling_forms_meet_at_the_transition(q: float, t0: float) -> None:
    border = transition_mm(q, t0)
    assert t85_thin_s(q, border, t0) == pytest.approx(t85_thick_s(q, t0), rel=1e-9)
    assert cooling(q, 0.99 * border, t0, "bead").regime == "thin"
    assert cooling(q, 1.01 * border, t0, "bead").regime == "thick"


def test_fields_do_not_overflow_far_behind_and_far_ahead() -> None:
    # exact limit far behind: an instant line across the strip, q / (h sqrt(4 pi k rho c t)), t = 5000 / 8 s
    far = 250.0 / (3.0 * (4.0 * pi * 0.041 * 0.0045 * 625.0) ** 0.5)
    assert thin_rise_K(-5000.0, 0.0, 250.0, 8.0, 3.0) == pytest.approx(far, rel=1e-3)
    assert thin_rise_K(5000.0, 0.0, 250.0, 8.0, 3.0) == 0.0
    assert thin_rise_K(0.0, 0.0, 250.0, 8.0, 3.0) == inf


def test_cooling_below_its_start_is_refused() -> None:
    with pytest.raises(Exception, match="500"):
        t85_thin_s(0.3, 3.0, 500.0)


def test_two_tendon_forms_agree_within_a_tenth() -> None:
    assert isclose(white_N(300.0), okerblom_N(300.0), rel_tol=0.1)  # derived apart (both from memory)


def test_tendon_is_capped_at_half_the_yield_force() -> None:
    free = tendon(300.0, 5.0, 2000.0, 235.0)
    assert not free.capped and free.force_N.low < free.force_N.mid < free.force_N.high
    held = tendon(300.0, 5.0, 200.0, 235.0)
    assert held.capped and held.force_N.low == pytest.approx(0.5 * 235.0 * 200.0)
    assert held.force_N.low < held.force_N.mid < held.force_N.high  # metal as delivered bears more than the least
    assert held.free_N == free.free_N


def test_full_penetration_turns_less() -> None:
    assert sheet_angle(True).mid < sheet_angle(False).mid
    assert "our own" in str(sheet_angle(True).source)


def test_restraint_is_elastic_above_its_radius_and_held_at_yield_below() -> None:
    radius = 206_000.0 * 0.2 / (2.0 * 300.0)  # exact: E S / (2 yield)
    assert not insert_restraint(0.2, 1.01 * radius, 300.0).at_yield
    small = insert_restraint(0.2, 0.5 * radius, 300.0)
    assert small.at_yield and small.stress_N_per_mm2 == 300.0
    assert "600" not in str(small.statement)  # the raw number is never printed


def test_buckling_flag_turns_at_the_critical_width() -> None:
    width = critical_width_mm(40e3, 2.0)
    assert buckling(40e3, 2.0, 1.01 * width).flagged
    assert not buckling(40e3, 2.0, 0.99 * width).flagged
    for share in (0.99, 1.01):
        known, guessed = (str(buckling(40e3, 2.0, share * width, measured=m).statement) for m in (True, False))
        assert "nobody measured" in guessed and "nobody measured" not in known
