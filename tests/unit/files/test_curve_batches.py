"""Free curves turned into arcs many at a time: the same as one by one, and as the scalar formula says."""

from __future__ import annotations

from math import pi, sqrt
from pathlib import Path

import numpy as np
import pytest
from drawing_help import box, dxf, entity, save
from oracles.biarc import biarc

from cutplan.errors import LimitError
from cutplan.files.curves.biarcs import _pair
from cutplan.files.curves.pieces import spline_evaluator
from cutplan.files.drawing_in import read_drawing
from cutplan.files.traces import Spline
from cutplan.geometry.segment import Arc
from cutplan.geometry.vector import Point

_W = sqrt(0.5)
_SQUARE = [(1, 0), (1, 1), (0, 1), (-1, 1), (-1, 0), (-1, -1), (0, -1), (1, -1), (1, 0)]


def _round(x: float, y: float, r: float) -> Spline:
    """Return a full circle as a rational spline of degree 2 with nine control points."""
    ctrl = np.array([(x + r * a, y + r * b) for a, b in _SQUARE], dtype=np.float64)
    weights = np.array([1, _W, 1, _W, 1, _W, 1, _W, 1])
    return Spline(ctrl, weights, np.array([0, 0, 0, 1, 1, 2, 2, 3, 3, 4, 4, 4], dtype=np.float64), 2)


def test_several_splines_are_evaluated_as_each_alone() -> None:
    splines = [_round(0, 0, 5), _round(100, -20, 7), _round(-3, 4, 0.5)]
    at, counts = spline_evaluator(splines)
    assert counts == [4, 4, 4]
    share = np.linspace(0.0, 1.0, 12)
    xy, slope = at(np.arange(12), share)
    for k, s in enumerate(splines):
        alone, _ = spline_evaluator([s])
        one_xy, one_slope = alone(np.arange(4), share[4 * k : 4 * k + 4])
        assert np.array_equal(xy[4 * k : 4 * k + 4], one_xy)
        assert np.array_equal(slope[4 * k : 4 * k + 4], one_slope)
        centre = 0.5 * (s.ctrl[0] + s.ctrl[4])
        radius = 0.5 * np.hypot(*(s.ctrl[0] - s.ctrl[4]))
        assert np.hypot(*(one_xy - centre).T) == pytest.approx(np.full(4, radius), rel=1e-12)  # exact: a circle


def test_round_splines_of_two_degrees_in_one_drawing(tmp_path: Path) -> None:
    def drawn(ctrl: list[tuple[float, float]], weights: list[float], knots: list[float], degree: int) -> str:
        pairs: list[tuple[int, object]] = [(70, 12), (71, degree)]
        pairs += [(40, k) for k in knots] + [(41, w) for w in weights]
        for x, y in ctrl:
            pairs += [(10, x), (20, y)]
        return entity("SPLINE", *pairs)

    def nine(x: float, y: float, r: float) -> str:
        s = _round(x, y, r)
        return drawn([(p[0], p[1]) for p in s.ctrl.tolist()], s.weights.tolist(), s.knots.tolist(), 2)

    def half(x: float, y: float, r: float) -> str:
        """Half a circle of degree 3: weights 1, 1/3, 1/3, 1."""
        points = [(x + r, y), (x + r, y + 2 * r), (x - r, y + 2 * r), (x - r, y)]
        return drawn(points, [1, 1 / 3, 1 / 3, 1], [0, 0, 0, 0, 1, 1, 1, 1], 3)

    text = dxf(box(0, 0, 200, 100), nine(30, 30, 5), half(100, 50, 10), half(100, 50, -10), nine(150, 40, 8))
    drawing = read_drawing(save(tmp_path, text))
    assert drawing.sound, drawing.findings
    holes = drawing.as_dict()["parts"][0]["holes"]
    assert sorted(h["diameter_mm"] for h in holes) == pytest.approx([10.0, 16.0, 20.0], abs=1e-6)  # exact
    assert drawing.parts[0].region.area == pytest.approx(20000 - pi * (25 + 64 + 100), rel=1e-9)  # exact


def test_splines_of_high_degree_are_refused_sooner(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("cutplan.files.curves.settle.MAX_CURVES", 6)

    def bar(degree: int) -> str:
        n = degree + 3
        pairs: list[tuple[int, object]] = [(70, 12), (71, degree)]
        pairs += [(40, k) for k in [0] * (degree + 1) + [1, 2] + [3] * (degree + 1)]
        for k in range(n):
            pairs += [(10, 10 + k), (20, 10 + k * k % 7), (41, 1 + k % 2)]
        return entity("SPLINE", *pairs)

    read_drawing(save(tmp_path, dxf(box(0, 0, 200, 100), bar(3))))
    with pytest.raises(LimitError, match="degree 8"):
        read_drawing(save(tmp_path, dxf(box(0, 0, 200, 100), bar(8))))


def test_pairs_of_arcs_by_array_and_by_scalar_formula_agree() -> None:
    # two writings of one formula held against each other; the scalar one is checked against published cases elsewhere
    rng = np.random.default_rng(5)
    n = 200
    p0, p1 = rng.uniform(-50, 50, (2, n, 2))
    a = np.arctan2(*(p1 - p0).T[::-1])
    t0, t1 = (np.column_stack([np.cos(x), np.sin(x)]) for x in (a + rng.uniform(-1, 1, n), a + rng.uniform(-1, 1, n)))
    middle, bulges, sound = _pair(p0, t0, p1, t1)
    compared = 0
    for k in np.flatnonzero(sound).tolist():
        parts = biarc(Point(*p0[k]), Point(*t0[k]), Point(*p1[k]), Point(*t1[k]))
        assert parts is not None
        if len(parts) != 2:
            continue
        compared += 1
        assert tuple(parts[0].end) == pytest.approx(tuple(middle[k]), abs=1e-9)
        for part, bulge in zip(parts, bulges[k].tolist(), strict=True):
            assert (part.bulge if isinstance(part, Arc) else 0.0) == pytest.approx(bulge, abs=1e-9)
    assert compared > 150
