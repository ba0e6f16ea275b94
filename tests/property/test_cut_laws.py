"""Laws of a cut plan: whatever the plate, nothing is lost, the order is possible, leads stay in the waste."""

from __future__ import annotations

import itertools

from cut_jobs import region_job
from hypothesis import given, settings
from hypothesis import strategies as st
from property.strategies import plates

from cutplan.cutting.files.drawings import net_layers, path_layers
from cutplan.cutting.plan import plan_cut
from cutplan.cutting.result import CutPlan
from cutplan.geometry.region import Region
from cutplan.geometry.segment_table import SegmentTable
from cutplan.pattern.shop import Shop
from cutplan.pattern.wishes import CUT_PROCESSES
from cutplan.tables.cutting.holes import TABLE_PROCESSES


@st.composite
def plans(draw: st.DrawFn) -> tuple[Region, CutPlan, float]:
    region = draw(plates())
    kerf = draw(st.sampled_from((0.1, 0.25, 0.9, 1.5, 2.4)))
    job = region_job(
        region,
        draw(st.sampled_from((1.0, 3.0, 5.0, 12.0))),
        process=draw(st.sampled_from(CUT_PROCESSES)),
        kerf_mm=kerf,
        reversed_swirl=draw(st.booleans()),
        tabs=draw(st.sampled_from((0, 0, 0, 2, 4))),
    )
    return region, plan_cut(job, Shop()), kerf


@settings(max_examples=25, deadline=None)
@given(plans())
def test_every_hole_is_cut_or_marked_or_named(case: tuple[Region, CutPlan, float]) -> None:
    region, plan, _ = case
    cut = {p.name for p in plan.paths if p.inner}
    marked = {d.name for d in plan.drilled}
    for k in range(1, len(region.holes) + 1):
        name = f"H{k}"
        assert (name in cut) != (name in marked or f"{name}a" in marked)
    assert cut == {h.name for h in plan.cut_holes}
    assert len(plan.net.holes) == len(plan.cut_holes)


@settings(max_examples=25, deadline=None)
@given(plans())
def test_inner_cuts_come_first_and_moves_join_them(case: tuple[Region, CutPlan, float]) -> None:
    _, plan, _ = case
    inner = [p.inner for p in plan.paths]
    assert inner == sorted(inner, reverse=True)
    if plan.rapids:
        assert [r.end for r in plan.rapids] == [p.pierce for p in plan.paths]
        assert [r.start for r in plan.rapids[1:]] == [p.end for p in plan.paths[:-1]]
    assert plan.totals.time_s.low <= plan.totals.time_s.mid <= plan.totals.time_s.high


@settings(max_examples=25, deadline=None)
@given(plans())
def test_the_torch_keeps_half_a_kerf_from_every_edge_that_it_cuts(case: tuple[Region, CutPlan, float]) -> None:
    _, plan, kerf = case
    edges = SegmentTable([s for c in plan.net.contours for s in c.segments])
    told = "short-segment-removed" in [f.code for f in plan.findings]
    for path in plan.paths:
        points = [s.point_at(t) for s in path.segments for t in (0.0, 0.25, 0.5, 0.75, 1.0)]
        assert float(edges.distances(points).min()) >= 0.5 * kerf - (0.05 if told else 0.005)
        if path.lead != "none":
            assert plan.process in TABLE_PROCESSES
            assert not plan.net.contains(path.pierce)
            assert float(edges.distances([path.pierce])[0]) >= path.clear_mm - 0.01


@settings(max_examples=25, deadline=None)
@given(plans())
def test_chains_hold_together_and_can_be_written(case: tuple[Region, CutPlan, float]) -> None:
    region, plan, _ = case
    for path in plan.paths:
        for a, b in itertools.pairwise(path.segments):
            assert a.end.distance(b.start) < 1e-6
    job = region_job(region, plan.thickness_mm, process=plan.process)
    for make in (net_layers, path_layers):
        cut = [layer for layer in make(job, plan) if "not cut" not in layer.name]
        drawn = sum(len(layer.chains) + len(layer.contours) for layer in cut)
        assert drawn == len(plan.net.contours if make is net_layers else plan.paths) or not plan.paths
