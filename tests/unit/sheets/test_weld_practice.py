"""What is common practice at the bench: nothing is advised that the joint has already."""

from dataclasses import replace

import pytest
from sheet_results import small

from cutplan.sheets.welding.weld_practice import practice


@pytest.mark.parametrize(
    ("kind", "gap", "wider", "bevel"),
    [
        ("square butt", 1.2, True, True),
        ("square butt", 2.0, False, True),
        ("single V butt", 1.5, True, False),
        ("single V butt", 3.2, False, False),
    ],
)
def test_a_blind_root_is_helped_by_what_the_joint_has_not(kind: str, gap: float, wider: bool, bevel: bool) -> None:
    results = small()
    assert results.weld is not None
    joint = replace(results.weld.joint, kind=kind, gap_mm=gap, leg_mm=0.0)
    said = " ".join(map(str, practice(results.job, replace(results.weld, joint=joint))))
    assert "tack a strip" in said
    assert ("open the gap to 2 mm" in said, "bevel both edges" in said) == (wider, bevel)
