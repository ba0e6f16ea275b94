"""Sleeves and ribs after the stitches: line loads move a free strip exactly; the chain equals the whole plate solved again."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

import numpy as np
import pytest
from later_parts import made
from mesh_shapes import rectangle
from scipy import sparse
from scipy.integrate import trapezoid
from weld_tasks import seam

from cutplan.fem.bending import bending_stiffness
from cutplan.fem.generate import mesh_region
from cutplan.fem.membrane import membrane_stiffness
from cutplan.fem.solve import factored
from cutplan.tables.band import Band
from cutplan.welding.distortion import Inherent, OrderOptions, Sheet
from cutplan.welding.distortion.chain.elastic import Chain, make_chain
from cutplan.welding.distortion.compare import Judged, World, judge_orders
from cutplan.welding.distortion.draws import drawn, variates, yields_of
from cutplan.welding.distortion.later.drawn import LaterDraws, later_drawn
from cutplan.welding.distortion.later.end import Rest, added_by, later_worlds, rest_of, to_the_end
from cutplan.welding.distortion.later.follow import LaterWorld, follow_later
from cutplan.welding.distortion.later.line_loads import line_loads
from cutplan.welding.distortion.later.parts import LaterPart
from cutplan.welding.distortion.later.plan import later_orders, orders_of, plan_later
from cutplan.welding.distortion.later.rows import LOOSE_N_PER_MM, PartRows, part_rows
from cutplan.welding.distortion.later.stiffening import begun, stiffening
from cutplan.welding.distortion.later.world import alone, later_chain, moved_by
from cutplan.welding.distortion.model.condensed import make_model
from cutplan.welding.distortion.search.follower import Follower
from cutplan.welding.distortion.search.judge import Judge, make_judge
from cutplan.welding.distortion.search.orders import people_orders

LONG, WIDE, THICK, MODULUS = 200.0, 60.0, 4.0, 206_000.0


@pytest.mark.parametrize(
    ("row", "lengthwise", "turned"),
    [(0, False, 0.5), (0, True, 0.3), (1, True, 0.0), (1, True, 0.5), (2, False, 0.5), (2, True, 0.3)],
)
def test_a_line_in_a_free_strip_moves_its_ends_exactly(row: int, lengthwise: bool, turned: float) -> None:
    """A strip at any angle, and a line across it at 97.3 mm or from end to end above the middle."""
    turn = np.array([[np.cos(turned), np.sin(turned)], [-np.sin(turned), np.cos(turned)]])
    sheet = Sheet(rectangle(0.0, 0.0, LONG, WIDE, 0.0) @ turn, (), THICK)
    mesh = mesh_region(sheet.outer, size_mm=9.0)
    at = (np.arange(400) + 0.5) / 400
    places = np.column_stack([LONG * at, np.full(400, 31.7)] if lengthwise else [np.full(400, 97.3), WIDE * at])
    height = 3.0
    pieces = np.full(400, (LONG if lengthwise else WIDE) / 400)
    loads = line_loads(sheet, mesh, places @ turn, pieces, height)
    flat = membrane_stiffness(mesh, THICK, MODULUS, 0.3)
    bent = bending_stiffness(mesh, THICK, MODULUS, 0.3)
    u = _moved(flat, loads.membrane[row]).reshape(-1, 2)[: len(mesh.points)] @ turn.T
    slope = _moved(bent, loads.bending[row]).reshape(-1, 3)[:, 1:] @ turn.T
    points = mesh.points @ turn.T
    ends = [np.flatnonzero(np.abs(points[:, 0] - x) < 1e-6) for x in (0.0, LONG)]

    def mean(values: np.ndarray, vertices: np.ndarray) -> float:
        order = vertices[np.argsort(points[vertices, 1])]
        return float(trapezoid(values[order], points[order, 1]) / WIDE)

    closer, fold = (mean(v[:, 0], ends[1]) - mean(v[:, 0], ends[0]) for v in (u, slope))
    # exact: shrinkage brings the halves 1 mm closer across the line and leaves them as long, a fold of 1 turns them by 1;
    # a pull of 1 N shortens by L / (E A) and bends by F z L / (E I). Means at vertices miss the bulge of an edge between
    area, second = WIDE * THICK, WIDE * THICK**3 / 12.0
    exact = {
        (0, False): (-1.0, 0.0),
        (0, True): (0.0, 0.0),
        (1, True): (-LONG / (MODULUS * area), height * LONG / (MODULUS * second)),
        (2, False): (0.0, 1.0),
        (2, True): (0.0, 0.0),
    }[row, lengthwise]
    assert closer == pytest.approx(exact[0], rel=0.02, abs=0.0 if exact[0] else 0.02 if row == 0 else 1e-9)
    assert fold == pytest.approx(exact[1], rel=0.02, abs=0.0 if exact[1] else 0.02 if row == 2 else 1e-9)


def _moved(stiffness: sparse.csc_matrix, load: sparse.csr_matrix) -> np.ndarray:
    """Displacement of a sheet that next to nothing holds."""
    held = stiffness + 1e-4 * sparse.eye(stiffness.shape[0], format="csc")
    return np.asarray(factored(held)(load.toarray()[0]))


def world(parts_of: str, wishes: tuple[np.ndarray, ...], bears: float = np.inf) -> tuple[Chain, LaterWorld]:
    task, parts = made(parts_of)
    beads, shrinks = seam(task.path, 4, 6)
    model = make_model(task, beads, shrinks, OrderOptions(triangles=500))
    rows, out = part_rows(model.sheets.bodies[0], parts)
    assert not out
    chain = make_chain(model)
    later = later_chain(chain, moved_by(alone(model.sheets.bodies[0]), rows))
    borne = tuple(np.full((1, r.count), bears if r.part.kind == "sleeve" else np.inf) for r in rows)
    movements = model.spring_count - model.brace_count
    draws = LaterDraws(wishes, np.full((1, movements), np.inf if bears == np.inf else 1e5), borne)
    return chain, LaterWorld(later, tuple(rows), draws)


def wanted(part: str) -> np.ndarray:
    """Shrinkage, pull and fold of each bead, all different, (1, 3, beads)."""
    beads = 4 if part == "s" else 2
    return np.array(
        [[[0.1 + 0.02 * b for b in range(beads)], [15e3] * beads, [0.01 - 0.001 * b for b in range(beads)]]]
    )


def solved_again(
    chain: Chain, rows: tuple[PartRows, ...], order: list[int], wishes: tuple[np.ndarray, ...], brace_N: np.ndarray
) -> np.ndarray:
    """Pad outputs by the whole assembled part, solved at every bead; nothing is condensed."""
    model = chain.model
    bodies = model.sheets.bodies
    stiff = [m for b in bodies for m in (b.membrane, b.bending)]
    edges = np.cumsum([0, *(m.shape[0] for m in stiff)])
    whole = sparse.hstack(model.sheets.rows).tocsr()
    joint = whole[model.brace_count : model.spring_count]
    give = model.give[model.brace_count :]
    bare = sparse.block_diag(stiff) + joint.T @ sparse.diags(1.0 / give) @ joint
    magnets = whole[: model.brace_count]
    brace = magnets.T @ sparse.diags(1.0 / model.give[: model.brace_count]) @ magnets
    total = bare + brace

    def on_plate(pair: tuple[sparse.csr_matrix, sparse.csr_matrix]) -> sparse.csr_matrix:
        rest = sparse.csr_matrix((pair[0].shape[0], edges[-1] - edges[2]))
        return sparse.hstack([pair[0], pair[1], rest]).tocsr()

    springs = [on_plate(r.springs) for r in rows]
    # the brace pushes before anything is joined, and the joint is made stress-free there
    pushed = magnets.T @ brace_N
    start = factored(sparse.csc_matrix(sparse.block_diag(stiff)))(pushed)
    moved = np.zeros(edges[-1])
    on: list[list[int]] = [[] for _ in rows]
    for number in order:
        one = rows[number]
        for bead in range(len(one.part.beads)):
            shrink, pull, fold = wishes[number][0, :, bead]
            load = np.zeros(edges[-1])
            wish = np.zeros(one.count)
            if one.part.kind == "sleeve":
                on[number] += list(range(4 * bead, 4 * bead + 4))
                wish[4 * bead], wish[4 * bead + 3] = shrink, -fold
            else:
                on[number] = list(range(one.count))
                load = on_plate(one.loads).T @ np.array([shrink, pull if bead == 0 else 0.0, -fold])
            held = total.copy()
            for r, some, s in zip(rows, on, springs, strict=True):
                if some:
                    law = np.linalg.inv(r.own[np.ix_(some, some)])
                    held = held + s[some].T @ sparse.csr_matrix(law) @ s[some]
                    if r is one and wish.any():
                        load = load + s[some].T @ (law @ wish[some])
            moved += factored(sparse.csc_matrix(held))(load)
    moved += factored(sparse.csc_matrix(held - brace))(brace @ moved - pushed)  # the brace lets go
    return np.asarray((whole @ (start + moved))[model.outputs])


@pytest.mark.parametrize(("parts", "order"), [("s", [0]), ("r", [0]), ("sr", [0, 1]), ("sr", [1, 0])])
def test_the_chain_equals_the_whole_part_solved_again_at_every_bead(parts: str, order: list[int]) -> None:
    wishes = tuple(wanted(p) for p in parts)
    chain, mine = world(parts, wishes)
    outputs = chain.model.output_count
    braced = chain.model.brace_count
    left = np.zeros((1, mine.later.stitched))
    left[0, :braced] = 40.0 * np.arange(1, braced + 1)
    got = follow_later([mine], order, [[(left, np.zeros((1, outputs)))]])[-1].outputs()[0, 0]
    exact = solved_again(chain, mine.rows, order, wishes, left[0, :braced])
    assert np.abs(exact).max() > 0.01  # it moves the pads: a millimetre times a fold of a hundredth at least
    assert got == pytest.approx(exact, rel=1e-6, abs=1e-9)


def test_what_a_part_leaves_does_not_know_of_the_parts_after_it() -> None:
    chain, mine = world("sr", (wanted("s"), wanted("r")), bears=2000.0)
    stitched = [[(np.zeros((1, mine.later.stitched)), np.zeros((1, chain.model.output_count)))]] * 2
    both, first = follow_later([mine], [0, 1], stitched), follow_later([mine], [0], stitched)
    # exact: asked for once all parts are joined, the first one's is what it was when it was the last
    assert both[0].outputs() == pytest.approx(first[0].outputs(), rel=1e-7, abs=1e-10)
    assert both[0].outputs(1, 2) == pytest.approx(both[0].outputs()[1:], rel=1e-7, abs=1e-10)
    assert np.abs(both[1].outputs() - both[0].outputs()).max() > 0.01


def test_a_sleeves_fillet_flows_at_what_it_bears_and_lifts_the_pads_rim() -> None:
    task_pads = made("s")[0].pads
    chain, mine = world("s", (wanted("s"),), bears=2000.0)
    zero = np.zeros((1, mine.later.stitched))
    start = np.zeros((1, chain.model.output_count))
    held = follow_later([mine], [0], [[(zero, start)]])[-1].outputs()[0, 0]
    free = follow_later([world("s", (wanted("s"),))[1]], [0], [[(zero, start)]])[-1].outputs()[0, 0]
    rim = slice(sum(chain.model.pads.sizes[: len(task_pads) - 1]), sum(chain.model.pads.sizes))
    far = slice(0, chain.model.pads.sizes[0])
    # fillets on the torch side raise what lies round the sleeve, less where metal flows
    assert free[rim].mean() > free[far].mean()
    assert np.ptp(held[: len(chain.model.pads.place)]) < np.ptp(free[: len(chain.model.pads.place)])


def test_orders_take_sleeves_first_then_ribs_from_the_middle() -> None:
    bead = Inherent(*(Band(0.0, 1.0, 2.0, u, "test") for u in ("mm", "N", "rad")))

    def part(name: str, kind: str, x: float) -> LaterPart:
        line = np.array([[x, 0.0], [x, 10.0]])
        return LaterPart(name, kind, (line, line[::-1]), np.ones(2), 0.0, 1.0, bead)  # type: ignore[arg-type]

    parts = [part("R1", "rib", 90.0), part("H1", "sleeve", 0.0), part("R2", "rib", 55.0), part("R3", "rib", 10.0)]
    found = later_orders(parts, (50.0, 5.0))
    assert found == {
        "sleeves first": (1, 2, 0, 3),  # exact: 5, 40 and 40 mm from the middle, the first named of equals first
        "ribs first": (2, 0, 3, 1),
        "outer ribs first": (1, 3, 0, 2),
    }
    assert list(later_orders(parts[:1], (50.0, 5.0))) == ["sleeves first"]


def test_a_sleeve_that_moves_with_the_plate_feels_nothing() -> None:
    """Exact: the ring's own compliance is that of six movements, and each moves the hole's edge as the plate's own would."""
    task, parts = made("s")
    beads, shrinks = seam(task.path, 4, 6)
    plate = make_model(task, beads, shrinks, OrderOptions(triangles=500)).sheets.bodies[0]
    (rows,), _ = part_rows(plate, parts)
    mesh, middle = plate.mesh, np.array([75.0, 80.0])
    nodes = np.vstack([mesh.points, mesh.points[mesh.edges].mean(axis=1)]) - middle
    moves = []
    for k in range(6):
        x, y, turn, lift, tilt_x, tilt_y = np.eye(6)[k]
        flat = np.array([x, y]) + turn * np.column_stack([-nodes[:, 1], nodes[:, 0]])
        at = nodes[: len(mesh.points)]
        bent = np.column_stack([lift + at @ [tilt_x, tilt_y], np.full(len(at), tilt_x), np.full(len(at), tilt_y)])
        moves.append(rows.springs[0] @ flat.ravel() + rows.springs[1] @ bent.ravel())
    edge = np.array(moves).T
    loose = np.array([1.0, 1.0, 1.0 / 13.0**2, 1.0, 1.0 / 13.0**2, 1.0 / 13.0**2]) / LOOSE_N_PER_MM
    shared = rows.own - edge * loose @ edge.T
    assert np.abs(shared - np.diag(np.diag(shared))).max() < 1e-6
    assert (np.diag(shared) > 0.0).all() and np.diag(shared)[0] < 1e-5  # what is left is the fillet's give
    # closing is towards the sleeve: an edge that shrinks onto it closes all four quarters alike
    inward = (-nodes).ravel()
    assert (rows.springs[0] @ inward)[0::4] == pytest.approx(13.0, rel=0.03)


def test_stiffness_that_grows_is_the_inverse_of_what_is_joined() -> None:
    """Exact: whatever the turn, the stiffness of what is joined is the inverse of its compliance, brace on or let go."""
    half = np.random.default_rng(5).standard_normal((14, 14))
    compliance = half @ half.T + 0.1 * np.eye(14)
    turn = np.array(
        [0, 1, 2, 3, 4, 5, 10, 11, 12, 13, 6, 7, 8, 9]
    )  # six stitched, then the second part before the first
    for start in (0, 2):
        part = stiffening([compliance], [begun(compliance, start, 6)], turn, start)
        for end in (10, 12, 14):
            joined = turn[start:end]
            assert part.upto(end)[0] == pytest.approx(np.linalg.inv(compliance[np.ix_(joined, joined)]), rel=1e-9)


@lru_cache
def judged_seam() -> tuple[Rest, list[World], Judge, list[Judged]]:
    task, parts = made("sr")
    beads, shrinks = seam(task.path, 4, 6)
    model = make_model(task, beads, shrinks, OrderOptions(triangles=400))
    rest, judge = rest_of(model, parts), make_judge(model, OrderOptions())
    assert rest is not None
    worlds = [World(make_chain(model), drawn(model, 4, 8))]
    named = {n: o for n, o in people_orders(beads).items() if n in ("once round", "skip", "sectors")}
    return rest, worlds, judge, judge_orders(worlds, judge, named)


def test_orders_are_chosen_by_how_they_end_after_all_welds() -> None:
    rest, worlds, judge, judged = judged_seam()
    ended: list[list[Judged]] = []

    def last(some: list[Judged]) -> int:
        ended.append(some)
        return len(some) - 1

    orders = orders_of(worlds[0].chain.model, rest)
    ends, chosen, plan = plan_later(rest, later_worlds(rest, worlds, 8), worlds, judge, judged, last, orders)
    assert chosen == len(judged) - 1 and ends == ended[-1]
    for before, after in zip(judged, ends, strict=True):
        # exact: each ends as it does when it is followed by itself
        [alone] = to_the_end(rest, orders[plan.chosen.name], worlds, judge, [before], 8)
        assert after.outputs == pytest.approx(alone.outputs, rel=1e-9)
        assert np.abs(after.outputs - before.outputs).max() > 0.01
        assert after.result.flatness_mm.mid == pytest.approx(float(np.median(judge.flatness_mm(alone.outputs))))
        assert after.result.stitched is not None and after.result.stitched.flatness_mm == before.result.flatness_mm
    assert plan.chosen.flatness_mm == ends[chosen].result.flatness_mm
    assert plan.after_mm[-1][1] == plan.chosen.flatness_mm and len(plan.after_mm) == 2


def test_the_search_scores_an_order_by_its_end_and_exactly_so_where_the_addition_was_taken() -> None:
    rest, worlds, judge, judged = judged_seam()
    (one,) = worlds
    turn = orders_of(one.chain.model, rest)["sleeves first"]
    added = added_by(later_worlds(rest, worlds, 8)[0], turn, one.chain, one.draws, judged[0].order)
    ends = to_the_end(rest, turn, worlds, judge, judged, 8)
    follower = Follower(one.chain, judge, one.draws, added)
    scores = [follower.follow(j.order).score for j in judged]
    assert scores[0] == pytest.approx(float(ends[0].score.mean()), rel=1e-9)  # exact
    bare = Follower(one.chain, judge, one.draws)
    for score, order, end in zip(scores[1:], judged[1:], ends[1:], strict=True):
        # elsewhere nearer to the end than the score after the stitches is
        assert abs(score - end.score.mean()) < 0.5 * abs(bare.follow(order.order).score - end.score.mean())


def test_later_welds_are_drawn_on_the_day_of_the_stitches_and_bear_what_the_weaker_metal_bears() -> None:
    """Exact: middles in the first draw, pull held by the plate beside it, limits of throat and plate, each state its days."""
    rest, worlds, _, _ = judged_seam()
    model = worlds[0].chain.model
    rows = [
        replace(r, part=replace(r.part, inherent=replace(r.part.inherent, pull_section_mm2=60.0)))
        for r in rest.on_plate(0.0)[0]
    ]
    days = variates(model, 5, 8)
    limits = drawn(model, 5, 8).limits
    got = later_drawn(model, rows, days, limits, 108)
    weld, plate, _, harder = yields_of(model.task, days)
    thick = model.task.plate.thickness_mm
    sleeve = rows[0]
    bead = sleeve.part.inherent
    held = np.minimum(bead.tendon_N.mid, 0.5 * plate[0] * 60.0)
    assert held < bead.tendon_N.mid
    assert got.wishes[0][0] == pytest.approx(np.array([[bead.shrink_mm.mid] * 4, [held] * 4, [bead.angle_rad.mid] * 4]))
    pull = np.minimum(weld * harder * sleeve.part.throat_mm, plate * harder * thick)[:, None] * sleeve.lengths_mm
    fold = (
        0.25
        * np.minimum(weld * harder * sleeve.part.throat_mm**2, plate * harder * thick**2)[:, None]
        * sleeve.lengths_mm
    )
    borne = got.part_N[0].reshape(5, 4, 4)
    assert borne[:, :, 0] == pytest.approx(pull) and borne[:, :, 3] == pytest.approx(fold)
    assert borne[:, :, 1] == pytest.approx(pull / 3.0**0.5) and np.isinf(got.part_N[1]).all()
    two = [worlds[0], replace(worlds[0], draws=drawn(model, 4, 9))]
    for i, mine in enumerate(later_worlds(rest, two, 8)):
        again = later_drawn(model, mine.rows, variates(model, 4, 8 + i), two[i].draws.limits, 108 + i)
        assert mine.draws.wishes[0] == pytest.approx(again.wishes[0])
