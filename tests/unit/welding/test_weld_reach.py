"""How far the heat of a whole plan reaches: one long bead is the closed form, many without waiting reach farther."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
from weld_jobs import plain_job

from cutplan.geometry.contour import polygon, rectangle
from cutplan.pattern.joint import Span
from cutplan.pattern.wishes import Welding
from cutplan.welding.heat.peak import thin_peak_rise_K
from cutplan.welding.heat.reach import DISTANCES_MM, Reach, plan_reach
from cutplan.welding.heat.timing import Turn, heat_room, hot_beads, order_starts
from cutplan.welding.settings.machine import settings_for
from cutplan.welding.stitches.joint import weld_joint

SETTINGS = settings_for("butt", 3.0, Welding())


@cache
def reach(width: float, height: float, bead: float, interpass_C: float) -> Reach:
    """Once round in beads of a length."""
    job = plain_job(rectangle(0.0, 0.0, width, height), 3.0, 3.0)
    outline = job.plate.outline
    count = round(outline.length / bead)
    spans = tuple(Span(i * outline.length / count, (i + 1) * outline.length / count) for i in range(count))
    turns = tuple(Turn(i, False) for i in range(count))
    room = heat_room(job, weld_joint(job, SETTINGS))
    starts = order_starts(outline, spans, turns, SETTINGS, room, interpass_C, 20.0)
    return plan_reach(hot_beads(outline, spans, turns, SETTINGS), starts, outline, room, 20.0)


def test_one_long_bead_gives_the_closed_form_beside_it() -> None:
    # a bead along a whole long part in one go: rival closed form, an upper bound that ignores surface loss
    r = reach(1200.0, 400.0, 3200.0, 100.0)
    for distance in (20.0, 30.0, 40.0):
        rise = float(np.interp(distance, r.distances_mm, r.rise_K))
        bound = thin_peak_rise_K(distance, SETTINGS.arc.heat_input_J_per_mm.mid, 3.0)
        assert 0.85 * bound <= rise <= 1.02 * bound


def test_without_waiting_heat_reaches_farther_and_the_insert_is_hotter() -> None:
    patient, hasty = reach(120.0, 80.0, 40.0, 60.0), reach(120.0, 80.0, 40.0, 1500.0)
    assert hasty.distance_mm(60.0) > 1.2 * patient.distance_mm(60.0)
    assert hasty.insert_C.mid > 1.5 * patient.insert_C.mid
    # exact bound: all heat of the joint that goes into the insert over its heat capacity, nothing lost
    most = 20.0 + 0.5 * 400.0 * SETTINGS.arc.heat_input_J_per_mm.mid / (120.0 * 80.0 * 3.0 * 0.0045)
    assert 0.6 * most < hasty.insert_C.high <= 1.05 * most


def test_rises_fall_with_distance_and_the_answer_lies_between() -> None:
    r = reach(120.0, 80.0, 40.0, 100.0)
    assert np.all(np.diff(r.rise_K) <= 1e-9)
    assert r.distance_mm(1e9) == 0.0
    assert r.distance_mm(0.0) == DISTANCES_MM[-1]
    d = r.distance_mm(60.0)
    assert float(np.interp(d, r.distances_mm, r.rise_K)) == pytest.approx(60.0)


def test_a_notch_does_not_count_the_other_edge_as_far_away() -> None:
    outline = polygon([(0, 0), (200, 0), (200, 120), (110, 120), (110, 30), (90, 30), (90, 120), (0, 120)])
    job = plain_job(outline, 3.0, 3.0)
    room = heat_room(job, weld_joint(job, SETTINGS))
    spans, turns = (Span(410.0, 500.0),), (Turn(0, False),)  # one wall of the notch
    beads = hot_beads(outline, spans, turns, SETTINGS)
    starts = order_starts(outline, spans, turns, SETTINGS, room, 100.0, 20.0)
    r = plan_reach(beads, starts, outline, room)
    # 15 mm from the other wall is 5 mm from this bead: such a place must not count as 15 mm away
    for distance, rise in zip(r.distances_mm, r.rise_K, strict=True):
        assert rise <= 1.02 * thin_peak_rise_K(distance, SETTINGS.arc.heat_input_J_per_mm.mid, 3.0)
    assert r.rise_K[0] > 0.0
