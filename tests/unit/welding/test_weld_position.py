"""Position by ISO 6947 and the way to travel: exact, from the directions of the stitches."""

from __future__ import annotations

from dataclasses import replace

import pytest
from weld_jobs import rectangle_job

from cutplan.pattern.joint import Joint, Span
from cutplan.pattern.wishes import Marks
from cutplan.welding.basis import weld_basis
from cutplan.welding.doubts import position_doubt
from cutplan.welding.stitches.position import position_of

#: A stitch in the middle of each side of 220 x 140 mm with corners of 12 mm: below, right, above, left. The outline
#: starts at its lower left and runs counter-clockwise.
SIDES = {"bottom": 0, "right": 1, "top": 2, "left": 3}


def side(name: str) -> Span:
    job = rectangle_job()
    runs, at = [], 0.0
    for s in job.plate.outline.segments:
        if s.length > 60.0:
            runs.append(at + 0.5 * s.length)
        at += s.length
    middle = runs[SIDES[name]]
    return Span(middle - 15.0, middle + 15.0)


def test_a_face_without_a_direction_of_up_lies_flat() -> None:
    assert {position_of(rectangle_job(), side(s), 2.5) for s in SIDES} == {("PA", 0)}


@pytest.mark.parametrize(
    ("name", "thin", "expected"),
    [
        ("bottom", 2.5, ("PC", 0)),
        ("top", 2.5, ("PC", 0)),
        ("right", 2.5, ("PG", -1)),  # the outline climbs there: downward is against it
        ("left", 2.5, ("PG", 1)),
        ("right", 5.0, ("PF", 1)),
        ("left", 5.0, ("PF", -1)),
    ],
)
def test_an_upright_face(name: str, thin: float, expected: tuple[str, int]) -> None:
    job = replace(rectangle_job(), marks=Marks(up_deg=90.0))
    assert position_of(job, side(name), thin) == expected


def test_a_lap_on_an_upright_face_and_wishes_of_the_job() -> None:
    job = replace(rectangle_job(joint=Joint("lap", 0.0, 12.0)), marks=Marks(up_deg=90.0))
    assert position_of(job, side("top"), 2.5) == ("PB", 0)
    assert position_of(job, side("bottom"), 2.5) == ("PD", 0)
    up = replace(rectangle_job(position="PF"), marks=Marks(up_deg=90.0))
    assert position_of(up, side("right"), 2.5) == ("PF", 1)
    assert position_of(rectangle_job(position="PE"), side("right"), 2.5) == ("PE", 0)


def test_heat_in_a_position_without_a_table_has_a_wider_band_and_the_same_middle() -> None:
    flat, steep = rectangle_job(), replace(rectangle_job(), marks=Marks(up_deg=90.0))
    plain, wider = weld_basis(flat), weld_basis(steep)
    before, after = plain.settings.arc.heat_input_J_per_mm, wider.settings.arc.heat_input_J_per_mm
    # sheet is welded downward on its sides and level above and below: 0.6 to 1.1 times (our judgement, as the table says)
    assert after.mid == before.mid
    assert after.low == pytest.approx(0.6 * before.low) and after.high == pytest.approx(1.1 * before.high)
    assert "PG" in str(after.source)
    assert wider.bead.shrink_mm.mid == plain.bead.shrink_mm.mid
    upward = weld_basis(
        replace(rectangle_job(position="PF"), marks=Marks(up_deg=90.0))
    ).settings.arc.heat_input_J_per_mm
    assert upward.high == pytest.approx(1.6 * before.high)
    assert [f.code for f in position_doubt(steep, wider.joint)] == ["no-table-for-position"]


def test_settings_of_a_trial_piece_in_its_position_need_no_table() -> None:
    job = replace(rectangle_job(), marks=Marks(up_deg=90.0))
    for given, silent in (
        ({"current_A": 100.0}, False),  # voltage and speed still come from the tables for flat work
        ({"current_A": 100.0, "voltage_V": 17.0, "speed_mm_per_s": 7.0}, True),
    ):
        own = replace(job, welding=replace(job.welding, **given))
        basis = weld_basis(own)
        assert (not position_doubt(own, basis.joint)) is silent
    assert basis.settings.arc.heat_input_J_per_mm.low == pytest.approx(
        basis.settings.arc.heat_input_J_per_mm.mid, rel=0.2
    )
