"""The skin model: exact plate and membrane answers, and what the brace does."""

from __future__ import annotations

from dataclasses import replace
from math import pi

import numpy as np
import pytest

from cutplan.geometry.contour import rectangle
from cutplan.geometry.vector import Point
from cutplan.opening.brace.plate_grid import Grid, cell_stiffness, compliance, membrane_stiffness
from cutplan.opening.brace.stiffness import open_stiffness
from cutplan.pattern.job import Job
from cutplan.pattern.pads import Brace, Pad
from cutplan.pattern.plate import Plate
from cutplan.pattern.skin import Skin, Walls
from cutplan.pattern.wishes import OpeningWork


def middle_deflection(n: int, clamped: bool) -> float:
    grid = Grid(0.0, 0.0, n, n, 100.0 / n, 100.0 / n)
    cell = cell_stiffness(100.0 / n, 100.0 / n, 1000.0, 0.3)
    node = (n // 2) * (n + 1) + n // 2
    fixed = [3 * k + i for k in grid.border for i in (range(3) if clamped else range(1))]
    keep = np.ones(n * n, dtype=bool)
    return float(compliance(grid, keep, cell, np.array(fixed), np.array([3 * node]))[0, 0])


def navier() -> float:
    """Middle deflection of a hinged square plate under a unit force at its middle, Navier's double series (exact)."""
    odd = np.arange(1, 2001, 2, dtype=float)
    return float(4.0 * 100.0**2 / (pi**4 * 1000.0) * np.sum(1.0 / (odd[:, None] ** 2 + odd[None, :] ** 2) ** 2))


def test_hinged_plate_converges_to_the_series() -> None:
    exact = navier()
    errors = [abs(middle_deflection(n, False) / exact - 1.0) for n in (4, 8, 16)]
    assert errors[2] < 0.01
    # second order: halving the cells quarters the error, 0.3 left for the force at a point
    assert errors[1] / errors[0] < 0.35 and errors[2] / errors[1] < 0.35


def test_clamped_plate_agrees_with_the_tabulated_coefficient() -> None:
    # 0.00560 P a^2 / D, Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells (from memory)
    assert middle_deflection(16, True) == pytest.approx(0.00560 * 100.0**2 / 1000.0, rel=0.015)


def test_plate_passes_the_patch_test() -> None:
    # exact: w = x^2 has constant curvature; no net nodal force inside, moments -D on an x side per length
    cell = cell_stiffness(7.0, 3.0, 1000.0, 0.3)
    xs, ys = [0.0, 7.0, 7.0, 0.0], [0.0, 0.0, 3.0, 3.0]
    for w, wx, wy in (
        (lambda x, y: 1.0, lambda x, y: 0.0, lambda x, y: 0.0),
        (lambda x, y: x, lambda x, y: 1.0, lambda x, y: 0.0),
        (lambda x, y: y, lambda x, y: 0.0, lambda x, y: 1.0),
    ):
        rigid = np.array([f(x, y) for x, y in zip(xs, ys, strict=True) for f in (w, wx, wy)])
        assert np.allclose(cell @ rigid, 0.0, atol=1e-9)
    bent = np.array([v for x, y in zip(xs, ys, strict=True) for v in (0.5 * x * x, x, 0.0)])
    assert bent @ cell @ bent == pytest.approx(1000.0 * 7.0 * 3.0, rel=1e-12)  # energy D kappa^2 A


def test_membrane_stretch_and_bending_are_exact() -> None:
    # exact: a bar of one cell, E A / L with free sides; and a beam of cells in pure bending, M L / (E I)
    cell = membrane_stiffness(50.0, 10.0, 2.0e5, 0.3, 2.0)
    for k in (np.tile([1.0, 0.0], 4), np.tile([0.0, 1.0], 4), np.array([0, 0, 0, 50, -10, 50, -10, 0.0])):
        assert np.allclose(cell @ k, 0.0, atol=1e-6)
    n = 8
    grid = Grid(0.0, 0.0, n, 1, 20.0, 10.0)
    keep = np.ones(n, dtype=bool)
    cell = membrane_stiffness(20.0, 10.0, 2.0e5, 0.3, 2.0)
    fixed = np.array([0, 1, 2 * (n + 1)])  # left edge: lower corner held, upper corner held along
    tip = np.array([2 * n, 2 * (2 * n + 1)])
    c = compliance(grid, keep, cell, fixed, tip)
    pull = np.array([0.5, 0.5])
    assert pull @ c @ pull == pytest.approx(160.0 / (2.0e5 * 20.0), rel=1e-9)
    couple = np.array([-0.1, 0.1])  # moment 1 N mm over 10 mm height
    turn = couple @ c @ couple
    assert turn == pytest.approx(160.0 / (2.0e5 * 2.0 * 10.0**3 / 12.0), rel=0.02)


def job(**skin: object) -> Job:
    return Job(
        "skin",
        Plate(rectangle(0, 0, 300, 120, 10), (), 4.0),
        skin=Skin(2.5, walls=Walls(60, 60, 40, 40), **skin),  # type: ignore[arg-type]
        pads=(Pad("P1", Point(60, 60)), Pad("P2", Point(240, 60))),
        brace=Brace("tube", 38.1, 3.0, Point(-20, 60), Point(320, 60)),
        opening=OpeningWork(),
    )


def test_opening_softens_and_brace_stiffens() -> None:
    sections = [rectangle(0, 0, 100, 120), rectangle(200, 0, 100, 120), rectangle(100, 0, 100, 120)]
    stiff = open_stiffness(job(), job().plate.outline, sections)
    assert stiff.after[0].mid == pytest.approx(1.0)
    mids = [b.mid for b in stiff.after]
    assert mids == sorted(mids, reverse=True) and mids[-1] < 0.8
    assert all(b.mid > a.mid for a, b in zip(stiff.after, stiff.braced, strict=True))
    assert stiff.open.low <= stiff.open.mid <= stiff.open.high


def test_brace_counts_by_its_section() -> None:
    base = job()
    thin = replace(base, brace=Brace("tube", 25.4, 2.0, Point(-20, 60), Point(320, 60)))
    whole = [base.plate.outline]
    assert open_stiffness(thin, base.plate.outline, whole).open_braced.mid < (
        open_stiffness(base, base.plate.outline, whole).open_braced.mid
    )


def test_finer_cells_change_the_ratio_little() -> None:
    whole = [job().plate.outline]
    coarse = open_stiffness(job(), job().plate.outline, whole, cells=300).open.mid
    fine = open_stiffness(job(), job().plate.outline, whole, cells=1200).open.mid
    assert coarse == pytest.approx(fine, abs=0.15)
