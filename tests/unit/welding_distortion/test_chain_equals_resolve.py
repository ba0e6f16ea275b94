"""The condensed chain against the whole assembled system solved again at every step, elastic and with yield."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from oracles.weld_resolve import resolve_order
from weld_tasks import butt_task, lap_task, seam, unyielding

from cutplan.fem.mesh import Ints
from cutplan.welding.distortion import OrderOptions, WeldTask
from cutplan.welding.distortion.chain.elastic import make_chain
from cutplan.welding.distortion.chain.shape import shape_after_beads
from cutplan.welding.distortion.chain.yielding import Run, follow_together, follow_yielding
from cutplan.welding.distortion.draws import Draws, drawn
from cutplan.welding.distortion.model.condensed import Model, make_model, restricted
from cutplan.welding.distortion.model.variants import BoxState, varied
from cutplan.welding.distortion.search.orders import people_orders

COARSE = OrderOptions(triangles=420)
JOBS = {
    "butt": (butt_task(), 4, 6),
    "butt with brace and rib": (butt_task(brace=True, rib=True), 5, 5),
    "lap with brace to the skin": (lap_task(), 4, 5),
}


def model_of(name: str) -> Model:
    task, tacks, stitches = JOBS[name]
    return make_model(task, *seam(task.path, tacks, stitches), COARSE)


def random_sequences(model: Model, count: int, seed: int) -> Ints:
    """Tacks in any order, then stitches in any order and direction."""
    random = np.random.default_rng(seed)
    result = []
    for _ in range(count):
        tacks = [i for i, b in enumerate(model.beads) if b.kind == "tack"]
        others = [i for i, b in enumerate(model.beads) if b.kind == "stitch"]
        beads = [*random.permutation(tacks), *random.permutation(others)]
        result.append([s for b in beads for s in model.stations.of(int(b), bool(random.integers(2)))])
    return np.array(result)


@pytest.fixture(scope="module", params=list(JOBS))
def model(request: pytest.FixtureRequest) -> Model:
    return model_of(request.param)


def one(draws: Draws, number: int) -> Draws:
    return Draws(draws.wishes[number : number + 1], draws.limits[number : number + 1])


def compare(model: Model, draws: Draws, count: int, seed: int, slack: float, steps: bool = False) -> None:
    chain = make_chain(model)
    for number, sequence in enumerate(random_sequences(model, count, seed)):
        mine = one(draws, number % draws.count)
        states = resolve_order(model, sequence.tolist(), mine.wishes[0], mine.limits[0])
        left = follow_yielding(Run(chain, sequence, mine))
        scale = np.abs(states[-1].outputs).max()
        assert np.abs(left.outputs[0] - states[-1].outputs).max() < slack * scale
        closing = np.array([s.closing for s in states[: len(sequence)]])
        assert np.abs(left.closing[0] - closing).max() < slack * np.abs(closing).max()
        for step in (3, 7, len(sequence) - 1) if steps else ():
            on_the_way = follow_yielding(Run(chain, sequence[:step], mine)).outputs[0]
            assert np.abs(on_the_way - states[step - 1].outputs).max() < slack * scale


def test_elastic_pads_and_gaps_equal_a_full_solution(model: Model) -> None:
    compare(model, unyielding(model), 1, 1, 1e-8, steps=True)


def test_yielding_pads_and_gaps_equal_a_full_solution() -> None:
    task = butt_task(140.0, 100.0, brace=True)
    model = make_model(task, *seam(task.path, 3, 4), replace(COARSE, triangles=240))
    draws = drawn(model, 2, 5)
    compare(model, draws, 1, 2, 0.01, steps=True)  # limits are met within a thousandth
    # the metal does flow, or this would show nothing
    sequence = random_sequences(model, 1, 2)[0]
    assert follow_yielding(Run(make_chain(model), sequence, draws)).flowed.mean() > 0.2


@pytest.mark.slow
def test_orders_with_drawn_values_equal_a_full_solution(model: Model) -> None:
    compare(model, drawn(model, 2, 8), 2, 3, 0.01)


def test_orders_that_begin_alike_take_over_their_first_steps(model: Model) -> None:
    chain, draws = make_chain(model), drawn(model, 3, 4)
    first, other = random_sequences(model, 2, 4)
    kept = follow_yielding(Run(chain, first, draws), keep=True)
    # the last is laid to its end: nothing of it is left to be followed
    for same in (1, 5, len(first)):
        rest = [s for s in other if s not in first[:same]]
        mixed = [np.array([*first[:same], *some], dtype=first.dtype) for some in (rest, rest[::-1])]
        found = follow_together([Run(chain, m, draws, (same, kept)) for m in mixed])
        for taken, anew in zip(found, (follow_yielding(Run(chain, m, draws)) for m in mixed), strict=True):
            assert np.abs(taken.outputs - anew.outputs).max() < 1e-9
            assert np.abs(taken.closing - anew.closing).max() < 1e-9


@pytest.mark.parametrize("room", [1, 10**9])
def test_orders_followed_together_leave_what_each_leaves_alone(
    model: Model, room: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("cutplan.welding.distortion.chain.yielding.ROOM", room)
    chain, first = make_chain(model), drawn(model, 3, 4)
    sequences = random_sequences(model, 3, 6)
    kept = follow_yielding(Run(chain, sequences[0], first), keep=True)
    later = np.concatenate([sequences[0][:6], sequences[0][6:][::-1]])
    runs = [Run(chain, s, first) for s in sequences] + [
        Run(chain, later, first, (6, kept)),
        Run(chain, sequences[1][:5], first),
        Run(chain, sequences[2], drawn(model, 2, 9)),
    ]
    for run, left in zip(runs, follow_together(runs), strict=True):
        alone = follow_yielding(Run(run.chain, run.sequence, run.draws))
        # exact but for rounding and, where metal flows, for the excess that is let pass
        assert np.abs(left.outputs - alone.outputs).max() < 1e-3 * np.abs(alone.outputs).max()
        assert np.abs(left.closing - alone.closing).max() < 1e-3 * np.abs(alone.closing).max()
        assert np.array_equal(left.flowed.shape, alone.flowed.shape)


def test_the_shape_after_each_bead_equals_a_full_solution(model: Model) -> None:
    order = people_orders(model.beads)["skip"]
    shape = shape_after_beads(make_chain(model), order, unyielding(model))
    sequence = order.sequence(model.stations)
    states = resolve_order(model, sequence.tolist())
    ends = np.cumsum([len(model.stations.of(int(b), False)) for b in order.beads])
    assert not shape.lift_mm[0].any()
    pads = model.sheets.bodies[0].mesh.nearest(model.pads.place)
    rows = [states[e - 1] for e in ends] + ([states[-1]] if model.brace_count else [])
    for lift, state in zip(shape.lift_mm[1:], rows, strict=True):
        assert np.abs(lift[pads] - state.outputs[: len(pads)]).max() < 1e-8 * np.abs(shape.lift_mm).max()


def test_another_state_of_the_box_equals_a_model_made_for_it(model: Model) -> None:
    task, tacks, stitches = next(
        j for j in JOBS.values() if j[0].lap == model.task.lap and bool(j[0].brace) == bool(model.task.brace)
    )
    state = BoxState(95.0, 1.0, task.weld_z_mm + 0.3, 1.4)
    other = replace(
        task, weld_z_mm=state.weld_z_mm, ligament_mm=1.4, skin=replace(task.skin, wall_depth_mm=state.wall_depth_mm)
    )
    made = make_model(other, *seam(task.path, tacks, stitches), COARSE)
    assert varied(model, state).compliance == pytest.approx(made.compliance, rel=1e-6, abs=1e-12)
    assert varied(model, state).give == pytest.approx(made.give, rel=1e-9)
    # plate and skin everywhere: the butt's weld stood in the middle of its skin and had no lever there before
    order, middle = people_orders(made.beads)["skip"], unyielding(made)
    want = shape_after_beads(make_chain(made), order, middle).lift_mm
    lift = shape_after_beads(make_chain(varied(model, state)), order, middle).lift_mm
    assert np.abs(lift - want).max() < 1e-5 * np.abs(want).max()


def test_restricted_model_equals_one_made_without_the_rest() -> None:
    task, tacks, stitches = JOBS["butt with brace and rib"]
    beads, shrinks = seam(task.path, tacks, stitches)
    keep = [0, 1, 3, 5, 6, 8, 9]
    large = make_model(task, beads, shrinks, COARSE)
    small = restricted(large, keep, ())
    bare = WeldTask(task.plate, task.skin, task.path, task.weld_z_mm, 1.0, False, task.ribs, task.pads, None)
    made = make_model(bare, [beads[i] for i in keep], [shrinks[i] for i in keep], COARSE)
    assert small.stations.melts == made.stations.melts
    sequence = random_sequences(made, 1, 1)[0]
    one_, other = (follow_yielding(Run(make_chain(m), sequence, drawn(m, 2, 1))).outputs for m in (small, made))
    assert np.abs(one_ - other).max() < 1e-9
