import pytest

from cutplan.errors import CutplanError
from cutplan.pattern.wishes import CUT_PROCESSES
from cutplan.tables.kerf import course_kerf_mm, kerf_band, plasma_current_A, rated_current_A


@pytest.mark.parametrize("process", CUT_PROCESSES)
def test_every_process_has_a_band_with_a_source(process: str) -> None:
    band = kerf_band(process, 5.0)
    assert 0.0 < band.low < band.mid < band.high < 4.0
    assert band.unit == "mm" and len(band.source) > 10


def test_plasma_band_is_wide_because_sources_disagree() -> None:
    # published: the sources differ by 0.5 mm and more at one current (course slide, job-shop guide)
    band = kerf_band("air plasma", 5.0)
    assert band.high - band.low >= 0.5


def test_kerf_between_two_current_ranges_lies_between_theirs() -> None:
    low, high = course_kerf_mm(36.25)  # exact: half way between the middles 27.5 and 45 A
    assert low == pytest.approx(0.5 * (1.27 + 1.65))
    assert high == pytest.approx(0.5 * (1.52 + 2.03))


def test_current_beyond_the_slide_is_held_at_its_end() -> None:
    assert course_kerf_mm(10.0) == (1.27, 1.52)  # published: 25-30 A


def test_from_memory_is_said() -> None:
    for process in ("laser", "waterjet", "oxyfuel", "jigsaw", "hacksaw", "cut-off disc"):
        assert "from memory" in kerf_band(process, 5.0).source


def test_disc_kerf_grows_with_the_disc() -> None:
    thin, thick = kerf_band("cut-off disc", 3.0, disc_mm=1.0), kerf_band("cut-off disc", 3.0, disc_mm=2.5)
    assert thick.mid - thin.mid == pytest.approx(1.5)  # exact: wobble is added


def test_currents_grow_with_thickness_and_stop_at_the_list() -> None:
    currents = [plasma_current_A(t) for t in (1.0, 3.0, 8.0, 12.0, 25.0)]
    assert currents == sorted(currents)
    rated = rated_current_A(6.0)
    assert rated is not None and 12.0 < rated < 27.0  # published: 1/8 in 12 A, 3/8 in 27 A
    assert rated_current_A(40.0) is None


def test_unknown_process_is_refused() -> None:
    with pytest.raises(CutplanError, match="no kerf is known"):
        kerf_band("scissors", 3.0)
