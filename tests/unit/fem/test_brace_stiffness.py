"""A brace as fitted: its stiffness at the fixings against closed forms and against a frame solver that is not ours."""

from __future__ import annotations

import numpy as np
import pytest

from cutplan.fem.brace import BraceStiffness, brace_stiffness
from cutplan.geometry.vector import Point
from cutplan.pattern.brace import BraceBar, BraceFoot, FittedBrace
from cutplan.tables.brace_sections import NARROW, SECTIONS, USUAL, BraceSection
from cutplan.tables.steel import CARBON_STEEL

E = CARBON_STEEL.modulus_N_per_mm2
SKIN_MM = 2.5


def bar_on_feet(section: BraceSection, length: float, height: float, turn: float = 0.0, feet: int = 2) -> FittedBrace:
    spots = [Point(k * length / (feet - 1), 0.0).turned(turn) for k in range(feet)]
    made = tuple(BraceFoot(p, 20.0, section.width_mm, height) for p in spots)
    return FittedBrace("across", (BraceBar("bar 1", spots[0], spots[-1], section, height, made),))


def give(brace: BraceStiffness, load: np.ndarray) -> float:
    """Movement under a self-balanced load, per unit of it: the rigid movements take no part."""
    return float(load @ np.linalg.lstsq(brace.matrix, load, rcond=1e-10)[0])


def pull(x: float, y: float, n: int) -> np.ndarray:
    load = np.zeros((n, 5))
    load[0, :2], load[-1, :2] = (-x, -y), (x, y)
    return load.ravel()


@pytest.mark.parametrize("section", [*SECTIONS, NARROW], ids=lambda s: f"{s.kind}{s.size_mm:g}{'e' * s.on_edge}")
def test_pull_between_the_ends_of_a_bar_flat_on_the_skin(section: BraceSection) -> None:
    # exact: eccentric bar, feet free to turn: L / (E A) + e^2 L / (E I)
    length = 300.0
    e = 0.5 * SKIN_MM + section.centroid_mm
    exact = length / (E * section.area_mm2) + e * e * length / (E * section.inertia_mm4)
    got = give(brace_stiffness(bar_on_feet(section, length, 0.0), SKIN_MM), pull(1.0, 0.0, 2))
    assert got == pytest.approx(exact, rel=0.002)


def test_pull_under_a_bar_on_posts() -> None:
    # exact: portal with stiff corners, bases free to turn: L / (E A) + h^2 L / (E I) + 2 h^3 / (3 E I)
    length, height, s = 400.0, 120.0, USUAL
    h = height + s.centroid_mm + 0.5 * SKIN_MM
    exact = length / (E * s.area_mm2) + h * h * length / (E * s.inertia_mm4) + 2.0 * h**3 / (3.0 * E * s.inertia_mm4)
    got = give(brace_stiffness(bar_on_feet(s, length, height), SKIN_MM), pull(1.0, 0.0, 2))
    assert got == pytest.approx(exact, rel=1e-6)


def test_moments_that_fold_the_ends() -> None:
    # exact: L / (E I) whatever the height, since no force acts
    load = np.zeros((2, 5))
    load[0, 3], load[1, 3] = -1.0, 1.0
    for height in (0.0, 90.0):
        got = give(brace_stiffness(bar_on_feet(USUAL, 250.0, height), SKIN_MM), load.ravel())
        posts = 2.0 * (height + USUAL.centroid_mm + 0.5 * SKIN_MM) / (E * USUAL.inertia_mm4) if height else 0.0
        assert got == pytest.approx(250.0 / (E * USUAL.inertia_mm4) + posts, rel=0.001)


def test_turned_and_moved_it_stays_the_same() -> None:
    straight = give(brace_stiffness(bar_on_feet(USUAL, 300.0, 60.0), SKIN_MM), pull(1.0, 0.0, 2))
    for turn in (0.4, 1.5707963, 2.9):
        load = pull(float(np.cos(turn)), float(np.sin(turn)), 2)
        got = give(brace_stiffness(bar_on_feet(USUAL, 300.0, 60.0, turn), SKIN_MM), load)
        assert got == pytest.approx(straight, rel=1e-9)


@pytest.mark.parametrize(
    ("height", "feet", "section"), [(0.0, 3, USUAL), (78.0, 2, USUAL), (125.0, 3, SECTIONS[2]), (0.0, 2, NARROW)]
)
def test_another_frame_solver_agrees(height: float, feet: int, section: BraceSection) -> None:
    solver = pytest.importorskip("Pynite")
    brace = bar_on_feet(section, 420.0, height, 0.3, feet)
    ours = brace_stiffness(brace, SKIN_MM)
    bar = brace.bars[0]
    for loaded in range(5):
        model = solver.FEModel3D()
        model.add_material("steel", E, E / 2.6, 0.3, 7.85e-6)
        s = section
        model.add_section("bar", s.area_mm2, s.lateral_mm4, s.inertia_mm4, s.torsion_mm4)
        model.add_section("stub", 1e3 * s.area_mm2, 1e3 * s.lateral_mm4, 1e3 * s.inertia_mm4, 1e3 * s.torsion_mm4)
        for k, f in enumerate(bar.feet):
            model.add_node(f"B{k}", f.at.x, f.at.y, -0.5 * SKIN_MM)
            model.add_node(f"T{k}", f.at.x, f.at.y, bar.axis_mm)
            model.add_member(f"P{k}", f"B{k}", f"T{k}", "steel", "bar" if f.height_mm else "stub")
        for k in range(feet - 1):
            # turned so that its height points along z: that solver lays level members with y up
            model.add_member(f"M{k}", f"T{k}", f"T{k + 1}", "steel", "bar", rotation=90.0)
        for k in range(feet):
            model.def_support(f"B{k}", True, True, True, True, True, False)
        move = ("DX", "DY", "DZ", "RX", "RY")[loaded]
        model.def_node_disp("B0", move, 1e-3)
        model.analyze(log=False)
        sign = {"RX": 4, "RY": 3}.get(move)
        column = ours.matrix.reshape(feet, 5, feet, 5)[:, :, 0, loaded if sign is None else sign] * 1e-3
        column = column * (-1.0 if move == "RY" else 1.0)
        for k in range(feet):
            n = model.nodes[f"B{k}"]
            theirs = np.array(
                [n.RxnFX["Combo 1"], n.RxnFY["Combo 1"], n.RxnFZ["Combo 1"], -n.RxnMY["Combo 1"], n.RxnMX["Combo 1"]]
            )
            scale = np.array([1.0, 1.0, 1.0, 100.0, 100.0])
            most = float(np.abs(ours.matrix.reshape(feet, 5, feet, 5)[:, :, 0, :]).max()) * 1e-3
            assert column[k] / scale == pytest.approx(theirs / scale, abs=0.005 * most / 100.0, rel=0.01)
