"""The parts of re-planning by themselves: what is predicted, how surely it is read, what is learnt, and what is kept."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from weld_tasks import butt_task, seam

from cutplan.tables.band import Band
from cutplan.welding.distortion import OrderOptions, OrderResult
from cutplan.welding.distortion.bench.learnt import against, learnt_from
from cutplan.welding.distortion.bench.rest import Begun, _chosen, _compared, begin, plan_rest, prior_of
from cutplan.welding.distortion.bench.watch import OpenGap, PadHeight, Watched, _between, predictor, read_of
from cutplan.welding.distortion.chain.yielding import Run, follow_yielding
from cutplan.welding.distortion.compare import Judged
from cutplan.welding.distortion.draws import HALF_BAND, draws_of
from cutplan.welding.distortion.model.condensed import TENDON
from cutplan.welding.distortion.model.variants import BoxState
from cutplan.welding.distortion.seam import Seam
from cutplan.welding.distortion.search.follower import Follower
from cutplan.welding.distortion.search.orders import Order, people_orders
from cutplan.welding.distortion.task import Doubt
from cutplan.welding.readings.cloud import Cloud

QUICK = OrderOptions(triangles=300, evaluations=20, training=3)
TACKED, HALF = 3, 5


def _band(low: float, mid: float, high: float) -> Band:
    return Band(low, mid, high, "mm", "made up for a test")


TASK = replace(
    butt_task(),
    doubt=Doubt(_band(15.0, 30.0, 50.0), _band(0.3, 1.0, 3.0), _band(-1.6, -1.25, -0.9), _band(0.7, 1.0, 1.3)),
)
BEADS, SHRINKS = seam(TASK.path, TACKED, 5)
ORDER = people_orders(BEADS)["opposite pairs"]


@pytest.fixture(scope="module")
def begun() -> Begun:
    return begin(Seam(TASK, BEADS, SHRINKS), QUICK, ORDER.part(0, HALF))


def read_alone(begun: Begun, cloud: Cloud, reading: Watched) -> np.ndarray:
    return np.asarray(predictor(begun.chains, begun.laid, [reading])(cloud)[:, 0])


def test_predictions_are_what_the_order_leaves_up_to_there(begun: Begun) -> None:
    """Independent of how a reading is taken: the same beads followed alone, and the closing just before a station."""
    model, order, cloud = begun.model, begun.laid, prior_of(begun, 8, 3)
    stations, pads = model.stations, model.pads
    # one stitch that is laid after the tacks were read, and one that is not laid at all
    cases = ((TACKED, int(order.beads[TACKED])), (HALF, int(ORDER.beads[-1])))
    ends = np.cumsum([len(stations.of(int(b), False)) for b in order.beads])
    for laid, bead in cases:
        sequence = order.sequence(stations)[: int(ends[laid - 1])]
        station = stations.of(bead, False)[0]
        middle = float(0.5 * (stations.start_mm[station] + stations.end_mm[station]))
        gap = read_alone(begun, cloud, OpenGap(laid, middle, 0.0, 0.07))
        own = np.arange(pads.sizes[0], sum(pads.sizes[:2]))
        at = pads.place[own].mean(axis=0) + np.array([4.0, -3.0])
        dial = read_alone(begun, cloud, PadHeight(laid, TASK.pads[1].name, (float(at[0]), float(at[1])), 0.0, 0.03))
        assert np.abs(gap).max() > 0.01 and np.abs(dial).max() > 0.01
        for state, chain in enumerate(begun.chains):
            mine = np.flatnonzero(cloud.state == state)
            draws = draws_of(model, cloud.latent[mine])
            left = follow_yielding(Run(chain, sequence, draws))
            assert dial[mine] == pytest.approx(left.outputs[:, own] @ _between(pads.place[own], at), abs=1e-9)
            on = follow_yielding(Run(chain, np.append(sequence, station), draws))
            assert gap[mine] == pytest.approx(on.closing[:, -1], abs=1e-9)


def three_dials(values: tuple[float, ...]) -> list[PadHeight]:
    places = ((0.0, 0.0), (60.0, 0.0), (0.0, 60.0), (60.0, 60.0))
    return [PadHeight(4, "P1", at, v, 0.03) for at, v in zip(places, values, strict=False)]


def test_a_reading_is_off_by_its_own_error_by_the_model_and_by_the_stand() -> None:
    """Exact: own variance, a tenth of the draws' spread, and a stand lifted and tilted anew for each round."""
    read: list[Watched] = [*three_dials((0.1, 0.1, 0.1)), OpenGap(4, 10.0, 0.2, 0.07)]
    predicted = np.random.default_rng(2).standard_normal((500, 4)) * [0.1, 0.2, 0.3, 0.4]
    covariance = read_of(read, predicted).covariance
    model = 0.01 * predicted.std(axis=0) ** 2
    assert covariance[3] == pytest.approx([0.0, 0.0, 0.0, 0.07**2 + model[3]])
    local = np.array([(-20.0, -20.0), (40.0, -20.0), (-20.0, 40.0)]) / 40.0  # by hand: the middle is (20, 20)
    assert covariance[:3, :3] == pytest.approx(25.0 * (1.0 + local @ local.T) + np.diag(0.03**2 + model[:3]))


def test_a_dial_is_told_over_the_plane_of_its_round_before_and_after() -> None:
    """Exact: at the corners of a square a saddle is out of every plane, a tilt is in it."""
    tilt, saddle = np.array([0.3, 0.5, 0.2, 0.4]), 0.1 * np.array([1.0, -1.0, -1.0, 1.0])
    read: list[Watched] = [*three_dials(tuple(tilt + saddle)), OpenGap(4, 10.0, 0.2, 0.07)]
    before, after = (np.append(tilt + s * saddle, g) * np.ones((3, 1)) for s, g in ((2.0, 0.5), (3.0, 0.6)))
    told = against(read, before, after, (1,))
    assert [t.read_mm for t in told] == pytest.approx([0.1, -0.1, -0.1, 0.1, 0.2])
    assert [t.before.mid for t in told] == pytest.approx([0.2, -0.2, -0.2, 0.2, 0.5])
    assert [t.after.mid for t in told] == pytest.approx([0.3, -0.3, -0.3, 0.3, 0.6])
    assert [t.odd for t in told] == [False, True, False, False, False]


@pytest.mark.parametrize(
    ("column", "share", "key", "value"),
    [
        # exact: the high ends of the bands in weld_tasks, the heat of the day at its middle; kN and degrees
        (1, 0.8, "shrink", 0.375),
        (2, 0.8, "tendon", 45.0),
        (3, np.sqrt(1.0 - 0.09), "angle", float(np.degrees(0.015))),
        (4, 1.0, "weld yield", 540.0),
        (5, 1.0, "plate yield", 400.0),
        (6, 1.0, "skin yield", 400.0),
    ],
)
def test_what_is_learnt_is_told_by_its_name_in_its_unit(
    begun: Begun, column: int, share: float, key: str, value: float
) -> None:
    prior = prior_of(begun, 32, 3)
    rows = np.zeros_like(prior.latent)
    rows[:, column] = HALF_BAND / share
    state = np.full(32, 2)
    found = {
        x.key: x.after.mid
        for x in learnt_from(begun.model, begun.states, prior, replace(prior, latent=rows, state=state))
    }
    middle = {
        "shrink": 0.25, "tendon": 30.0, "angle": float(np.degrees(0.01)), "weld yield": 470.0,
        "plate yield": 300.0, "skin yield": 300.0,
    }  # fmt: skip
    for name, mid in middle.items():
        assert found[name] == pytest.approx(value if name == key else mid)
    box = begun.states[2]
    assert isinstance(box, BoxState)
    told = [found[k] for k in ("wall depth", "grip", "weld height", "gap")]
    assert told == pytest.approx([box.wall_depth_mm, box.grip, box.weld_z_mm, box.ligament_mm])


def test_the_first_draws_are_of_all_states_and_none_is_the_middle_of_all_bands(begun: Begun) -> None:
    cloud = prior_of(begun, 16, 3)
    assert np.abs(cloud.latent).max(axis=1).min() > 0.0
    assert np.bincount(cloud.state).tolist() == [4, 4, 4, 4]
    assert plan_rest(Seam(TASK, BEADS, SHRINKS), ORDER, begun.laid, [], QUICK).draws == 128


def test_the_search_looks_at_the_box_that_most_draws_are_in(begun: Begun, monkeypatch: pytest.MonkeyPatch) -> None:
    seen: list[Follower] = []

    def first(follower: Follower, starts: list[Order], *_: object) -> tuple[Order, None]:
        seen.append(follower)
        return starts[0], None

    monkeypatch.setattr("cutplan.welding.distortion.bench.rest.best_order", first)
    cloud = prior_of(begun, 12, 3)
    state = np.array([0, 2, 2, 1, 2, 2, 2, 3, 2, 0, 2, 2])
    _compared(begun, replace(cloud, state=state), ORDER, QUICK, None, None)
    assert seen[0].chain is begun.chains[2]
    mine = draws_of(begun.model, cloud.latent[state == 2][: QUICK.training])
    assert seen[0].draws.wishes == pytest.approx(mine.wishes)


def rival(name: str, worse_mm: float, minutes: float) -> Judged:
    """An order as judged, made up: so much worse than the best in each draw."""
    band = _band(0.1, 0.2, 0.3)
    result = OrderResult(name, (), band, band, band, band, "S1", band, 1.0, 0.0, False, 0.0, minutes)
    order = Order(np.arange(2), np.zeros(2, dtype=bool))
    return Judged(order, result, np.zeros((4, 1)), np.full(4, 0.2), np.full(4, 0.3 + worse_mm), ())


@pytest.mark.parametrize(("worse", "allowed", "kept"), [(0.04, None, True), (0.07, 0.8, True), (0.07, None, False)])
def test_the_plan_is_kept_where_nothing_better_is_told(worse: float, allowed: float | None, kept: bool) -> None:
    """Against a best order that people can follow and that is quicker: the plan goes first where it is as good."""
    judged = [rival("as planned", worse, 20.0), rival("skip", 0.0, 5.0)]
    assert (_chosen(judged, 1, allowed) == 0) == kept


def test_each_state_of_the_box_has_its_own_metal_beside_the_weld(begun: Begun) -> None:
    """Exact: draws and predictions of a state are those of its own model, whose beads are held by less metal."""
    order = begun.laid
    model = begun.chains[1].model
    narrow = replace(model, inherent=tuple(replace(i, pull_section_mm2=20.0) for i in model.inherent))
    chains = (begun.chains[0], replace(begun.chains[1], model=narrow), *begun.chains[2:])
    other = replace(begun, chains=chains)
    cloud = prior_of(begun, 8, 3)
    mine = np.flatnonzero(cloud.state == 1)
    wanted = draws_of(narrow, cloud.latent[mine])
    assert wanted.wishes[:, TENDON].max() < draws_of(model, cloud.latent[mine]).wishes[:, TENDON].min()
    assert other.worlds(cloud)[1].draws.wishes == pytest.approx(wanted.wishes)
    gap = [OpenGap(HALF, float(BEADS[int(ORDER.beads[-1])].start_mm + 20.0), 0.0, 0.07)]
    seen, before = predictor(chains, order, gap)(cloud), predictor(begun.chains, order, gap)(cloud)
    assert np.abs(seen[mine] - before[mine]).max() > 1e-3
    rest = np.setdiff1d(np.arange(cloud.count), mine)
    assert seen[rest] == pytest.approx(before[rest])
