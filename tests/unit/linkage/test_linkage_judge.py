"""An independent judge: the constraints given to a general solver, which knows nothing of circles, branches or closed forms."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import fsolve
from scipy.spatial.transform import Rotation
from steering_studies import random_sides

from cutplan.linkage.solved.side import Side, loop_of
from cutplan.linkage.solved.steer import outer_joint, steer_loop
from cutplan.linkage.solved.suspension import carried, toe_and_wheel
from cutplan.linkage.solved.vectors import Floats

COUNT = 1000
#: What the closed form and the general solver may differ by [mm and rad].
SAME = 1e-9


def one(sides: Side, i: int) -> Side:
    return Side(*(getattr(sides, n)[i] for n in ("low", "high", "outer", "inner", "spin", "way")))


def solved_joint(side: Side, travel: float, steps: int = 8) -> Floats:
    """Place of the outer joint from three distances, followed from straight ahead in steps."""
    kept = [np.linalg.norm(side.outer - p) for p in (side.low, side.high, side.inner)]
    found = side.outer
    for s in np.linspace(0.0, travel, steps + 1)[1:]:
        centres = np.stack([side.low, side.high, side.inner + s * side.way])
        found, _, ok, _ = fsolve(
            lambda x, c=centres: ((x - c) ** 2).sum(axis=1) / 1e4 - np.square(kept) / 1e4,
            found,
            fprime=lambda x, c=centres: 2.0 * (x - c) / 1e4,
            xtol=1e-14,
            full_output=True,
        )
        assert ok in (1, 4, 5) or np.abs(((found - centres) ** 2).sum(axis=1) - np.square(kept)).max() < 1e-8
    return np.asarray(found)


def frame(side: Side, joint: Floats) -> Floats:
    """Orthonormal frame of a knuckle from its axis and the joint, by factorising, not by formula."""
    q, r = np.linalg.qr(
        np.column_stack([side.high - side.low, joint - side.low, np.cross(side.high - side.low, joint - side.low)])
    )
    return np.asarray(q * np.sign(np.diag(r)))


def test_a_thousand_random_linkages_close_where_a_general_solver_closes_them() -> None:
    sides = random_sides(COUNT, 20)
    travel = np.array([-45.0, 30.0])
    ours, angles = outer_joint(sides, travel), steer_loop(loop_of(sides), travel)
    judged, worst = 0, [0.0, 0.0]
    for i in range(COUNT):
        side = one(sides, i)
        for j, s in enumerate(travel):
            if not np.isfinite(angles.steer[i, j]) or angles.lever[i, j] < 0.1:
                continue
            theirs = solved_joint(side, s)
            spin = frame(side, theirs) @ frame(side, side.outer).T @ side.spin
            worst[0] = max(worst[0], float(np.abs(theirs - ours[i, j]).max()))
            worst[1] = max(worst[1], abs(float(np.arctan2(-spin[0], spin[1]) - angles.steer[i, j])))
            judged += 1
    assert judged > 1.8 * COUNT
    assert max(worst) < SAME, worst


def test_a_planted_fault_is_seen_by_the_judge() -> None:
    side = one(random_sides(1, 3), 0)
    wrong = Side(side.low, side.high, side.outer, side.inner + np.array([0.0, 0.0, 1e-4]), side.spin, side.way)
    assert np.abs(outer_joint(wrong, np.array([30.0]))[0] - solved_joint(side, 30.0)).max() > 1e3 * SAME


def test_no_closing_beyond_the_travel_told_and_closing_just_inside() -> None:
    from cutplan.linkage.solved.over_centre import over_centre

    sides = random_sides(300, 7)
    below, above = over_centre(loop_of(sides))
    assert np.isfinite(below).all() and np.isfinite(above).all() and (below < 0).all() and (above > 0).all()
    for share, closes in ((0.999, True), (1.001, False)):
        for end in (below, above):
            for i in range(300):
                steer = steer_loop(loop_of(one(sides, i)), np.array([share * end[i]])).steer
                assert np.isfinite(steer[0]) == closes


@pytest.mark.parametrize("kind", ["two", "strut"])
def test_a_carried_knuckle_keeps_every_distance_and_turns_as_a_rigid_body(kind: str) -> None:
    """Against a general solver with the rotation and place of the knuckle as six unknowns."""
    rng = np.random.default_rng(11)
    rise = np.array([-50.0, -20.0, 0.0, 35.0])
    worst = 0.0
    for i in range(20):
        side = one(random_sides(20, 5), i)
        jitter = rng.uniform(-15.0, 15.0, (5, 3))
        lower = (np.array([120.0, 330, 215]) + jitter[0], np.array([-130.0, 330, 215]) + jitter[1])
        two = (np.array([80.0, 370, 430]) + jitter[2], np.array([-90.0, 370, 420]) + jitter[3])
        strut = side.low + 0.45 * (side.high - side.low) + jitter[4]
        wheel = np.array([0.0, 620.0, 0.0])
        upper = two if kind == "two" else strut
        angle, contact = toe_and_wheel(side, carried(side, wheel, lower, upper, rise))
        for j, z in enumerate(rise):
            turn, shift = _knuckle(side, lower, upper, z)
            spin = turn.apply(side.spin)
            theirs = turn.apply(wheel - side.low) + side.low + shift
            worst = max(worst, abs(float(np.arctan2(-spin[0], spin[1]) - angle[j])))
            worst = max(worst, float(np.abs(theirs - contact[j]).max()) / 100.0)
    assert worst < SAME, worst


def _knuckle(
    side: Side, lower: tuple[Floats, Floats], upper: tuple[Floats, Floats] | Floats, rise: float
) -> tuple[Rotation, Floats]:
    rod = np.linalg.norm(side.outer - side.inner)
    found = np.zeros(6)
    for z in np.linspace(0.0, rise, 4)[1:] if rise else [0.0]:

        def misses(x: Floats, z: float = z) -> list[float]:
            turn = Rotation.from_rotvec(x[:3])
            low, shift = side.low + x[3:], x[3:]

            def moved(p: Floats) -> Floats:
                return np.asarray(turn.apply(p - side.low) + side.low + shift)

            out = [low[2] - side.low[2] - z, np.linalg.norm(moved(side.outer) - side.inner) - rod]
            out += [np.linalg.norm(low - p) - np.linalg.norm(side.low - p) for p in lower]
            if isinstance(upper, tuple):
                out += [np.linalg.norm(moved(side.high) - p) - np.linalg.norm(side.high - p) for p in upper]
            else:
                line = moved(side.high) - moved(upper)
                off = np.cross(side.high - moved(upper), line) / np.linalg.norm(line)
                across = np.linalg.svd(line[None])[2][1:]
                out += list(across @ off)
            return [float(v) for v in out]

        found, _, _, _ = fsolve(misses, found, xtol=1e-13, full_output=True)
    assert np.abs(misses(found, rise)).max() < 1e-8
    return Rotation.from_rotvec(found[:3]), np.asarray(found[3:])
