"""SVG path data: arcs by their four flags, and numbers as tight as the grammar allows."""

from __future__ import annotations

import random
from math import dist, pi

import numpy as np
import pytest

from cutplan.files.svg.path import arc_run, parse_path
from cutplan.files.traces import Bulged, Cubics, Ellipse


def test_arcs_meet_both_ends_on_the_asked_side() -> None:
    rng = random.Random(1)
    for _ in range(500):
        p, q = (rng.uniform(-5, 5), rng.uniform(-5, 5)), (rng.uniform(-5, 5), rng.uniform(-5, 5))
        large, sweep = rng.random() < 0.5, rng.random() < 0.5
        run = arc_run(p, q, rng.uniform(0.1, 8), rng.uniform(0.1, 8), rng.uniform(-180, 180), large, sweep)
        assert run is not None
        assert dist(run.at(run.t0), p) < 1e-9 and dist(run.at(run.t1), q) < 1e-9  # exact
        span = run.t1 - run.t0
        assert (span > 0) == sweep
        assert (abs(span) > pi) == large or abs(abs(span) - pi) < 1e-6  # radii too small give half an ellipse


def test_arc_without_radius_is_a_line() -> None:
    assert arc_run((0, 0), (1, 1), 0.0, 5.0, 0.0, True, True) is None
    assert arc_run((1, 1), (1, 1), 5.0, 5.0, 0.0, True, True) is None


@pytest.mark.parametrize(
    ("text", "points"),
    [
        ("M1-2-3.5.5", [(1, -2), (-3.5, 0.5)]),
        ("m1,1,2,2,3,3", [(1, 1), (3, 3), (6, 6)]),
        ("M0 0L1e1-1E-1", [(0, 0), (10, -0.1)]),
        ("M+1+1V5H-2", [(1, 1), (1, 5), (-2, 5)]),
        ("M0 0 1 1zm5 5 1 1", None),
    ],
)
def test_tight_numbers(text: str, points: list[tuple[float, float]] | None) -> None:
    subpaths, fault = parse_path(text)
    assert not fault
    if points is None:  # after closing, a relative move starts from the start of the closed piece
        second = subpaths[1].runs[0]
        assert isinstance(second, Bulged)
        assert second.xy.tolist() == [[5, 5], [6, 6]]
        return
    run = subpaths[0].runs[0]
    assert isinstance(run, Bulged)
    assert run.xy.tolist() == pytest.approx(np.array(points))


def test_smooth_curves_mirror_the_control_point_only_after_their_own_kind() -> None:
    (path,), _ = parse_path("M0 0C0 1 1 1 1 0S2-1 2 0")
    (run,) = path.runs
    assert isinstance(run, Cubics)
    assert run.ctrl[1].tolist() == [[1, 0], [1, -1], [2, -1], [2, 0]]  # exact: mirror of (1, 1) about (1, 0)
    (path,), _ = parse_path("M0 0L1 0S2-1 2 0")
    last = path.runs[1]
    assert isinstance(last, Cubics)
    assert last.ctrl[0].tolist() == [[1, 0], [1, 0], [2, -1], [2, 0]]
    (path,), _ = parse_path("M0 0Q1 2 2 0T4 0")
    (run,) = path.runs
    assert isinstance(run, Cubics)
    assert run.ctrl[1, 1].tolist() == pytest.approx([2 + 2 / 3, -4 / 3])  # exact: two thirds towards (3, -2)


def test_arc_flags_without_blanks() -> None:
    (path,), fault = parse_path("M0 0a1 1 0 1110 0")
    assert not fault
    run = path.runs[0]
    assert isinstance(run, Ellipse)
    assert run.at(run.t1) == pytest.approx((10.0, 0.0))


@pytest.mark.parametrize("text", ["L1 1", "M0", "M0 0C1 1", "M0 0L1 1 x", "M0 0A1 1 0 2 0 1 1", "M0 0z5 5"])
def test_faults_are_told(text: str) -> None:
    assert parse_path(text)[1]
