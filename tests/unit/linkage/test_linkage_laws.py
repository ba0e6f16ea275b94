"""Exact laws of the steering linkage."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from oracles.sliding_gear import sliding_gear
from steering_studies import random_sides, study

from cutplan.linkage.solved.ackermann import departure, inner_asked, percent
from cutplan.linkage.solved.course import course, travels
from cutplan.linkage.solved.figures import figures, pivots_mm
from cutplan.linkage.solved.side import Side, loop_of
from cutplan.linkage.solved.steer import steer_loop
from cutplan.linkage.solved.vectors import Floats
from cutplan.linkage.study import Layout


@pytest.mark.parametrize("pivots, base", [(1200.0, 2700.0), (900.0, 1300.0), (1500.0, 3600.0)])
def test_the_sliding_gear_keeps_ackermann_geometry_exactly(pivots: float, base: float) -> None:
    """exact: tan lean = pivots / (2 wheelbase) gives cot(outer) - cot(inner) = pivots / wheelbase at every travel"""
    travel = np.concatenate([np.linspace(-90.0, -1.0, 40), np.linspace(1.0, 90.0, 40)])
    left, right = sliding_gear(travel, 180.0, math.atan(pivots / (2.0 * base)))
    assert np.abs(departure(left, right, base, pivots)).max() < 1e-13
    assert np.abs(percent(left, right, base, pivots) - 100.0).max() < 1e-9
    other = sliding_gear(travel, 180.0, math.atan(pivots / (2.0 * base)) + 0.01)
    assert np.abs(departure(*other, base, pivots)).max() > 1e-3


def test_the_law_and_its_inverse_agree_and_parallel_wheels_are_nought_percent() -> None:
    inner = np.radians(np.linspace(1.0, 60.0, 60))
    outer = np.arctan(
        1.0 / (1.0 / np.tan(inner) + 1300.0 / 2500.0)
    )  # exact: cot(outer) - cot(inner) is pivots over base
    assert np.abs(inner_asked(outer, 2500.0, 1300.0) - inner).max() < 1e-13
    assert np.abs(percent(inner, inner, 2500.0, 1300.0)).max() < 1e-9


def planar(reach: float = 240.0, arm: float = 130.0) -> Side:
    """A linkage in one plane: upright axis through the origin, arm straight back, gear in line with the joints."""
    up, y = np.array([0.0, 0.0, 1.0]), np.array([0.0, 1.0, 0.0])
    joint = np.array([-arm, 0.0, 0.0])
    return Side(np.zeros(3), up, joint, joint - reach * y, y, y)


@pytest.mark.parametrize("travel", [-70.0, -20.0, 0.0, 35.0, 80.0])
def test_a_planar_linkage_is_the_triangle_of_the_textbook(travel: float) -> None:
    """exact: pivot, both joints; two sides and the rod give the angle at the pivot by the cosine rule"""
    reach, arm = 240.0, 130.0
    distance = math.hypot(arm, reach - travel)
    at_pivot = math.acos((arm**2 + distance**2 - reach**2) / (2.0 * arm * distance))
    to_inner = math.atan2(-(reach - travel), -arm)
    joint = to_inner - at_pivot
    expected = (joint + 2.0 * math.pi) % (2.0 * math.pi) - math.pi
    got = steer_loop(loop_of(planar()), np.array([travel]))
    assert got.steer[0] == pytest.approx(expected, abs=1e-13)
    angle_at_joint = math.acos((arm**2 + reach**2 - distance**2) / (2.0 * arm * reach))
    assert got.lever[0] == pytest.approx(min(angle_at_joint, math.pi - angle_at_joint), abs=1e-12)


def test_the_rate_is_the_slope_of_the_angle() -> None:
    sides, h = random_sides(200, 4), 1e-3
    s = np.array([-25.0, 0.0, 20.0])
    loop = loop_of(sides)
    slope = (steer_loop(loop, s + h).steer - steer_loop(loop, s - h).steer) / (2.0 * h)
    there = steer_loop(loop, s)
    far = there.lever > 0.3
    assert far.mean() > 0.9
    assert np.abs(slope - there.rate)[far].max() < 1e-8


def test_straight_ahead_is_straight_and_both_sides_mirror_each_other() -> None:
    layout = Layout(study())
    s = travels(layout)
    both = course(layout, layout.values, np.zeros(3), s)
    assert s[s.size // 2] == 0.0
    assert abs(both.left[s.size // 2]) < 1e-14 and abs(both.right[s.size // 2]) < 1e-14
    assert np.array_equal(both.left, -both.right[::-1])
    told = Layout(study(both=True))
    again = course(told, told.values, np.zeros(3), s)
    assert np.abs(again.left - both.left).max() < 1e-12 and np.abs(again.right - both.right).max() < 1e-12
    one, two = figures(layout, layout.values, np.zeros(3)), figures(told, told.values, np.zeros(3))
    assert {k: float(v) for k, v in one.items()} == pytest.approx({k: float(v) for k, v in two.items()}, rel=1e-9)


def test_a_shift_to_the_left_is_the_mirror_image_of_one_to_the_right() -> None:
    layout = Layout(study())
    shift = np.array([[3.0, 7.0, -2.0], [3.0, -7.0, -2.0]])
    values = figures(layout, layout.values, shift)
    for name, value in values.items():
        assert value[0] == pytest.approx(value[1], rel=1e-9), name
    there = course(layout, layout.values, shift, travels(layout))
    assert np.abs(there.left[0] + there.right[1][::-1]).max() < 1e-12


def test_pivot_distance_and_turning_circle_of_a_plain_vehicle() -> None:
    """exact: upright axes 1200 mm apart, contacts 25 mm ahead of them and 40 mm outside, turned about them"""
    plain = replace(study("none"), travel=(40.0, 40.0))
    low, high = (replace(plain.left.wheel, at=(0.0, 600.0, z)) for z in (190.0, 470.0))
    points = replace(plain.left, low=low, high=high, wheel=replace(plain.left.wheel, at=(25.0, 640.0, 0.0)))
    layout = Layout(replace(plain, left=points))
    assert float(pivots_mm(layout, layout.values)) == 1200.0
    c = course(layout, layout.values, np.zeros(3), travels(layout))
    got = float(figures(layout, layout.values, np.zeros(3))["turning_circle"])
    contacts, aims = [], []
    for pivot, out, angle in ((600.0, 40.0, float(c.left[0])), (-600.0, -40.0, float(c.right[0]))):
        turned = complex(25.0, out) * complex(math.cos(angle), math.sin(angle)) + complex(0.0, pivot)
        contacts.append(turned)
        aims.append(turned.imag + (turned.real - (25.0 - 2300.0)) / math.tan(angle))
    centre = complex(25.0 - 2300.0, 0.5 * sum(aims))
    assert got == pytest.approx(2.0 * max(abs(p - centre) for p in contacts), rel=1e-12)


def plain_loop(layout: Layout, shift: Floats, travel: Floats) -> list[float]:
    """The left wheel's angles by the cosine rule, one travel after the other."""
    low, high, outer, inner = (layout.point(layout.values, "left", n) for n in ("low", "high", "outer", "inner"))
    axis = (high - low) / np.linalg.norm(high - low)
    foot = low + axis * np.dot(outer - low, axis)
    arm = outer - foot
    r = np.linalg.norm(arm)
    rod = np.linalg.norm(inner + shift - outer)
    out = []
    for s in travel:
        d = inner + shift + np.array([0.0, s, 0.0]) - foot
        a, b = np.dot(d, arm) / r, np.dot(d, np.cross(axis, arm)) / r
        bearing, half = math.atan2(b, a), math.acos((r * r + np.dot(d, d) - rod * rod) / (2 * r * math.hypot(a, b)))
        turn = bearing - half if bearing > 0 else bearing + half
        y = np.array([0.0, 1.0, 0.0])
        spin = y * math.cos(turn) + np.cross(axis, y) * math.sin(turn) + axis * np.dot(axis, y) * (1 - math.cos(turn))
        out.append(math.atan2(-spin[0], spin[1]))
    return out


def test_many_places_at_once_give_what_a_plain_loop_gives() -> None:
    layout = Layout(study())
    s = travels(layout, 21)
    shifts = np.array([[x, 0.0, z] for x in (-20.0, 0.0, 15.0) for z in (-10.0, 12.0)])
    ours = course(layout, layout.values, shifts, s).left
    for i, shift in enumerate(shifts):
        assert np.abs(ours[i] - plain_loop(layout, shift, s)).max() < 1e-12


def test_the_travel_left_is_where_the_lever_vanishes() -> None:
    layout = Layout(study())
    left = float(figures(layout, layout.values, np.zeros(3))["travel_left"])
    near = replace(study(), travel=(62.0 + left - 1e-3,) * 2)
    beyond = replace(study(), travel=(62.0 + left + 1e-3,) * 2)
    lever = figures(Layout(near), Layout(near).values, np.zeros(3))["least_angle"]
    assert 0.0 < float(lever) < 1.0
    assert np.isnan(figures(Layout(beyond), Layout(beyond).values, np.zeros(3))["least_angle"])
    assert loop_of(random_sides(1, 1)).r.shape == (1,)
