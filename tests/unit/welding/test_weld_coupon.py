"""Weld coupon: readings become factors with an uncertainty, and narrow the band no further than they can tell."""

from __future__ import annotations

import numpy as np
import pytest
from weld_jobs import rectangle_job

from cutplan.errors import JobError
from cutplan.pattern.joint import Joint
from cutplan.texts import say
from cutplan.welding.coupon import (
    LINE_READING_MM,
    RISE_READING_MM,
    TRANSFER_ANGLE,
    TRANSFER_SHRINK,
    weld_coupon,
)
from cutplan.welding.coupon_readings import evaluate_coupon, evaluate_readings
from cutplan.welding.shrinkage.free_bead import measured_band

COUPON = weld_coupon(rectangle_job())
BEFORE = (81.0, 81.02, 80.98)


def readings(shrink: float, rise: float) -> tuple[tuple[float, ...], tuple[float, ...], tuple[float, ...]]:
    return BEFORE, tuple(b - shrink for b in BEFORE), (rise, rise, rise)


def test_even_readings_give_the_ratio_and_the_reading_error() -> None:
    mid = COUPON.expected.shrink_mm.mid
    rise = COUPON.expected.angle_rad.mid * 65.0
    result = evaluate_coupon(COUPON, *readings(mid, rise))
    # readings in the middle of the formulas' bands leave them there, but for their lopsided halves
    assert result.measured.shrink == pytest.approx(1.0, abs=0.05)
    assert result.measured.angle == pytest.approx(1.0, abs=0.1)
    # exact: no scatter, so the standard error is the reading error of a difference over root n
    assert result.shrink_error_mm == pytest.approx(LINE_READING_MM * 2**0.5 / 3**0.5)
    assert result.angle_error_rad == pytest.approx(RISE_READING_MM / 65.0 / 3**0.5)
    assert result.findings == ()


def test_the_band_never_gets_narrower_than_what_carries_over_badly() -> None:
    result = evaluate_coupon(COUPON, *readings(1.2 * COUPON.expected.shrink_mm.mid, 2.0))
    assert result.measured.shrink_spread >= TRANSFER_SHRINK
    assert result.measured.angle_spread >= TRANSFER_ANGLE
    free = COUPON.expected.shrink_mm
    narrowed = measured_band(free, result.measured.shrink, result.measured.shrink_spread, say("shrinkage"))
    assert narrowed.high - narrowed.low < free.high - free.low
    assert narrowed.mid == pytest.approx(1.2 * free.mid)


def test_scatter_widens() -> None:
    even = evaluate_coupon(COUPON, *readings(0.3, 0.5))
    b, _, r = readings(0.3, 0.5)
    scattered = evaluate_coupon(COUPON, b, (b[0] - 0.2, b[1] - 0.3, b[2] - 0.4), r)
    assert scattered.shrink_mm == pytest.approx(even.shrink_mm)
    assert scattered.measured.shrink_spread > even.measured.shrink_spread


def test_odd_readings_are_said() -> None:
    far = evaluate_coupon(COUPON, *readings(1.5, 0.5), arc_time_s=120.0)
    assert [f.code for f in far.findings] == ["coupon-off-band", "coupon-off-speed"]
    rise = COUPON.expected.angle_rad.times(65.0, "mm")
    error = 2.0 * RISE_READING_MM / 3**0.5  # exact: even readings, two standard errors
    for read in (rise.high + 1.01 * error, 6.0 * rise.mid):
        (odd,) = evaluate_coupon(COUPON, *readings(0.3, read)).findings
        assert odd.code == "coupon-off-band" and f"rise {read:.2f} mm" in str(odd.message)
    assert not evaluate_coupon(COUPON, *readings(0.3, rise.high + 0.9 * error)).findings
    flat = evaluate_coupon(COUPON, *readings(0.3, -0.2))
    assert [f.code for f in flat.findings] == ["coupon-no-angle"]
    assert flat.measured.angle > 0.0
    assert flat.measured.angle_spread == 1.0


@pytest.mark.parametrize(
    "bad",
    [
        ((51.0,), (50.8,), (0.1, 0.1)),
        ((51.0, 51.0), (50.8,), (0.1, 0.1)),
        ((51.0, 51.0), (50.8, 50.8), (0.1,)),
        ((50.0, 50.0), (50.2, 50.2), (0.1, 0.1)),
        ((51.0, 51.0), (40.0, 40.0), (0.1, 0.1)),
    ],
)
def test_missing_and_impossible_readings_are_refused(bad) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(JobError):
        evaluate_coupon(COUPON, *bad)


def test_named_readings_are_the_same_and_unknown_names_refused() -> None:
    named = {"before1": 51.0, "before2": 51.0, "after1": 50.7, "after2": 50.74, "rise1": 0.4, "rise2": 0.5}
    assert evaluate_readings(COUPON, named) == evaluate_coupon(COUPON, (51.0, 51.0), (50.7, 50.74), (0.4, 0.5))
    with pytest.raises(JobError, match="unknown reading"):
        evaluate_readings(COUPON, {"width": 3.0})


def test_a_lap_coupon_overlaps_and_its_lines_lie_outside_the_overlap() -> None:
    coupon = weld_coupon(rectangle_job(joint=Joint("lap", 0.0, 20.0)))
    assert coupon.lines_apart_mm == 100.0  # exact: twice 40 mm and the overlap
    assert "over the" in str(coupon.steps[1])
    assert COUPON.lines_apart_mm == 81.0


def _by_grid(middle: float, error: float) -> tuple[float, float]:
    """Mean and spread of the shrinkage given its mean reading: Bayes' rule summed over a grid (independent)."""
    band = COUPON.expected.shrink_mm
    z = np.linspace(-4.0, 4.0, 4001)
    at = np.clip(z / 1.645, -1.5, 1.5)
    value = np.where(at > 0.0, band.mid + at * (band.high - band.mid), band.mid + at * (band.mid - band.low))
    weight = np.exp(-0.5 * z**2 - 0.5 * ((value - middle) / error) ** 2)
    mean = float(weight @ value / weight.sum())
    return mean, float(np.sqrt(weight @ (value - mean) ** 2 / weight.sum()))


@pytest.mark.parametrize("shrinks", [(0.2, 0.3, 0.4), (0.3, 0.3, 0.3), (0.18, 0.2, 0.22)])
def test_scatter_reading_error_and_carry_over_by_bayes_rule(shrinks: tuple[float, ...]) -> None:
    before = (51.0, 51.0, 51.0)
    rise = 65.0 * COUPON.expected.angle_rad.mid
    result = evaluate_coupon(COUPON, before, tuple(51.0 - s for s in shrinks), (rise, rise, rise))
    # exact: a difference carries the reading error twice; three readings
    error = ((float(np.var(shrinks, ddof=1)) + 2 * LINE_READING_MM**2) / 3) ** 0.5
    assert result.shrink_error_mm == pytest.approx(error)
    mean, spread = _by_grid(float(np.mean(shrinks)), error)
    assert result.measured.shrink * COUPON.expected.shrink_mm.mid == pytest.approx(mean, rel=0.02)
    # the angle of the same day narrows it a little more: at most by the square of what heat shares, 3 %
    wanted = ((1.645 * spread / mean) ** 2 + TRANSFER_SHRINK**2) ** 0.5
    assert result.measured.shrink_spread == pytest.approx(wanted, rel=0.05)


def test_a_reading_outside_all_draws_stands_alone() -> None:
    far = evaluate_coupon(COUPON, *readings(1.5, 0.5))
    assert far.measured.shrink == pytest.approx(1.5 / COUPON.expected.shrink_mm.mid)
