import pytest
from cut_jobs import job_of

from cutplan.cutting.kerf.choice import choose_kerf
from cutplan.errors import JobError
from cutplan.pattern.shop import KerfMeasured, Shop

MEASURED = Shop(source="shop.toml", kerfs=(KerfMeasured("air plasma", 5.0, 1.62, 1.58, 0.04),))


def codes(findings: tuple) -> list[str]:
    return [f.code for f in findings]


def test_measured_kerf_goes_first() -> None:
    kerf, findings = choose_kerf(job_of(kerf_mm=None), MEASURED)
    assert kerf.value_mm == pytest.approx(1.60)  # exact: mean of both axes
    assert kerf.origin == "shop" and kerf.measured
    assert (kerf.band.low, kerf.band.high) == (pytest.approx(1.54), pytest.approx(1.66))  # exact: axes and reading
    assert "shop.toml" in str(kerf.band.source)
    assert codes(findings) == []


def test_measured_kerf_wins_over_the_job_and_says_so() -> None:
    kerf, findings = choose_kerf(job_of(kerf_mm=1.9), MEASURED)
    assert kerf.value_mm == pytest.approx(1.60)
    assert codes(findings) == ["two-kerfs"]
    assert "1.9 mm" in str(findings[0].message) and "1.60 mm" in str(findings[0].message)


def test_other_thickness_does_not_use_the_measurement() -> None:
    kerf, _ = choose_kerf(job_of(kerf_mm=None, thickness_mm=3.0), MEASURED)
    assert kerf.origin == "table"


def test_stated_kerf_is_used_but_not_called_measured() -> None:
    kerf, findings = choose_kerf(job_of(kerf_mm=1.5), Shop())
    assert kerf.value_mm == 1.5 and kerf.origin == "job"
    assert kerf.band.low < 1.5 < kerf.band.high
    assert codes(findings) == ["kerf-not-measured"]


def test_table_kerf_is_always_a_warning_with_its_spread() -> None:
    kerf, findings = choose_kerf(job_of(kerf_mm=None), Shop())
    warning = findings[0]
    assert warning.code == "kerf-from-table" and warning.severity == "warning"
    assert f"{kerf.band.low:.2f} to {kerf.band.high:.2f}" in str(warning.message)
    assert "coupon kerf" in str(warning.fix)


def test_axes_that_differ_are_told() -> None:
    shop = Shop(kerfs=(KerfMeasured("air plasma", 5.0, 1.8, 1.5),))
    _, findings = choose_kerf(job_of(kerf_mm=None), shop)
    assert codes(findings) == ["kerf-differs-by-axis"]


@pytest.mark.parametrize("kerf", [0.0, -1.0, 11.0])
def test_impossible_kerf_is_refused(kerf: float) -> None:
    with pytest.raises(JobError, match="cannot be"):
        choose_kerf(job_of(kerf_mm=kerf), Shop())


def test_too_little_current_is_told() -> None:
    # published: 3/8 in needs 27 A by hand
    _, findings = choose_kerf(job_of(thickness_mm=9.525, current_A=20.0), Shop())
    told = next(f for f in findings if f.code == "current-too-low")
    assert str(told.message).startswith("20 A is less than the 27 A that a hand torch needs for 9.525 mm")
    _, findings = choose_kerf(job_of(thickness_mm=9.525, current_A=45.0), Shop())
    assert "current-too-low" not in codes(findings)


def test_beyond_the_list_of_currents_is_told() -> None:
    _, findings = choose_kerf(job_of(thickness_mm=30.0), Shop())
    assert "thickness-beyond-list" in codes(findings)


@pytest.mark.parametrize(
    ("process", "thickness", "told"),
    [("oxyfuel", 2.0, True), ("oxyfuel", 5.0, False), ("laser", 40.0, True), ("hacksaw", 1.0, False)],
)
def test_thickness_unusual_for_the_process_is_told(process: str, thickness: float, told: bool) -> None:
    # published: scope of ISO 9013
    _, findings = choose_kerf(job_of(process=process, thickness_mm=thickness, kerf_mm=1.0), Shop())
    assert ("thickness-unusual" in codes(findings)) == told


@pytest.mark.parametrize(
    ("thickness", "current", "told"), [(9.525, 27.0, False), (9.525, 26.9, True), (12.7, None, False)]
)
def test_rated_current_itself_is_enough(thickness: float, current: float | None, told: bool) -> None:
    # published: 3/8 in needs 27 A; from memory: 85 A are usual for 12.7 mm
    _, findings = choose_kerf(job_of(thickness_mm=thickness, current_A=current), Shop())
    assert ("current-too-low" in codes(findings)) == told


@pytest.mark.parametrize(("process", "half"), [("laser", None), ("waterjet", 0.25), ("oxyfuel", 0.5)])
def test_table_kerf_tells_how_far_an_edge_may_lie_off(process: str, half: float | None) -> None:
    _, findings = choose_kerf(job_of(process=process, kerf_mm=None), Shop())
    low, value, high = {"laser": (0.1, 0.25, 0.5), "waterjet": (0.5, 1.0, 1.2), "oxyfuel": (1.5, 2.0, 3.0)}[process]
    # exact: half of the larger side of the band
    far = 0.5 * max(high - value, value - low)
    assert half is None or far == pytest.approx(half)
    assert f"an edge may lie {far:.2f} mm off and a hole or width {2.0 * far:.2f} mm off" in str(findings[0].message)


def test_stated_kerf_has_a_band_of_two_tenths_that_stays_above_zero() -> None:
    band = choose_kerf(job_of(kerf_mm=1.5), Shop())[0].band
    assert (band.low, band.mid, band.high) == pytest.approx((1.3, 1.5, 1.7))  # exact
    assert choose_kerf(job_of(kerf_mm=0.1), Shop())[0].band.low == 0.0


@pytest.mark.parametrize(("kerf", "refused"), [(10.0, False), (10.1, True)])
def test_largest_kerf(kerf: float, refused: bool) -> None:
    if refused:
        with pytest.raises(JobError, match="cannot be"):
            choose_kerf(job_of(kerf_mm=kerf), Shop())
    else:
        assert choose_kerf(job_of(kerf_mm=kerf), Shop())[0].value_mm == kerf


@pytest.mark.parametrize(("x", "y", "told"), [(1.8, 1.6, True), (1.6, 1.8, True), (1.7, 1.6, False)])
def test_axes_may_differ_by_a_little(x: float, y: float, told: bool) -> None:
    _, findings = choose_kerf(job_of(kerf_mm=None), Shop(kerfs=(KerfMeasured("air plasma", 5.0, x, y),)))
    assert ("kerf-differs-by-axis" in codes(findings)) == told


@pytest.mark.parametrize(
    ("stated", "reading", "told"),
    [(1.63, 0.04, False), (1.65, 0.04, True), (1.55, 0.04, True), (1.615, 0.01, False), (1.625, 0.01, True)],
)
def test_stated_kerf_within_the_reading_is_the_same_kerf(stated: float, reading: float, told: bool) -> None:
    shop = Shop(kerfs=(KerfMeasured("air plasma", 5.0, 1.6, 1.6, reading),))
    _, findings = choose_kerf(job_of(kerf_mm=stated), shop)
    assert ("two-kerfs" in codes(findings)) == told
