import pytest

from cutplan.errors import CutplanError
from cutplan.pattern.wishes import CUT_PROCESSES
from cutplan.tables.cutting.kerf import course_kerf_mm, kerf_band, plasma_current_A, rated_current_A


@pytest.mark.parametrize("process", CUT_PROCESSES)
def test_every_process_has_a_band_with_a_source(process: str) -> None:
    band = kerf_band(process, 5.0)
    assert 0.0 < band.low < band.mid < band.high < 4.0
    assert band.unit == "mm" and len(str(band.source)) > 10


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
        assert "from memory" in str(kerf_band(process, 5.0).source)


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


@pytest.mark.parametrize(
    ("thickness", "amps"), [(3.175, 12.0), (9.525, 27.0), (12.7, 40.0), (15.875, 50.0), (22.225, 55.0)]
)
def test_rated_current_at_the_printed_thicknesses(thickness: float, amps: float) -> None:
    assert rated_current_A(thickness) == pytest.approx(amps)  # published: source key rated-current


def test_rated_current_between_and_below_the_printed_thicknesses() -> None:
    assert rated_current_A(6.35) == pytest.approx(19.5)  # exact: half way between 12 and 27 A
    assert rated_current_A(1.5875) == pytest.approx(6.0)  # exact: in proportion, half of 12 A
    assert rated_current_A(22.3) is None


@pytest.mark.parametrize(
    ("thickness", "amps"),
    [
        (1.0, 30.0),
        (2.0, 30.0),
        (2.1, 45.0),
        (6.0, 45.0),
        (6.1, 65.0),
        (10.0, 65.0),
        (16.0, 85.0),
        (16.1, 105.0),
        (200.0, 105.0),
    ],
)
def test_usual_current_steps_with_thickness(thickness: float, amps: float) -> None:
    assert plasma_current_A(thickness) == amps  # from memory


@pytest.mark.parametrize(
    ("process", "kerf"),
    [
        ("laser", (0.1, 0.25, 0.5)),
        ("waterjet", (0.5, 1.0, 1.2)),
        ("oxyfuel", (1.5, 2.0, 3.0)),
        ("jigsaw", (1.0, 1.15, 1.3)),
        ("hacksaw", (0.8, 1.0, 1.2)),
        ("cut-off disc", (1.1, 1.25, 1.4)),
    ],
)
def test_kerfs_of_other_processes(process: str, kerf: tuple[float, float, float]) -> None:
    band = kerf_band(process, 5.0)
    assert (band.low, band.mid, band.high) == pytest.approx(kerf)  # from memory


@pytest.mark.parametrize(
    ("amps", "kerf"),
    # published: course slide 1.65-2.03 at 45 A, 2.03-2.79 at 72.5 A, guide 1.27-2.54; the middle is that of the slide
    [
        (45.0, (1.27, 1.84, 2.54)),
        (72.5, (1.27, 2.41, 2.79)),
        (80.0, (1.27, 2.41, 2.79)),
        # published: 0.98 measured, 3.5 in the service guide; 2.3 from memory
        (81.0, (0.98, 2.3, 3.5)),
    ],
)
def test_plasma_band_by_current(amps: float, kerf: tuple[float, float, float]) -> None:
    band = kerf_band("air plasma", 5.0, amps)
    assert (band.low, band.mid, band.high) == pytest.approx(kerf)


def test_plasma_band_takes_the_usual_current_when_none_is_named() -> None:
    named, usual = kerf_band("air plasma", 5.0, 45.0), kerf_band("air plasma", 5.0)
    assert (named.low, named.mid, named.high) == (usual.low, usual.mid, usual.high)
