"""After the weld: ratios of stiffness against formulas for stepped discs, and what joint and edges do to them."""

from __future__ import annotations

from dataclasses import replace
from math import log, pi

import numpy as np
import pytest

from cutplan.fem import bending, membrane
from cutplan.fem.generate import mesh_region
from cutplan.fem.outline import inside
from cutplan.geometry.contour import rectangle
from cutplan.geometry.vector import Point
from cutplan.opening.brace.skin_model import Rows, SkinModel
from cutplan.opening.worth import Layers, least_ratio, skin_worth, worth_at
from cutplan.pattern.job import About, Job
from cutplan.pattern.joint import Joint, Span
from cutplan.pattern.opening import opening_line
from cutplan.pattern.pads import Pad
from cutplan.pattern.plate import Plate
from cutplan.pattern.skin import Skin, Walls
from cutplan.tables.steel import CARBON_STEEL

E_MOD, NU = CARBON_STEEL.modulus_N_per_mm2, CARBON_STEEL.poisson
OUTER, INNER = 200.0, 100.0


def disc(size: float = 24.0, fine: float = 12.0) -> SkinModel:
    """A round skin with a round line in it."""

    def ring(r: float, n: int) -> np.ndarray:
        q = 2.0 * pi * np.arange(n) / n
        return r * np.column_stack([np.cos(q), np.sin(q)])

    line = ring(INNER, 64)
    mesh = mesh_region(ring(OUTER, 96), lines=[line], size_mm=size, closed_lines=[True], line_size_mm=fine)
    law, bring = membrane.plane_stress(E_MOD, NU), bending.slope_map(mesh)
    bent = np.matmul(bring.transpose(0, 2, 1), np.matmul(membrane.element_stiffness(mesh, law / 12.0), bring))
    middles = mesh.points[mesh.triangles].mean(axis=1)
    return SkinModel(mesh, membrane.element_stiffness(mesh, law), bent, inside(middles, [line]))


def pushed_middle(inner_mm: float, outer_mm: float) -> float:
    """Deflection under a unit force at the middle of a clamped disc with a step in thickness.

    Exact: w = r^2 ln r / (8 pi D) + A + B r^2 within the step, with C + D r^2 + E ln r outside; w, w' and the radial moment
    go on across the step, w and w' vanish at the rim.
    """
    a, b = OUTER, INNER
    di, do = (E_MOD * t**3 / (12.0 * (1.0 - NU**2)) for t in (inner_mm, outer_mm))
    ci, co = 1.0 / (8.0 * pi * di), 1.0 / (8.0 * pi * do)

    def own(c: float, r: float) -> tuple[float, float, float]:
        return c * r * r * log(r), c * r * (2.0 * log(r) + 1.0), c * (2.0 * log(r) + 3.0)

    (w, s, k), (v, t, m), (z, y, _) = own(ci, b), own(co, b), own(co, a)
    rows = [
        [1.0, b * b, -1.0, -b * b, -log(b)],
        [0.0, 2.0 * b, 0.0, -2.0 * b, -1.0 / b],
        [0.0, 2.0 * di * (1.0 + NU), 0.0, -2.0 * do * (1.0 + NU), do * (1.0 - NU) / b**2],
        [0.0, 0.0, 1.0, a * a, log(a)],
        [0.0, 0.0, 0.0, 2.0 * a, 1.0 / a],
    ]
    right = [v - w, t - s, do * (m + NU * t / b) - di * (k + NU * s / b), -z, -y]
    return float(np.linalg.solve(rows, right)[0])


@pytest.mark.parametrize(("plate", "skin"), [(4.0, 2.0), (5.0, 3.0), (1.5, 2.0), (2.0, 2.0)])
def test_push_on_a_stepped_disc(plate: float, skin: float) -> None:
    model = disc()
    whole = np.ones(len(model.in_line), dtype=bool)
    row = model.rows([model.near(Point(0.0, 0.0), whole)])
    t = np.where(model.in_line, plate, skin)
    before, after = (model.give(row, whole, v, held=True)[1][:1, :1] for v in (skin, t))
    exact = pushed_middle(skin, skin) / pushed_middle(plate, skin)
    # 3 %: the force is spread over 15 mm here, at a point there
    assert least_ratio(before, after) == pytest.approx(exact, rel=0.03)
    (found,) = worth_at(model, skin, [Layers(whole, t, t)], [("P", Point(0.0, 0.0))])
    assert found.bent.low <= found.bent.mid <= found.bent.high
    if plate == skin:
        assert found.bent.low == pytest.approx(1.0) and found.flat.high == pytest.approx(1.0)  # exact: nothing changed


@pytest.mark.parametrize("plate", [2.0, 5.0])
def test_pull_outward_on_a_stepped_disc(plate: float) -> None:
    """Exact (Lame): the disc within takes E t u / ((1 - v) b), the ring outside, fixed at its rim, the rest."""
    skin, a, b = 3.0, OUTER, INNER
    model = disc()
    whole = np.ones(len(model.in_line), dtype=bool)
    chain, mesh = model.mesh.chains[1], model.mesh
    # a line load on quadratic sides: two thirds at their middles, one third at their ends
    sides = len(mesh.points) + mesh.edge_numbers(chain.pairs)
    nodes = np.concatenate([chain.nodes, sides])
    share = np.repeat([1.0 / 3.0, 2.0 / 3.0], len(sides)) / len(sides)
    at = np.vstack([mesh.points[chain.nodes], mesh.points[chain.pairs].mean(axis=1)])
    out = share[:, None] * at / np.hypot(*at.T)[:, None]
    flat = np.zeros((membrane.dof_count(mesh), 1))
    flat[2 * nodes, 0], flat[2 * nodes + 1, 0] = out.T
    rows = Rows(flat, np.zeros((bending.dof_count(model.mesh), 1)))
    t = np.where(model.in_line, plate, skin)
    found = float(model.give(rows, whole, t, held=True)[0][0, 0])
    inner = E_MOD * plate / ((1.0 - NU) * b)
    ring = skin * E_MOD / (1.0 - NU**2) * ((1.0 + NU) + (1.0 - NU) * a**2 / b**2) / (a**2 / b - b)
    assert found == pytest.approx(1.0 / (2.0 * pi * b * (inner + ring)), rel=0.02)


def job(joint: Joint, plate_mm: float = 3.0) -> Job:
    skin = Skin(3.0, "mild", Walls(60.0, 60.0, 40.0, 40.0))
    pads = (Pad("left", Point(60.0, 60.0)), Pad("right", Point(190.0, 60.0)))
    return Job(About("worth"), Plate(rectangle(0.0, 0.0, 250.0, 120.0, 20.0), (), plate_mm), joint, skin, pads)


def worth(made: Job) -> dict[str, tuple[float, float, float, float]]:
    found = skin_worth(made, opening_line(made).oriented(ccw=True), 300)
    return {w.pad: (w.flat.low, w.flat.high, w.bent.low, w.bent.high) for w in found}


def test_the_same_plate_welded_in_is_worth_the_same() -> None:
    for values in worth(job(Joint("butt", 1.0))).values():
        assert values == pytest.approx((1.0,) * 4, rel=1e-9)  # exact: a butt weld of one thickness restores the skin


def test_an_edge_without_weld_is_worth_less_and_a_thicker_plate_more() -> None:
    whole, open_ = worth(job(Joint("butt", 1.0))), worth(job(Joint("butt", 1.0, 0.0, (Span(20.0, 230.0),))))
    thick = worth(job(Joint("butt", 1.0), 5.0))
    for pad in whole:
        # at best nothing is lost, at worst the strip beside that edge carries nothing
        assert open_[pad][0] < 0.98 and open_[pad][2] < 0.99 and open_[pad][1] == pytest.approx(1.0)
        assert thick[pad][0] > 1.0 and thick[pad][2] > 2.0
        # exact: nothing but a plate over the whole skin is worth more than its thickness, and its cube
        assert thick[pad][1] < 5.0 / 3.0 and thick[pad][3] < (5.0 / 3.0) ** 3


def test_layers_of_a_lap_work_together_at_best_and_apart_at_worst() -> None:
    lap, butt = worth(job(Joint("lap", 0.0, 25.0))), worth(job(Joint("butt", 0.0)))
    for pad in lap:
        assert lap[pad][3] - lap[pad][2] > butt[pad][3] - butt[pad][2]
        assert lap[pad][0] >= 1.0 and lap[pad][2] > 1.0


def test_a_job_without_pads_and_holes_has_no_figures() -> None:
    made = replace(job(Joint("butt", 1.0)), pads=())
    assert skin_worth(made, opening_line(made).oriented(ccw=True)) == ()
