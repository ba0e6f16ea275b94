"""What the plan doubts: ribs along the line, and corners that are rounded as told."""

from __future__ import annotations

import re
from math import pi

import pytest

from cutplan.geometry.contour import rectangle
from cutplan.geometry.vector import Point
from cutplan.opening.plan import plan_opening
from cutplan.pattern.checks.check import check_job
from cutplan.pattern.job import About, Job
from cutplan.pattern.joint import Joint
from cutplan.pattern.opening import opening_line
from cutplan.pattern.plate import Plate
from cutplan.pattern.shop import Shop
from cutplan.pattern.skin import Rib, Skin, Walls
from cutplan.pattern.wishes import OpeningWork


def job(radius: float, joint: Joint, ribs: tuple[Rib, ...] = ()) -> Job:
    skin = Skin(2.5, "mild", Walls(80.0, 80.0, 60.0, 60.0), 70.0, ribs)
    plate = Plate(rectangle(0.0, 0.0, 300.0, 160.0, radius), (), 3.0)
    # under a lapped plate a corner stays as it is drilled: only one of a small drill is sharp
    small = OpeningWork(corner_drill_mm=8.0) if joint.kind == "lap" else OpeningWork()
    return Job(About("doubts"), plate, joint, skin, opening=small)


def found(made: Job, code: str) -> list[str]:
    return [str(f.message) for f in plan_opening(made, Shop()).findings if f.code == code]


def test_a_rib_along_the_line_is_told_and_one_across_is_not() -> None:
    lain = Rib("lain", (Point(40.0, -5.0), Point(260.0, -5.0)), "known", 30.0, 2.0, True)
    slanted = Rib("slanted", (Point(40.0, -9.0), Point(140.0, 11.0)), "known", 30.0, 2.0, True)
    across = Rib("across", (Point(150.0, -50.0), Point(150.0, 210.0)), "known", 30.0, 2.0, True)
    away = Rib("away", (Point(40.0, 30.0), Point(260.0, 30.0)), "known", 30.0, 2.0, True)
    told = found(job(12.0, Joint("butt", 1.0), (lain, slanted, across, away)), "rib-along-line")
    assert [re.search(r"rib (\w+) runs", t).group(1) for t in told] == ["lain", "slanted"]  # type: ignore[union-attr]
    # exact: 220 mm of the first run 4 mm beside the line
    assert "220 mm" in told[0]


@pytest.mark.parametrize("joint", [Joint("butt", 1.0), Joint("lap", 0.0, 20.0), Joint("lap", 0.0, 12.7)])
def test_corners_rounded_as_told_leave_no_warning(joint: Joint) -> None:
    """Whoever rounds the plate's corners to the radius that any warning names hears no more of it."""
    sharp = job(0.0, joint)
    words = [str(f.fix) for f in (*check_job(sharp), *plan_opening(sharp, Shop()).findings) if "corner" in f.code]
    asked = [float(v) for w in words for v in re.findall(r"corners? to ([\d.]+) mm or more", w)]
    assert asked
    obeyed = job(max(asked), joint)
    left = [f.code for f in (*check_job(obeyed), *plan_opening(obeyed, Shop()).findings) if "corner" in f.code]
    assert left == []
    arcs = [s.length / (0.5 * pi) for s in opening_line(obeyed).segments if hasattr(s, "radius")]
    assert len(arcs) == 4 and min(arcs) >= 7.9  # the opening really is round, by the radius that the rule asks
    # one obeyed by half is still told
    if joint.kind == "lap":
        half = job(0.5 * joint.overlap_mm, joint)
        assert [f.code for f in plan_opening(half, Shop()).findings if "corner" in f.code]
