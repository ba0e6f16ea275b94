"""Settings: rows as printed, interpolation between them, ends held and said, the job's own numbers first."""

from __future__ import annotations

import pytest

from cutplan.errors import JobError
from cutplan.pattern.wishes import Welding
from cutplan.tables.welding.weld_settings import TABLES
from cutplan.welding.settings.machine import find_table, row_at, settings_for


@pytest.mark.parametrize("table", TABLES, ids=[f"{t.process}-{t.gas}-{t.joint}" for t in TABLES])
def test_tables_rise_in_thickness_and_hold_true_ranges(table) -> None:  # type: ignore[no-untyped-def]
    thicknesses = [r.thickness_mm for r in table.rows]
    assert thicknesses == sorted(set(thicknesses))
    for row in table.rows:
        for low, high in (row.current_A, row.voltage_V, row.speed_cm_per_min, row.gap_mm, row.leg_mm):
            assert 0.0 <= low <= high
    currents = [sum(r.current_A) for r in table.rows]
    assert currents == sorted(currents)  # common practice: thicker needs more current


@pytest.mark.parametrize(
    ("joint", "gas", "thickness", "energy", "heat"),
    # derived from the makers' tables at the middle of their ranges, welding reference section 1.1
    [
        ("butt", "mix", 1.6, 208.0, 166.0),
        ("butt", "mix", 3.2, 511.0, 408.0),
        ("butt", "mix", 4.0, 576.0, 461.0),
        ("butt", "CO2", 4.5, 469.0, 375.0),
    ],
)
def test_heat_of_the_printed_rows(joint: str, gas: str, thickness: float, energy: float, heat: float) -> None:
    s = settings_for(joint, thickness, Welding())
    assert s.gas == gas
    assert not s.table.interpolated
    assert s.arc.arc_energy_J_per_mm.mid == pytest.approx(energy, abs=0.6)  # the source's rounding
    assert s.arc.heat_input_J_per_mm.mid == pytest.approx(heat, abs=0.6)


def test_between_two_rows_it_interpolates_and_says_so() -> None:
    s = settings_for("butt", 2.75, Welding())
    # exact: half way between 2.3 (110-120) and 3.2 (120-140)
    assert (s.arc.current_A.low, s.arc.current_A.high) == pytest.approx((115.0, 130.0))
    assert s.table.interpolated
    assert "interpolated between 2.3 mm and 3.2 mm" in str(s.table.how)


def test_outside_the_table_the_end_is_held_and_a_finding_says_it() -> None:
    s = settings_for("butt", 0.8, Welding())
    assert s.arc.current_A.mid == 65.0  # the 1.2 mm row, published
    assert [f.code for f in s.findings] == ["settings-outside-table"]
    assert settings_for("butt", 8.0, Welding()).findings[0].code == "settings-outside-table"


def test_the_jobs_own_numbers_come_first() -> None:
    s = settings_for("butt", 2.3, Welding(current_A=100.0, voltage_V=18.0, speed_mm_per_s=6.0))
    assert s.arc.arc_energy_J_per_mm.low == s.arc.arc_energy_J_per_mm.high == pytest.approx(300.0)  # exact U I / v
    assert "given in the job" in str(s.table.how)
    assert s.arc.heat_input_J_per_mm.mid == pytest.approx(240.0)  # exact, k = 0.8
    partly = settings_for("butt", 2.3, Welding(current_A=100.0))
    assert "the rest" in str(partly.table.how)


def test_lap_beyond_its_table_takes_the_fillet_table() -> None:
    assert find_table("GMAW", "lap", 3.2).joint == "lap"
    assert find_table("GMAW", "lap", 6.0).joint == "fillet"
    row, how = row_at(find_table("GMAW", "lap", 6.0), 6.0)
    assert how == "read"
    assert row.current_A == (250, 280)  # published


def test_tig_has_its_own_table_gas_and_no_wire_feed() -> None:
    s = settings_for("butt", 3.2, Welding(process="GTAW"))
    assert s.arc.current_A.low == 90.0 and s.arc.current_A.high == 120.0  # published
    assert s.feed_mm_per_s is None
    assert s.gas_l_per_min == 5.0  # published
    assert "fillets" in str(s.table.how)
    assert s.arc.heat_input_J_per_mm.mid == pytest.approx(0.6 * s.arc.arc_energy_J_per_mm.mid)


def test_above_short_circuit_is_noted_and_unknown_process_refused() -> None:
    assert "not-short-circuit" in {f.code for f in settings_for("butt", 6.0, Welding()).findings}
    with pytest.raises(JobError, match="no settings"):
        find_table("SMAW", "butt", 3.0)


def test_energy_band_adds_half_widths_as_squares() -> None:
    s = settings_for("butt", 1.6, Welding())
    width = ((5 / 105) ** 2 + (0.5 / 16.5) ** 2 + (10 / 50) ** 2) ** 0.5  # exact, from the printed row
    assert s.arc.arc_energy_J_per_mm.low == pytest.approx(s.arc.arc_energy_J_per_mm.mid * (1 - width))
    assert s.arc.arc_energy_J_per_mm.high == pytest.approx(s.arc.arc_energy_J_per_mm.mid * (1 + width))


def test_the_gas_of_the_table_is_said_where_it_is_plain_co2() -> None:
    assert "gas-co2" in {f.code for f in settings_for("lap", 2.3, Welding()).findings}
    assert "gas-co2" not in {f.code for f in settings_for("butt", 2.3, Welding()).findings}


def test_rival_fillet_tables_agree_within_a_fifth_of_heat() -> None:
    # two makers, CO2 and argon mix, at 3.2 mm: published rows at the middle of their ranges
    rival = {t.gas: row_at(t, 3.2)[0] for t in TABLES if t.joint == "fillet" and t.process == "GMAW"}
    heat = {gas: sum(r.current_A) * sum(r.voltage_V) / sum(r.speed_cm_per_min) for gas, r in rival.items()}
    assert heat["mix"] == pytest.approx(heat["CO2"], rel=0.2)
