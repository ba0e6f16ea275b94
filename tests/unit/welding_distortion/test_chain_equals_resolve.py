"""The condensed chain against the whole assembled system solved again at every step: exact, to rounding."""

from __future__ import annotations

import numpy as np
import pytest
from weld_tasks import butt_task, lap_task, seam

from cutplan.fem.mesh import Ints
from cutplan.welding.distortion import OrderOptions, WeldTask
from cutplan.welding.distortion.chain.elastic import make_chain
from cutplan.welding.distortion.chain.influence import influence_of, lift_after_steps
from cutplan.welding.distortion.chain.resolve import resolve_order
from cutplan.welding.distortion.chain.scan import make_scanner
from cutplan.welding.distortion.chain.window import make_state, make_window
from cutplan.welding.distortion.model.condensed import MIDDLE, Model, make_model, restricted

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


def compare(model: Model, count: int, seed: int, every_step: bool = False) -> None:
    sequences = random_sequences(model, count, seed)
    scanner = make_scanner(make_chain(model))
    scanned = scanner.scan(sequences)
    for number, sequence in enumerate(sequences):
        states = resolve_order(model, sequence.tolist())
        scale = np.abs(states[-1].outputs).max()
        assert np.abs(scanned.pads[number, 0] - states[-1].outputs).max() < 1e-8 * scale
        closing = np.array([s.closing for s in states[: len(sequence)]])
        assert np.abs(scanned.closing[number] - closing).max() < 1e-8 * np.abs(closing).max()
        for step in range(1, len(sequence) + 1) if every_step else ():
            on_the_way = scanner.scan(sequence[None, :step], brace_off=False).pads[0, 0]
            assert np.abs(on_the_way - states[step - 1].outputs).max() < 1e-8 * scale


def test_pads_and_gaps_equal_a_full_solution(model: Model) -> None:
    compare(model, 2, 1)


def test_pads_equal_a_full_solution_on_the_way(model: Model) -> None:
    sequence = random_sequences(model, 1, 3)[0]
    states = resolve_order(model, sequence.tolist())
    scanner = make_scanner(make_chain(model))
    for step in (1, 3, 7, len(sequence)):
        on_the_way = scanner.scan(sequence[None, :step], brace_off=False)
        there = states[step - 1].outputs
        assert np.abs(on_the_way.pads[0, 0] - there).max() < 1e-8 * np.abs(there).max()


@pytest.mark.slow
def test_twenty_orders_of_three_jobs_equal_a_full_solution_at_every_step(model: Model) -> None:
    compare(model, 20, 2, every_step=True)


def test_every_step_of_the_shape_equals_a_full_solution(model: Model) -> None:
    sequence = random_sequences(model, 1, 4)[0]
    states = resolve_order(model, sequence.tolist())
    lift = lift_after_steps(make_chain(model), sequence, range(len(states) + 1))
    assert len(lift) == len(states) + 1
    assert not lift[0].any()
    pads = model.bodies[0].mesh.nearest(model.pads.place)
    for row, state in zip(lift[1:], states, strict=True):
        assert np.abs(row[pads] - state.outputs[: len(pads)]).max() < 1e-8 * np.abs(lift).max()


def test_influence_adds_up_to_the_scan(model: Model) -> None:
    sequence = random_sequences(model, 1, 5)[0]
    chain = make_chain(model)
    scanner = make_scanner(chain)
    influence = influence_of(chain, sequence)
    scanned = scanner.scan(sequence[None, :])
    for mix, levels in enumerate(scanner.mixes):
        wish = scanner.problem.levels[np.arange(3), levels]
        pads = np.einsum("kas,ks->a", influence.pads, wish)
        assert np.abs(pads - scanned.pads[0, mix]).max() < 1e-9
    closing = np.einsum("kas,ks->a", influence.closing, model.wish[:, MIDDLE])[sequence]
    assert np.abs(closing - scanned.closing[0]).max() < 1e-9


def test_forces_across_the_weld_of_a_plate_are_in_balance(model: Model) -> None:
    """With the brace off, only soft holds act on the plate: all bead forces on it must nearly cancel."""
    sequence = random_sequences(model, 1, 6)[0]
    influence = influence_of(make_chain(model), sequence)
    pull = np.einsum("kas,ks->a", influence.pull, model.wish[:, MIDDLE])
    slide = np.einsum("kas,ks->a", influence.slide, model.wish[:, MIDDLE])
    total = np.zeros(2)
    for i in range(model.stations.count):
        piece = model.bodies[0].stretch(model.task.path, model.stations.start_mm[i], model.stations.end_mm[i])
        part = ((piece.last - piece.first) * piece.length_mm / piece.total_mm)[:, None]
        total += pull[i] * (part * piece.across).sum(axis=0) + slide[i] * (part * piece.along).sum(axis=0)
    assert np.abs(total).max() < 1e-3 * np.abs(pull).sum()


def test_window_equals_the_whole_order(model: Model) -> None:
    random = np.random.default_rng(9)
    sequence = random_sequences(model, 1, 7)[0]
    scanner = make_scanner(make_chain(model))
    state = make_state(scanner, sequence)
    tacks = sum(b.kind == "tack" for b in model.beads)
    for first, last in ((tacks, tacks + 6), (0, tacks), (len(sequence) - 5, len(sequence)), (1, 2)):
        inner = np.array([random.permutation(sequence[first:last]) for _ in range(6)])
        whole = np.tile(sequence, (6, 1))
        whole[:, first:last] = inner
        one, other = make_window(state, first, last).scan(inner), scanner.scan(whole)
        assert np.abs(one.pads - other.pads).max() < 1e-8 * np.abs(other.pads).max()
        assert np.abs(one.closing - other.closing).max() < 1e-8 * np.abs(other.closing).max()


def test_window_over_tacks_and_stitches_that_melt_them_equals_the_whole_order(model: Model) -> None:
    sequence = random_sequences(model, 1, 8)[0]
    scanner = make_scanner(make_chain(model))
    tacks = sum(b.kind == "tack" for b in model.beads)
    first, last = tacks - 2, tacks + 3
    inner = np.array([sequence[first:last], [*sequence[first:tacks][::-1], *sequence[tacks:last][::-1]]])
    whole = np.tile(sequence, (2, 1))
    whole[:, first:last] = inner
    one = make_window(make_state(scanner, sequence), first, last).scan(inner)
    other = scanner.scan(whole)
    assert np.abs(one.pads - other.pads).max() < 1e-8 * np.abs(other.pads).max()
    assert np.abs(one.closing - other.closing).max() < 1e-8 * np.abs(other.closing).max()


def test_restricted_model_equals_one_made_without_the_rest() -> None:
    task, tacks, stitches = JOBS["butt with brace and rib"]
    beads, shrinks = seam(task.path, tacks, stitches)
    keep = [0, 1, 3, 5, 6, 8, 9]
    large = make_model(task, beads, shrinks, COARSE)
    small = restricted(large, keep, ())
    bare = WeldTask(task.plate, task.skin, task.path, task.weld_z_mm, 1.0, False, task.ribs, task.pads, None)
    made = make_model(bare, [beads[i] for i in keep], [shrinks[i] for i in keep], COARSE)
    assert small.stations.melts == made.stations.melts
    sequence = random_sequences(made, 1, 1)
    one, other = (make_scanner(make_chain(m)).scan(sequence).pads for m in (small, made))
    assert np.abs(one - other).max() < 1e-9
