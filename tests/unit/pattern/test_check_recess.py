"""Recesses too narrow for skin between two seams. Expected values are exact: widths and depths as drawn."""

from __future__ import annotations

from dataclasses import replace
from math import radians, tan

import pytest
from weld_jobs import plain_job

from cutplan.findings import Finding
from cutplan.geometry.contour import Contour, polygon, rectangle
from cutplan.pattern.checks.check import check_job
from cutplan.pattern.checks.check_recess import narrow_recesses, recess_findings
from cutplan.pattern.joint import Joint

GAP, SKIN = 1.0, 2.5


def slotted(width: float, depth: float = 30.0, lean_deg: float = 0.0) -> Contour:
    """A plate of 200 x 120 mm with a slot from its upper edge, or a notch whose sides lean."""
    mouth = 0.5 * width + depth * tan(radians(lean_deg))
    slot = [(100.0 + mouth, 120.0), (100.0 + 0.5 * width, 120.0 - depth)]
    slot += [(100.0 - 0.5 * width, 120.0 - depth)] if width else []
    return polygon([(0.0, 0.0), (200.0, 0.0), (200.0, 120.0), *slot, (100.0 - mouth, 120.0), (0.0, 120.0)])


def told(outline: Contour, gap: float = GAP) -> list[Finding]:
    job = plain_job(outline, plate_mm=4.0, skin_mm=SKIN, joint=Joint(kind="butt", gap_mm=gap))
    return recess_findings(job)


@pytest.mark.parametrize(
    ("width", "severity"),
    [
        (1.8, "error"),  # the gaps of both sides fill it: no skin in it
        (3.0, "error"),  # a tongue of 1 mm
        (6.9, "error"),  # 4.9 mm: less than two thicknesses of the skin
        (7.1, "warning"),
        (11.9, "warning"),  # 9.9 mm: less than four
        (12.1, None),
    ],
)
def test_a_slot_is_judged_by_the_tongue_of_skin_in_it(width: float, severity: str | None) -> None:
    found = told(slotted(width))
    assert [f.severity for f in found] == ([severity] if severity else [])
    if found:
        assert f"{width:.1f} mm wide" in str(found[0].message)
        assert ("no skin reaches" in str(found[0].message)) == (width < 2.0 * GAP)


def test_it_is_told_how_wide_how_deep_and_where() -> None:
    (slot,) = narrow_recesses(slotted(5.0), 4.0)
    assert slot.width_mm == pytest.approx(5.0, abs=0.03) and slot.at.x == pytest.approx(100.0, abs=0.1)
    # the disc of 4 mm hangs into the mouth by 4 - sqrt(16 - 6.25) mm
    assert slot.depth_mm == pytest.approx(30.0 - (4.0 - 9.75**0.5), abs=0.1)


@pytest.mark.parametrize(
    "outline",
    [
        rectangle(0.0, 0.0, 200.0, 120.0),
        polygon(
            [(0.0, 0.0), (200.0, 0.0), (200.0, 60.0), (100.0, 60.0), (100.0, 120.0), (0.0, 120.0)]
        ),  # a square corner
        slotted(0.0, 30.0, 45.0),  # a notch of 90 degrees
        slotted(3.0, 2.0),  # a nick no deeper than a bead
    ],
)
def test_corners_and_nicks_are_no_recesses(outline: Contour) -> None:
    assert told(outline) == []


def test_a_slot_that_opens_behind_a_narrow_mouth_is_one() -> None:
    points = [(101.5, 120.0), (101.5, 110.0), (104.0, 110.0), (104.0, 106.0), (96.0, 106.0), (96.0, 110.0)]
    outline = polygon([(0.0, 0.0), (200.0, 0.0), (200.0, 120.0), *points, (98.5, 110.0), (98.5, 120.0), (0.0, 120.0)])
    assert [f.severity for f in told(outline)] == ["error"]


def test_a_lap_has_no_tongue_and_a_job_with_one_is_stopped() -> None:
    job = plain_job(slotted(3.0), plate_mm=4.0, skin_mm=SKIN, joint=Joint(kind="butt", gap_mm=GAP))
    assert [f.code for f in check_job(job) if f.severity == "error"] == ["recess-narrow"]
    lap = replace(job, joint=Joint(kind="lap", overlap_mm=12.0))
    assert recess_findings(lap) == []
