import pytest

from cutplan.errors import CutplanError
from cutplan.pattern.wishes import CUT_PROCESSES
from cutplan.tables.cutting.cut_speed import cut_speed, pierce_time


@pytest.mark.parametrize("process", CUT_PROCESSES)
def test_thicker_is_slower(process: str) -> None:
    speeds = [cut_speed(process, t, 65.0 if process == "air plasma" else None).mid for t in (1.0, 2.0, 4.0, 8.0, 12.0)]
    assert speeds == sorted(speeds, reverse=True)
    assert all(s > 0.0 for s in speeds)


def test_speed_carries_its_band_and_says_from_memory() -> None:
    speed = cut_speed("air plasma", 5.0)
    assert speed.low < speed.mid < speed.high
    assert speed.high / speed.low == pytest.approx(1.5**2)  # exact: the middle over and times 1.5
    assert "from memory" in str(speed.source)


def test_printed_rows_are_met() -> None:
    assert cut_speed("waterjet", 5.0).mid == pytest.approx(220.0)  # from memory


def test_more_current_is_faster() -> None:
    assert cut_speed("air plasma", 6.0, 85.0).mid > cut_speed("air plasma", 6.0, 45.0).mid


def test_hand_tools_do_not_pierce() -> None:
    assert pierce_time("hacksaw", 5.0).high == 0.0
    assert pierce_time("oxyfuel", 10.0).mid > pierce_time("oxyfuel", 5.0).mid


def test_unknown_process_is_refused() -> None:
    with pytest.raises(CutplanError):
        cut_speed("scissors", 5.0)
