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


@pytest.mark.parametrize("leg", [0.0, 2.5])
def test_what_is_common_practice_is_said_of_each_joint(leg: float) -> None:
    results = small()
    assert results.weld is not None
    joint = replace(results.weld.joint, leg_mm=leg, thick_mm=4.0, thin_mm=2.5)
    said = " ".join(map(str, practice(results.job, replace(results.weld, joint=joint))))
    for part in ("onto the one before it", "Grind its start thin", "crater until it is full", "From 4 mm to 2.5 mm"):
        assert part in said
    for part in (
        "magnifier or dye penetrant",
        "Level C of ISO 5817",
        "level B where loads alternate",
        "decides, not this",
    ):
        assert part in said
    # a fillet has no root to be looked at, and is not welded blind
    assert ("copper bar" in said, "roots that are not through" in said, "melted away" in said) == (
        (True, True, False) if leg == 0.0 else (False, False, True)
    )
    even = replace(joint, thick_mm=2.5)
    assert "two thirds" not in " ".join(map(str, practice(results.job, replace(results.weld, joint=even))))
