"""Weld tables: every fact has a source that says how it was seen; bands are in order; unknown names are refused."""

from __future__ import annotations

from math import isclose

import pytest

from cutplan.errors import CutplanError
from cutplan.tables.band import Band, spread
from cutplan.tables.steel import CARBON_STEEL, GRADES, grade
from cutplan.tables.welding.efficiency import ARC, DEPOSITION, arc_efficiency
from cutplan.tables.welding.heat_limits import HEAT_LIMITS
from cutplan.tables.welding.tack_rules import STAINLESS, tack_length_mm, tack_spacing_mm
from cutplan.tables.welding.tolerances_weld import flatness_tolerance_mm, linear_tolerance_mm
from cutplan.tables.welding.weld_settings import TABLES
from cutplan.tables.welding.weld_sources import SOURCES, source_text
from cutplan.tables.welding.wire import wire_feed_mm_per_s


def test_every_key_used_in_the_tables_is_a_source() -> None:
    used = {k for t in TABLES for k in t.sources} | {h.source for h in HEAT_LIMITS} | {r.source for r in STAINLESS}
    assert used <= set(SOURCES)


def test_a_source_says_how_it_was_seen() -> None:
    assert str(source_text("kou")).endswith("(from memory)")
    assert str(source_text("iso-13920")).endswith("(second hand)")
    assert str(source_text("default")).endswith("(our own)")
    assert "(" not in str(source_text("twi-shrinkage"))
    assert str(source_text("kou", "default")).count(";") == 1


def test_band_refuses_disorder_and_keeps_order_when_scaled() -> None:
    with pytest.raises(CutplanError, match="order"):
        Band(2.0, 1.0, 3.0, "mm", "planted")
    assert Band(1.0, 2.0, 3.0, "mm", "x").times(2.0).as_dict() == {
        "low": 2.0,
        "mid": 4.0,
        "high": 6.0,
        "unit": "mm",
        "source": "x",
    }
    assert Band(1.0, 2.0, 3.0, "N", "x").within(1.5, 2.5) == Band(1.5, 2.0, 2.5, "N", "x")
    assert Band(1.0, 2.0, 3.0, "mm", "x").text(1) == "2.0 mm (1.0 to 3.0)"


def test_spread_takes_the_median_and_never_leaves_the_middle_outside() -> None:
    assert spread((3.0, 1.0, 2.0), "mm", "x") == Band(1.0, 2.0, 3.0, "mm", "x")
    assert spread((1.0, 2.0), "mm", "x").mid == 1.5
    assert spread((1.0, 2.0), "mm", "x", mid=5.0) == Band(1.0, 5.0, 5.0, "mm", "x")


def test_steel_numbers_used_in_the_check_values() -> None:
    assert isclose(CARBON_STEEL.shrinkage_mm3_per_J, 2.6667e-3, rel_tol=1e-4)  # exact: 12e-6 / 0.0045
    assert isclose(CARBON_STEEL.diffusivity_mm2_per_s, 9.111, rel_tol=1e-4)  # exact: 0.041 / 0.0045


@pytest.mark.parametrize(
    ("name", "found"),
    [
        ("mild", "S235"),
        (" Mild steel ", "S235"),
        ("S235JR", "S235"),
        ("s355j2+n", "S355"),
        ("S355MC", "S355MC"),
        ("a36", "A36"),
        ("DC01", "DC01"),
        ("S 275 JR", "S275"),
    ],
)
def test_grades_are_found_by_the_words_of_a_shop(name: str, found: str) -> None:
    assert grade(name).name == found


def test_unknown_grade_is_refused_with_the_known_ones() -> None:
    with pytest.raises(CutplanError, match="not in the table") as e:
        grade("unobtainium")
    assert "S355" in e.value.hint
    assert all(g.percent["C"] <= 0.25 and g.yield_N_per_mm2 > 100.0 for g in GRADES.values())


def test_efficiencies_span_their_sources() -> None:
    assert (ARC["GMAW"].low, ARC["GMAW"].high) == (0.80, 0.85)  # EN 1011-1 (memory) and EN 1011-2 (second hand)
    assert all(0.0 < b.low <= b.high <= 1.0 for b in (*ARC.values(), *DEPOSITION.values()))
    with pytest.raises(CutplanError, match="no efficiency"):
        arc_efficiency("laser")


def test_heat_limits_fall() -> None:
    limits = [h.limit_C for h in HEAT_LIMITS]
    assert limits == sorted(limits, reverse=True)


def test_tack_rules_meet_the_printed_ones() -> None:
    for rule in STAINLESS:  # from memory; carbon steel may be wider apart, never much closer
        middle = 0.5 * sum(rule.thickness_mm)
        assert 0.6 * rule.spacing_mm[0] <= tack_spacing_mm(middle) <= 1.6 * rule.spacing_mm[1]
        assert tack_length_mm(middle) >= rule.length_mm[0]


def test_tolerance_ranges_end_where_the_standard_says() -> None:
    assert (linear_tolerance_mm(30.0), linear_tolerance_mm(30.1)) == (1.0, 2.0)
    assert (flatness_tolerance_mm(120.0), flatness_tolerance_mm(120.1)) == (1.0, 1.5)
    with pytest.raises(CutplanError, match="beyond"):
        linear_tolerance_mm(4001.0)
    with pytest.raises(CutplanError, match="no tolerance class"):
        flatness_tolerance_mm(100.0, "Z")


def test_feed_factor_rises_as_wire_thins_and_stays_in_the_charts() -> None:
    speeds = [wire_feed_mm_per_s(100.0, d) for d in (0.6, 0.7, 0.8, 0.9, 1.0, 1.1, 1.2)]
    assert speeds == sorted(speeds, reverse=True)
    with pytest.raises(CutplanError, match="no feed chart"):
        wire_feed_mm_per_s(100.0, 1.6)


def test_a_bound_that_passes_the_middle_by_rounding_alone_is_the_middle() -> None:
    band = Band(0.1 + 0.2, 0.3, 0.3, "mm", "x")  # exact: 0.1 + 0.2 is the next number above 0.3
    assert 0.1 + 0.2 > 0.3 and band.low == band.mid == band.high == 0.3
    with pytest.raises(CutplanError, match="not in order"):
        Band(0.3 + 1e-9, 0.3, 0.3, "mm", "x")
    with pytest.raises(CutplanError, match="not in order"):
        Band(float("nan"), 0.3, 0.3, "mm", "x")
