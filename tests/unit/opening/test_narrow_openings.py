"""Openings so narrow that holes and slots part them unasked: each was once refused by the plan's own simulation."""

from __future__ import annotations

import pytest
from shapely.geometry import Polygon, box
from shapely.ops import unary_union

from cutplan.geometry.contour import Contour, polygon, rectangle
from cutplan.geometry.vector import Point
from cutplan.opening.cuts.nodes import NECK_MM, span_on
from cutplan.opening.cuts.waste import wastes
from cutplan.opening.model import Drill, OpeningPlan
from cutplan.opening.parting.necks import necks
from cutplan.opening.plan import plan_opening
from cutplan.pattern.job import About, Job
from cutplan.pattern.joint import Joint
from cutplan.pattern.plate import Plate
from cutplan.pattern.shop import Shop
from cutplan.pattern.skin import Rib, Skin
from cutplan.pattern.wishes import OpeningWork
from cutplan.texts import say

#: Two rooms of 30 x 40 mm with a passage between them, 3.4 mm wide: less than two slots and twice the allowance.
ROOMS = [(0, 0), (30, 0), (30, 18.3), (40, 18.3), (40, 0), (70, 0), (70, 40), (40, 40), (40, 21.7), (30, 21.7), (30, 40),
         (0, 40)]  # fmt: skip


def planned(outline: Contour, ribs: tuple[Rib, ...] = (), **work: object) -> OpeningPlan:
    wishes = OpeningWork(**work)  # type: ignore[arg-type]
    job = Job(About("narrow"), Plate(outline, (), 3.0), Joint("butt", 0.0), Skin(3.0, ribs=ribs), opening=wishes)
    return plan_opening(job, Shop())


def proved(plan: OpeningPlan) -> bool:
    return bool(plan.proof) and not [f for f in plan.findings if f.code == "plan-not-proved"]


def test_an_entry_for_the_blade_takes_the_place_of_a_bare_end_of_a_cut_across() -> None:
    ribs = tuple(Rib(f"R{k}", (Point(x, -40), Point(x, 340))) for k, x in enumerate((8, 40), 1))
    plan = planned(rectangle(0, 0, 48.2, 300.7), ribs, tool="reciprocating saw", corner_drill_mm=8.0)
    assert proved(plan)
    # exact: along the path every place is cut once, so no cut along it is longer than the way round
    around = 2.0 * (48.2 + 300.7)
    assert sum(c.length_mm for s in plan.steps for c in s.cuts if c.kind != "divide") < around


def test_a_hole_leaves_a_neck_beside_a_slot_that_it_does_not_belong_to() -> None:
    arm = [(0, 0), (255, 0), (255, 122), (239, 122), (239, 40), (186, 40), (186, 122), (0, 122)]
    plan = planned(polygon([(float(x), float(y)) for x, y in arm]), tool="hacksaw", corner_drill_mm=8.0)
    assert proved(plan)


@pytest.mark.parametrize("neck_mm, kept", [(NECK_MM + 0.1, True), (NECK_MM - 0.1, False)])
def test_neck_beside_a_hole_is_measured_to_the_slot(neck_mm: float, kept: bool) -> None:
    # exact: from below allowance, hole, neck, slot, allowance; the hole touches the rough line below
    allowance, kerf, radius = 0.5, 1.0, 5.0
    high = allowance + 2.0 * radius + neck_mm + kerf + allowance
    (waste,) = wastes(rectangle(0, 0, 200, high), "hacksaw", kerf, allowance)
    assert waste.kerf_mm == kerf
    drill = Drill("", Point(100, allowance + radius), 2.0 * radius, "entry", say("lets the saw blade in"))
    at, _ = waste.path.nearest(Point(100, 0))
    assert (span_on(waste, drill, at) is not None) == kept


def test_rooms_joined_by_a_passage_that_two_slots_take_fall_one_by_one() -> None:
    plan = planned(polygon([(float(x), float(y)) for x, y in ROOMS]), tool="jigsaw", corner_drill_mm=6.0)
    assert proved(plan)
    assert len(plan.sections) == 2
    assert not [c for s in plan.steps for c in s.cuts if c.kind == "divide"]  # nothing is left there to be cut


@pytest.mark.parametrize("wide_mm, count", [(1.4, 1), (1.6, 0)])
def test_a_neck_is_found_where_it_is_narrower_than_the_kerf(wide_mm: float, count: int) -> None:
    # exact: the slots' centres are as far apart as the passage is wide, half of each slot lies inside
    passage = box(9, 5 - 0.5 * wide_mm, 21, 5 + 0.5 * wide_mm)
    shape = unary_union([box(0, 0, 10, 10), passage, box(20, 0, 30, 10)])
    assert isinstance(shape, Polygon)
    found = necks(shape, 1.5)
    assert len(found) == count
    for a, b in found:
        assert a.distance(b) == pytest.approx(wide_mm, abs=1e-5)
