"""Re-planning followed to the end of all welds: each draw of the readings with its own sleeves and ribs, whatever its state."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from later_parts import made
from weld_tasks import seam

from cutplan.errors import JobError
from cutplan.tables.band import Band
from cutplan.welding.distortion import Inherent, OrderOptions
from cutplan.welding.distortion.bench.rest import Begun, _compared, _follower, begin, plan_rest, prior_of
from cutplan.welding.distortion.bench.watch import PadHeight, _between, predictor
from cutplan.welding.distortion.chain.yielding import Run, follow_yielding
from cutplan.welding.distortion.compare import Judged, World, judge_orders
from cutplan.welding.distortion.draws import Draws, draws_of
from cutplan.welding.distortion.later.drawn import LaterDraws, later_drawn
from cutplan.welding.distortion.later.end import stitched_by
from cutplan.welding.distortion.later.follow import LaterWorld, follow_later
from cutplan.welding.distortion.later.world import later_chain
from cutplan.welding.distortion.seam import Seam
from cutplan.welding.distortion.search.orders import people_orders
from cutplan.welding.distortion.task import Doubt
from cutplan.welding.readings.cloud import Cloud

QUICK = OrderOptions(triangles=300, evaluations=12, training=3)
TACKED, HALF = 3, 5


def _band(low: float, mid: float, high: float) -> Band:
    return Band(low, mid, high, "mm", "made up for a test")


NOUGHT = _band(0.0, 0.0, 0.0)
TASK, PARTS = made("sr")
TASK = replace(
    TASK,
    skin=replace(TASK.skin, wall_held=True),
    doubt=Doubt(_band(15.0, 30.0, 50.0), _band(0.3, 1.0, 3.0), _band(-1.6, -1.25, -0.9), _band(0.7, 1.0, 1.3)),
)
BEADS, SHRINKS = seam(TASK.path, TACKED, 5)
SEAM = Seam(TASK, BEADS, SHRINKS, tuple(PARTS))
ORDER = people_orders(BEADS)["opposite pairs"]


@pytest.fixture(scope="module")
def begun() -> Begun:
    return begin(SEAM, QUICK, ORDER.part(0, HALF), "ribs first")


def uneven(begun: Begun) -> Cloud:
    """Draws as readings leave them: some states hold more of them, one holds none."""
    return replace(prior_of(begun, 12, 3), state=np.array([0, 2, 2, 1, 2, 2, 2, 1, 2, 0, 2, 2]))


def alone(begun: Begun, world: World, mine: LaterWorld, judged: Judged, state: int, draw: int) -> np.ndarray:
    """Pad outputs of one draw of one state, followed by itself."""
    some = slice(draw, draw + 1)
    draws = Draws(world.draws.wishes[some], world.draws.limits[some])
    sequence = judged.order.sequence(world.chain.model.stations)
    left = follow_yielding(Run(world.chain, sequence, draws))
    one = LaterDraws(
        tuple(w[some] for w in mine.draws.wishes), mine.draws.joint_N[some], tuple(p[some] for p in mine.draws.part_N)
    )
    assert begun.later is not None
    stitched = stitched_by(world.chain, draws, sequence, left)
    after = follow_later([LaterWorld(mine.later, mine.rows, one)], begun.later.turn, [[stitched]])[-1]
    return np.asarray(after.outputs()[0, 0])


def test_every_draw_ends_as_it_does_by_itself_with_sleeves_and_ribs_of_its_own_day(begun: Begun) -> None:
    cloud, later = uneven(begun), begun.later
    assert later is not None and later.turn == (1, 0)  # the rib first, as it was planned
    worlds = begun.worlds(cloud)
    judged = judge_orders(worlds, begun.judge, {"as planned": ORDER, **people_orders(BEADS, begun.laid)})[:2]
    ends = later.as_planned(cloud, worlds, judged)
    mine = later._worlds(cloud, worlds)
    for state, count in ((0, 2), (1, 2), (2, 8)):
        # exact: each state has the days of its own draws
        days = cloud.latent[cloud.state == state]
        limits = draws_of(begun.chains[state].model, days).limits
        again = later_drawn(begun.chains[state].model, mine[state].rows, days, limits, later.seed + state + 100)
        assert len(days) == count and mine[state].draws.wishes[0] == pytest.approx(again.wishes[0])
        assert mine[state].draws.joint_N == pytest.approx(again.joint_N)
    for end, before in zip(ends, judged, strict=True):
        at = 0
        for state, world in enumerate(worlds):
            for draw in range(world.draws.count):
                wanted = alone(begun, world, mine[state], before, state, draw)
                assert end.outputs[at] == pytest.approx(wanted, abs=1e-4)  # exact but for the slack of flow
                at += 1
        assert np.abs(end.outputs - before.outputs).max() > 0.01
        assert end.result.stitched is not None and end.result.stitched.flatness_mm == before.result.flatness_mm


def test_the_search_sees_what_later_welds_add_in_its_own_draws(begun: Begun) -> None:
    cloud, later = uneven(begun), begun.later
    assert later is not None
    follower = _follower(begun, cloud, ORDER, QUICK)
    worlds = begun.worlds(cloud)
    judged = judge_orders(worlds, begun.judge, {"as planned": ORDER})
    chain = begun.chains[2]
    assert follower.chain is chain and follower.draws.count == QUICK.training
    days = cloud.latent[cloud.state == 2][: QUICK.training]
    mine = later._worlds(replace(cloud, latent=days, state=np.full(3, 2)), [World(chain, follower.draws)])
    # the seed of the search's scatter is that of the job, not of the state
    one = later_drawn(chain.model, mine[0].rows, days, follower.draws.limits, later.seed + 100)
    world = World(chain, follower.draws)
    ends = [alone(begun, world, replace(mine[0], draws=one), judged[0], 2, k) for k in range(QUICK.training)]
    left = follow_yielding(Run(chain, ORDER.sequence(chain.model.stations), follower.draws))
    assert follower.added is not None
    assert left.outputs + follower.added == pytest.approx(np.array(ends), abs=1e-4)  # exact, the same


def dials(begun: Begun, laid: int) -> list[PadHeight]:
    """Heights on all pads that one of the draws leaves."""
    pads = begun.model.pads
    first = np.cumsum([0, *pads.sizes])
    rows = [
        PadHeight(laid, name, (float(pads.place[i, 0]), float(pads.place[i, 1])), 0.0, 0.03)
        for name, a in zip(pads.names, first[:-1], strict=True)
        for i in (a, a + 2)
    ]
    values = predictor(begun.chains, begun.laid, rows, begun.later)(prior_of(begun, 16, 9))[5]
    return [replace(r, value_mm=float(v)) for r, v in zip(rows, values, strict=True)]


def test_headline_and_chance_are_those_after_all_welds(begun: Begun) -> None:
    rest = plan_rest(SEAM, ORDER, begun.laid, dials(begun, HALF), QUICK, later="ribs first")
    assert rest.agrees and rest.later is not None
    assert rest.chosen.flatness_mm == rest.later.chosen.flatness_mm == rest.later.after_mm[-1][1]
    assert rest.chosen.chance_within == rest.later.chosen.chance_within
    assert rest.chosen.stitched is not None and rest.chosen.stitched.flatness_mm != rest.chosen.flatness_mm
    assert all(o.stitched is not None for o in (*rest.orders, rest.planned_before))
    # the planned turn stays where no other is told to be better
    assert rest.later_kept == (rest.later.chosen.name == "ribs first")
    assert [p for p, _ in rest.later.after_mm] == list(rest.later.chosen.parts)


def test_after_the_last_stitch_the_turn_of_sleeves_and_ribs_is_left_to_plan(begun: Begun) -> None:
    done = replace(begun, laid=ORDER)
    rest = plan_rest(SEAM, ORDER, ORDER, dials(done, len(BEADS)), QUICK)
    assert rest.agrees and rest.kept and rest.later is not None
    assert [o.name for o in rest.orders] == ["as planned"]
    assert rest.chosen.stitched is not None
    assert rest.chosen.stitched.flatness_mm.high - rest.chosen.stitched.flatness_mm.low > 0.0
    with pytest.raises(JobError, match="nothing is left"):
        plan_rest(replace(SEAM, later=()), ORDER, ORDER, [], QUICK)


def test_a_dial_after_a_rib_reads_what_the_rib_leaves_with_the_brace_on() -> None:
    """Independent: where neither brace nor magnets hold the plate, what it leaves is what is read."""
    loose = replace(QUICK, flush_N_per_mm=0.0)
    one = begin(SEAM, loose, ORDER, "sleeves first", ("R",)).later
    assert one is not None and one.orders == {"sleeves first": (1, 0)} and one.welded == (1,)
    begun = begin(SEAM, loose, ORDER, "sleeves first", ("R", "H"))
    later, model = begun.later, begun.model
    assert later is not None and later.welded == (1, 0) and model.brace_count == 0
    cloud = uneven(begun)
    place = model.pads.place[model.pads.sizes[0]]  # the first point of the second pad
    at = PadHeight(len(BEADS) + 1, model.pads.names[1], (float(place[0]), float(place[1])), 0.0, 0.03)
    before = replace(at, laid=len(BEADS))
    last = replace(at, laid=len(BEADS) + 2)
    seen = predictor(begun.chains, ORDER, [before, at, last], later)(cloud)
    own = np.arange(model.pads.sizes[0], sum(model.pads.sizes[:2]))
    weight = _between(model.pads.place[own], place)
    for state in (0, 1, 2):
        chain, mine = begun.chains[state], np.flatnonzero(cloud.state == state)
        draws, days = draws_of(chain.model, cloud.latent[mine]), cloud.latent[mine]
        rows, moved = later.rest.on_plate(chain.model.size)
        wanted = later_drawn(chain.model, rows, days, draws.limits, None)
        sequence = ORDER.sequence(chain.model.stations)
        left = follow_yielding(Run(chain, sequence, draws))
        world = LaterWorld(later_chain(chain, moved), rows, wanted)
        rib, sleeve = follow_later([world], (1, 0), [[stitched_by(chain, draws, sequence, left)]])
        assert seen[mine, 0] == pytest.approx(left.outputs[:, own] @ weight, abs=1e-9)
        assert seen[mine, 1] == pytest.approx(rib.outputs()[0][:, own] @ weight, abs=1e-9)
        assert seen[mine, 2] == pytest.approx(sleeve.outputs()[0][:, own] @ weight, abs=1e-9)
    assert np.abs(seen[:, 1] - seen[:, 0]).max() > 0.01
    # exact: with magnets on, a rib that is joined and does nothing leaves the dial where the stitches left it
    idle = tuple(replace(p, inherent=Inherent(NOUGHT, NOUGHT, NOUGHT)) for p in PARTS)
    begun = begin(replace(SEAM, later=idle), QUICK, ORDER, "sleeves first", ("R",))
    assert begun.model.brace_count > 0
    seen = predictor(begun.chains, ORDER, [before, at], begun.later)(cloud)
    assert seen[:, 1] == pytest.approx(seen[:, 0], abs=1e-9)
    with pytest.raises(JobError, match="nothing is left"):
        plan_rest(SEAM, ORDER, ORDER, [], QUICK, welded=("R", "H"))


def test_a_plan_says_whether_the_turn_of_later_welds_is_the_planned_one(monkeypatch: pytest.MonkeyPatch) -> None:
    """With a bar that every better turn passes, both planned turns end in the same: one of them is kept, one is not."""
    monkeypatch.setattr("cutplan.welding.distortion.later.plan.TOLD_MM", -1e3)
    done = begin(SEAM, QUICK, ORDER, "sleeves first", ("R",))
    rests = [
        plan_rest(SEAM, ORDER, ORDER, dials(replace(done, later=None), len(BEADS)), QUICK, later=turn)
        for turn in ("sleeves first", "ribs first")
    ]
    names = [r.later.chosen.name for r in rests if r.later is not None]
    assert names[0] == names[1] and [r.later_kept for r in rests] == [
        n == names[0] for n in ("sleeves first", "ribs first")
    ]
    after = dials(done, len(BEADS) + 1)
    rest = plan_rest(SEAM, ORDER, ORDER, after, QUICK, later="sleeves first", welded=("R",))
    assert rest.agrees and rest.later is not None and rest.later.chosen.parts == ("R", "H") and rest.later_kept


def test_draws_of_later_beads_are_their_day_alone_where_no_scatter_is_wanted(begun: Begun) -> None:
    """Exact: the same day does the same whatever stands beside it; with scatter it does not."""
    later = begun.later
    assert later is not None
    chain = begun.chains[0]
    rows, _ = later.rest.on_plate(chain.model.size)
    days = prior_of(begun, 4, 3).latent
    limits = draws_of(chain.model, days).limits
    some, turned = (later_drawn(chain.model, rows, days[o], limits[o], None).wishes for o in ([0, 1, 2], [2, 1, 0]))
    assert some[0] == pytest.approx(turned[0][::-1]) and np.ptp(some[0][:, 0], axis=1) == pytest.approx(0.0)
    apart = later_drawn(chain.model, rows, days, limits, 1).wishes[0]
    assert np.ptp(apart[1:, 0], axis=1).min() > 0.0


def test_another_turn_is_taken_only_where_it_is_told_to_be_better(
    begun: Begun, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The same draws with a bar that no order passes, and with one that every better order does."""
    cloud = uneven(begun)
    worlds, judged = _compared(begun, cloud, ORDER, QUICK, None, None)
    assert begun.later is not None
    found = {}
    for bar in (1e3, -1e3):
        monkeypatch.setattr("cutplan.welding.distortion.later.plan.TOLD_MM", bar)
        for planned in ("ribs first", "sleeves first"):
            orders = {k: begun.later.orders[k] for k in sorted(begun.later.orders, key=lambda k: k != planned)}
            later = replace(begun.later, orders=orders)
            found[bar, planned] = later.planned_with(cloud, worlds, judged, lambda some: 0)[2].chosen.name
    assert found[1e3, "ribs first"] == "ribs first" and found[1e3, "sleeves first"] == "sleeves first"
    assert found[-1e3, "ribs first"] == found[-1e3, "sleeves first"]
