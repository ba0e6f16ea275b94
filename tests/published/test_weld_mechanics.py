"""The weld model against elasticity: shrink fit of an insert, free closing, free folding.

Insert: thin disc of radius a in a ring of outer radius R, interference S on the radius, both of the same sheet. Under a
pressure p the disc's edge moves p a (1 - nu) / E and the hole's edge p a ((R^2 + a^2) / (R^2 - a^2) + nu) / E (Lame,
exact); for R far out p = E S / (2 a).
"""

from __future__ import annotations

import numpy as np
import pytest
from mesh_shapes import circle, rectangle
from weld_tasks import inherent, unyielding

from cutplan.fem.outline import lengths_along
from cutplan.welding.distortion import Bead, OrderOptions, PadPoints, Sheet, WeldTask
from cutplan.welding.distortion.chain.elastic import make_chain
from cutplan.welding.distortion.chain.yielding import Run, follow_yielding
from cutplan.welding.distortion.model.condensed import MOVES, Model, make_model

E_MOD, NU, THICK = 206_000.0, 0.3, 3.0
INNER, OUTER = 100.0, 900.0


def insert_model(shrink: float, triangles: int, width: float = 0.1) -> Model:
    """A disc in a wide ring, twenty-four stitches all round."""
    plate = Sheet(circle(INNER), (), THICK, 0.0, E_MOD, NU)
    skin = Sheet(circle(OUTER), (circle(INNER),), THICK, 0.0, E_MOD, NU)
    whole = float(lengths_along(plate.outer, True)[-1])
    beads = [Bead(f"S{i}", "stitch", i * whole / 24, (i + 1) * whole / 24) for i in range(24)]
    task = WeldTask(plate, skin, plate.outer, 0.0, width, pads=(PadPoints("p", (0.0, 0.0)),))
    options = OrderOptions(triangles=triangles, flush_N_per_mm=0.0)
    return make_model(task, beads, [inherent(shrink, 0.0, 0.0)] * 24, options)


def pressed_at_once(model: Model, shrink: float) -> np.ndarray:
    """Tension across the joint at each station when all shrink together [N/mm2]."""
    springs = model.spring_count
    wish = np.zeros(springs)
    wish[0::MOVES] = shrink
    both = model.compliance[:springs, :springs] + np.diag(model.give)
    return np.asarray(np.linalg.solve(both, wish)[0::MOVES] / model.section_mm2)


def test_insert_that_shrinks_at_once_has_the_pressure_of_a_shrink_fit() -> None:
    shrink, width = 0.2, 0.1
    ring = (OUTER**2 + INNER**2) / (OUTER**2 - INNER**2)
    exact = E_MOD * shrink / (INNER * (1 + ring) + width)  # exact, the weld metal being a strip of its own width
    tension = pressed_at_once(insert_model(shrink, 1600, width), shrink)
    assert tension.mean() == pytest.approx(exact, rel=0.005)
    assert tension == pytest.approx(np.full(48, exact), rel=0.02)
    # published, welding reference 1.3: E S / (2 a) = 206 N/mm2 in an endless sheet
    assert exact == pytest.approx(206.0, rel=0.015)


def test_mean_tension_after_an_order_is_the_shrink_fit_of_all_that_closed() -> None:
    """What had closed when a station was laid stays closed: mean tension = fit of S plus the mean closing (exact)."""
    shrink, width = 0.2, 0.1
    model = insert_model(shrink, 1600, width)
    left = follow_yielding(Run(make_chain(model), np.arange(48), unyielding(model)))
    closing, pull = left.closing[0], left.forces[0, 0::MOVES]
    ring = (OUTER**2 + INNER**2) / (OUTER**2 - INNER**2)
    fit = E_MOD * (shrink + closing.mean()) / (INNER * (1 + ring) + width)
    assert closing.mean() > 0.1  # once round zips the gap up ahead of the arc
    assert np.mean(pull / model.section_mm2) == pytest.approx(fit, rel=0.005)


def side_task(angle: float, shrink: float) -> tuple[WeldTask, list[Bead], list[object]]:
    """A plate whose right side faces the skin; its other sides are far from it, so it is free to move."""
    plate = Sheet(rectangle(0, 0, 120, 80), (), 4.0, 0.0, E_MOD, NU)
    skin = Sheet(rectangle(-60, -60, 220, 140), (rectangle(-30, -30, 121, 110),), 3.0, 0.0, E_MOD, NU, wall_held=True)
    pads = (PadPoints("p", (60.0, 40.0), ((20.0, 20.0), (100.0, 20.0), (100.0, 60.0), (20.0, 60.0))),)
    task = WeldTask(plate, skin, plate.outer, 0.0, 1.0, pads=pads)
    # the right side is 120 to 200 along the outline
    beads = [Bead("T1", "tack", 155, 165), Bead("T2", "tack", 124, 132), Bead("T3", "tack", 188, 196)]
    return task, beads, [inherent(shrink, 0.0, angle)] * 3


def test_two_free_parts_close_by_the_shrinkage() -> None:
    task, beads, shrinks = side_task(0.0, 0.3)
    model = make_model(task, beads, shrinks, OrderOptions(triangles=1200))  # type: ignore[arg-type]
    closing = follow_yielding(Run(make_chain(model), np.arange(3), unyielding(model))).closing[0]
    # exact: free parts close evenly by S at the first tack; the second closes S more there and turns the plate about
    # the first, which opens the gap by S at the third, just as far on the other side
    assert closing == pytest.approx([0.0, 0.3, 0.0], abs=0.003)


def test_free_part_folds_up_by_the_angle() -> None:
    task, beads, shrinks = side_task(0.02, 0.0)
    soft = OrderOptions(triangles=1200, flush_N_per_mm=0.0, hold_out_of_plane_N_per_mm=1e-4)
    model = make_model(task, beads[:1], shrinks[:1], soft)  # type: ignore[arg-type]
    pads = follow_yielding(Run(make_chain(model), np.arange(1), unyielding(model))).outputs[0]
    # order of vertices is by number: match heights to places
    for place, height in zip(model.pads.place, pads[:4], strict=True):
        assert height == pytest.approx(0.02 * (120.0 - place[0]), rel=0.01)  # exact: far end rises to the torch side


def test_a_model_with_more_shrinkage_closes_in_proportion() -> None:
    small, large = (pressed_at_once(insert_model(s, 900), s) for s in (0.1, 0.3))
    assert large == pytest.approx(3 * small, rel=1e-9)
