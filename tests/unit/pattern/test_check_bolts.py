"""EN 1993-1-8 Table 3.3: a bolt hole keeps 1.2 d0 from its centre to any edge, that of another hole too."""

from __future__ import annotations

import pytest

from cutplan.geometry.contour import circle_contour, rectangle
from cutplan.geometry.vector import Point
from cutplan.pattern.checks.check_bolts import bolts_near_holes
from cutplan.pattern.job import About, Job
from cutplan.pattern.plate import Hole, Plate


def job(apart: float, purpose: str = "access") -> Job:
    bolt = Hole("H1", circle_contour(Point(60.0, 60.0), 5.5).reversed(), "bolt")
    other = Hole("H2", circle_contour(Point(60.0 + apart + 20.0, 60.0), 20.0).reversed(), purpose)  # type: ignore[arg-type]
    return Job(About("t"), Plate(rectangle(0.0, 0.0, 200.0, 120.0), (bolt, other), 4.0))


@pytest.mark.parametrize(("apart", "told"), [(7.0, 1), (13.1, 1), (13.3, 0)])  # exact: 1.2 x 11 = 13.2 mm
def test_a_bolt_hole_near_an_access_hole_is_told(apart: float, told: int) -> None:
    found = bolts_near_holes(job(apart))
    assert [f.code for f in found] == ["bolt-edge-distance"] * told
    assert not told or "13.2 mm" in str(found[0].message)


def test_two_bolt_holes_are_a_matter_of_pitch() -> None:
    assert bolts_near_holes(job(7.0, "bolt")) == []
