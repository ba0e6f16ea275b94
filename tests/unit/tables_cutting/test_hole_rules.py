import pytest

from cutplan.errors import CutplanError
from cutplan.tables.cutting.cut_sources import SOURCES, source_text
from cutplan.tables.cutting.holes import HAND_PROCESSES, RULES, TABLE_PROCESSES, lead_rule


def test_every_table_process_has_a_rule_and_no_hand_process_has_one() -> None:
    assert set(RULES) == set(TABLE_PROCESSES)
    for process in HAND_PROCESSES:
        with pytest.raises(CutplanError, match="no pierce"):
            lead_rule(process)


def test_smallest_plasma_hole_is_twice_the_thickness_or_four_kerfs() -> None:
    rule = lead_rule("air plasma")
    assert rule.least_hole_mm(6.0, 1.5) == 12.0  # from memory: 2 t
    assert rule.least_hole_mm(2.0, 1.5) == 6.0  # from memory: twice the pierce clearance of 2 k


@pytest.mark.parametrize("process", TABLE_PROCESSES)
@pytest.mark.parametrize("thickness", [2.0, 5.0, 10.0])
def test_a_hole_of_least_size_has_room_for_its_pierce(process: str, thickness: float) -> None:
    rule = lead_rule(process)
    for kerf in (0.2, 1.0, 2.0):
        assert 0.5 * rule.least_hole_mm(thickness, kerf) >= rule.clear_mm(thickness, kerf) - 1e-9


def test_sources_are_text() -> None:
    assert all(source_text(key) for key in SOURCES)
    assert "from memory" in str(source_text("hole-memory"))
