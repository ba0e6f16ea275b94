"""Point soup back into lines and arcs. Expected values are exact: what the chords were made from."""

from __future__ import annotations

from itertools import pairwise
from math import cos, pi

import numpy as np
import pytest

from cutplan.errors import GeometryError
from cutplan.geometry.contour import Contour, rectangle
from cutplan.geometry.fit.chords import looks_round, recognise_arcs, recognise_circle
from cutplan.geometry.fit.circle import fitted_circle
from cutplan.geometry.flatten import flatten_array
from cutplan.geometry.segment import Arc, Line, Segment
from cutplan.geometry.segment_table import SegmentTable


def ngon(n: int, radius: float, x: float = 0.0, y: float = 0.0) -> np.ndarray:
    a = 0.1 + 2.0 * pi * np.arange(n) / n
    return np.column_stack((x + radius * np.cos(a), y + radius * np.sin(a)))


def chain_is_whole(segments: list[Segment], closed: bool) -> None:
    for a, b in pairwise(segments):
        assert a.end == b.start
    if closed:
        assert segments[-1].end == segments[0].start


@pytest.mark.parametrize(
    ("n", "radius", "round_"),
    # exact: the flats lie r (1 - cos(pi / n)) inside, allowed are 0.01 mm; 6, 8 and 10 sides never count
    [
        (6, 3.2, False),
        (8, 0.1, False),
        (10, 0.1, False),
        (16, 0.5, True),
        (16, 1.25, False),
        (21, 1.65, False),
        (64, 8.0, True),
        (64, 8.5, False),
        (360, 50.0, True),
        (360, 262.0, True),
        (360, 263.0, False),
    ],
)
def test_when_a_polygon_is_a_circle(n: int, radius: float, round_: bool) -> None:
    assert (radius * (1.0 - cos(pi / n)) <= 0.01 and n >= 12) is round_
    found = recognise_circle(ngon(n, radius, 40.0, -7.0))
    assert (found is not None) is round_
    if found is not None:
        assert found[0] == pytest.approx((40.0, -7.0), abs=1e-9)
        assert found[1] == pytest.approx(radius, rel=1e-12)


def test_a_coarse_circle_raises_a_doubt() -> None:
    found = looks_round(ngon(21, 1.65))
    assert found is not None
    assert found[1] == pytest.approx(1.65, rel=1e-12)
    assert found[2] == pytest.approx(1.65 * (1.0 - cos(pi / 21)), rel=1e-9)
    assert looks_round(ngon(8, 1.65)) is None


def test_a_far_and_rounded_circle() -> None:
    found = recognise_circle(np.round(ngon(360, 50.0, 1e6, -1e6), 3))
    assert found is not None
    # vertices rounded to 0.001 mm: the mean of 360 errors
    assert found[1] == pytest.approx(50.0, abs=2e-4)
    assert found[0].x == pytest.approx(1e6, abs=2e-4)


def test_what_is_almost_a_circle_is_not() -> None:
    flat = ngon(360, 50.0)
    flat[flat[:, 0] > 49.9, 0] = 49.9  # a flat filed on
    assert recognise_circle(flat) is None
    oval = ngon(360, 50.0) * (1.0, 1.001)
    assert recognise_circle(oval) is None
    d_shape = ngon(360, 50.0)[20:]  # one long chord
    assert recognise_circle(d_shape) is None
    twice = np.vstack((ngon(360, 50.0), ngon(360, 50.0)))  # around twice
    assert recognise_circle(twice) is None
    half = ngon(360, 50.0)[:180]
    there_and_back = np.vstack((half, half[-2:0:-1]))
    assert recognise_circle(there_and_back) is None
    assert looks_round(d_shape) is None
    assert recognise_circle(np.column_stack((np.arange(20.0), np.zeros(20)))) is None


def test_fitted_circle_of_noise() -> None:
    rng = np.random.default_rng(4)
    p = ngon(500, 20.0, 3.0, 4.0) + rng.normal(0.0, 0.01, (500, 2))
    found = fitted_circle(p)
    assert found is not None
    # standard error 0.01 / sqrt(500), times about five
    assert found == pytest.approx((3.0, 4.0, 20.0), abs=3e-3)


@pytest.mark.parametrize("chord", [0.009, 0.002, 1e-4])
def test_rounded_rectangle_comes_back(chord: float) -> None:
    shape = rectangle(5.0, 5.0, 100.0, 60.0, 8.0)
    segments = recognise_arcs(flatten_array(shape, chord), True)
    chain_is_whole(segments, True)
    assert len(segments) == 8
    arcs = [s for s in segments if isinstance(s, Arc)]
    assert [a.radius for a in arcs] == pytest.approx([8.0] * 4, rel=1e-9)
    assert Contour(tuple(segments)).area == pytest.approx(shape.area, rel=1e-9)


def test_coarse_corners_stay_as_drawn() -> None:
    shape = rectangle(0.0, 0.0, 100.0, 60.0, 8.0)
    coarse = flatten_array(shape, 0.05)
    segments = recognise_arcs(coarse, True)
    assert all(isinstance(s, Line) for s in segments)
    assert len(segments) == len(coarse)


def test_straight_sides_and_bevels_stay() -> None:
    bevelled = np.array([(0, 0), (50, 0), (50.02, 0.02), (50.02, 30), (0, 30.0)])
    assert len(recognise_arcs(bevelled, True)) == 5
    split = np.array([(0, 0), (10, 0), (20, 0), (30, 0), (50, 0), (50, 30), (0, 30.0)])
    # four chords in one line are one side
    assert len(recognise_arcs(split, True)) == 4


def test_a_bevel_of_three_small_facets_stays() -> None:
    # 0.25 mm wide: an arc would lie within the tolerance, but three facets are drawn on purpose
    shape = flatten_array(rectangle(0, 0, 30, 20, 0.25), 0.009)
    segments = recognise_arcs(shape, True)
    assert len(segments) == len(shape) == 16
    assert all(isinstance(s, Line) for s in segments)


def test_a_short_side_beside_a_wide_arc_stays_a_line() -> None:
    # depth of a 12 mm chord on a radius of 2000 mm: 0.009 mm, so the tolerance alone would swallow it
    t = np.linspace(-0.01, 0.01, 41)
    arc = np.column_stack((2000.0 * np.sin(t), -2000.0 * np.cos(t)))
    tangent = np.array([cos(0.01), np.sin(0.01)])
    segments = recognise_arcs(np.vstack((arc, arc[-1] + 12.0 * tangent)), False)
    assert [type(s) for s in segments] == [Arc, Line]
    assert segments[1].length == pytest.approx(12.0)


def test_every_chord_stays_within_the_tolerance() -> None:
    t = np.linspace(0.0, 2.0 * pi, 1200, endpoint=False)
    wave = np.column_stack(((90.0 + 6.0 * np.cos(7 * t)) * np.cos(t), (60.0 + 6.0 * np.cos(7 * t)) * np.sin(t)))
    for tol in (0.01, 0.1):
        segments = recognise_arcs(wave, True, tol)
        chain_is_whole(segments, True)
        dense = np.vstack([wave + k / 4.0 * (np.roll(wave, -1, axis=0) - wave) for k in range(4)])
        assert SegmentTable(segments).distances(dense).max() <= tol * 1.01
        assert len(segments) < 160


def test_open_polyline_keeps_its_ends() -> None:
    arc = flatten_array(rectangle(0, 0, 40, 40, 20), 0.001)[:60]
    segments = recognise_arcs(arc, False)
    chain_is_whole(segments, False)
    assert segments[0].start == tuple(arc[0])
    assert segments[-1].end == tuple(arc[-1])


def test_wrong_points_are_refused() -> None:
    with pytest.raises(GeometryError, match="not a number"):
        recognise_arcs([(0.0, 0.0), (float("nan"), 1.0)], False)
    with pytest.raises(GeometryError, match="two different"):
        recognise_arcs([(1.0, 1.0), (1.0, 1.0)], False)


@pytest.mark.slow
def test_many_chords_take_seconds() -> None:
    from time import perf_counter

    t = np.linspace(0.0, 2.0 * pi, 200_000, endpoint=False)
    wave = np.column_stack(((200 + 5 * np.cos(12 * t)) * np.cos(t), (200 + 5 * np.cos(12 * t)) * np.sin(t)))
    start = perf_counter()
    assert len(recognise_arcs(wave, True)) < 150
    assert perf_counter() - start < 10.0
