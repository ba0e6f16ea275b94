"""Sleeves and ribs after the stitches: lengths and order exact, heat and waits from the same tables as the stitches."""

from __future__ import annotations

from dataclasses import replace
from math import pi

import numpy as np
import pytest
from sheet_results import small, small_job

from cutplan.geometry.vector import Point
from cutplan.pattern.job import Job
from cutplan.pattern.pads import Pad
from cutplan.pattern.skin import Rib
from cutplan.tables.band import Band
from cutplan.welding.basis import weld_basis
from cutplan.welding.distortion import LaterOrder, LaterPlan
from cutplan.welding.distortion.result import TOLD_CHANCE, AfterStitches
from cutplan.welding.later.make import QUARTERS_DEG, later_welds
from cutplan.welding.later.result import LaterWeld
from cutplan.welding.later.words import after_all, later_doubts, later_words
from cutplan.welding.order_words import chance_figure
from cutplan.welding.settings.machine import settings_for


def lines(job: Job) -> tuple[LaterWeld, ...]:
    return later_welds(job, weld_basis(job).joint, 17)


def test_a_sleeve_is_four_quarters_and_a_rib_two_sides_counted_on_from_the_stitches() -> None:
    job = small_job()  # sleeve H4 of 26 mm, rib R1 across the plate at x = 40: 180 mm under it
    sleeve, rib = lines(job)
    assert (sleeve.name, sleeve.kind, sleeve.first, sleeve.beads) == ("H4", "sleeve", 18, 4)
    assert (rib.name, rib.kind, rib.first, rib.beads) == ("R1", "rib", 22, 2)
    assert sleeve.length_mm == pytest.approx(0.5 * pi * 13.0)  # exact: a quarter of the circle
    assert rib.length_mm == pytest.approx(180.0, abs=4.0)  # exact but for the step along it
    settings = settings_for("lap", job.plate.thickness_mm, job.welding)
    heat = settings.arc.heat_input_J_per_mm
    for weld in (sleeve, rib):
        assert weld.heat_kJ.high == pytest.approx(weld.beads * weld.length_mm * heat.high / 1000.0)
        assert weld.arc_s == pytest.approx(weld.beads * weld.length_mm / settings.arc.speed_mm_per_s.mid)
        assert weld.shrink_mm.low < weld.shrink_mm.mid < weld.shrink_mm.high
    assert rib.at.x == pytest.approx(40.0)
    # each quarter lies across from the one before or a quarter turn on, never beside it in the first two
    assert abs(QUARTERS_DEG[1] - QUARTERS_DEG[0]) == 180.0 and abs(QUARTERS_DEG[3] - QUARTERS_DEG[2]) == 180.0


def test_a_small_sleeve_has_to_wait_longer_than_a_large_one_and_a_cooler_limit_longer_still() -> None:
    job = small_job()
    here = lines(job)[0].wait_s
    cool = replace(job, welding=replace(job.welding, interpass_C=60.0))
    assert lines(cool)[0].wait_s > here + 5.0
    warm = replace(job, welding=replace(job.welding, interpass_C=390.0))
    assert lines(warm)[0].wait_s == 0.0


def test_the_rim_of_the_pad_around_a_sleeve_lifts_by_the_angle_over_its_reach() -> None:
    job = small_job()
    assert lines(job)[0].lift_mm is None  # the sleeve lies in no pad
    around = replace(job, pads=(*job.pads, Pad("C", Point(60.0, 125.0), 60.0)))
    sleeve = lines(around)[0]
    assert sleeve.lift_mm is not None
    # exact: 2 degrees (our judgement) over the 17 mm from the sleeve to the rim
    assert sleeve.lift_mm.high == pytest.approx(np.radians(2.0) * 17.0)


def test_ribs_beside_the_plate_or_not_joined_are_no_lines() -> None:
    job = small_job()
    beside = Rib("R2", (Point(-80.0, -40.0), Point(-80.0, 220.0)), "known", 30.0)
    loose = replace(job.skin.ribs[0], joined=False)
    assert [w.name for w in lines(replace(job, skin=replace(job.skin, ribs=(beside, loose))))] == ["H4"]
    bare = replace(job.plate, holes=tuple(h for h in job.plate.holes if h.purpose != "sleeve"))
    assert lines(replace(job, plate=bare, skin=replace(job.skin, ribs=()))) == ()


def test_the_plan_holds_them() -> None:
    plan = small().weld
    assert plan is not None
    assert [w.name for w in plan.later] == ["H4", "R1"] and plan.later[0].first == len(plan.stitches) + 1
    later = plan.order.later
    assert later is not None and [w.name for w in plan.later] == list(later.chosen.parts)
    assert plan.later[-1].after_mm == later.chosen.flatness_mm
    assert [o.name for o in later.orders] == ["sleeves first", "ribs first"]
    chosen = next(o for o in plan.order.compared if o.chosen)
    # the headline is that after all welds, whichever page tells it
    assert (chosen.flatness_mm, chosen.chance_within) == (later.chosen.flatness_mm, later.chosen.chance_within)
    assert plan.order.choices[0].flatness_mm == chosen.flatness_mm
    assert chosen.stitched is not None and chosen.stitched.flatness_mm != chosen.flatness_mm
    told = any(f.code == "later-welds-bend" for f in plan.findings)
    assert told == (chosen.chance_within < chosen.stitched.chance_within - TOLD_CHANCE)


def test_what_is_compared_is_told_to_be_after_all_welds_with_what_the_stitches_leave_beside_it() -> None:
    band = Band(0.1, 0.2, 0.3, "mm", "made up for a test")

    def said(before: float, pads: bool = True) -> str:
        order = LaterOrder("sleeves first", ("H4", "R1"), band, band, 0.5)
        return " ".join(
            str(m) for m in after_all(LaterPlan((order,), order, True, ()), AfterStitches(band, before), pads)
        )

    assert after_all(None, None, True) == ()
    assert "H4, R1" in said(0.41) and "41 %" in said(0.41) and "0.20 mm" in said(0.41)
    assert "hardly any" in said(0.0) and "nearly all" in said(1.0)
    assert "drawn cases" not in said(1.0, pads=False) and "0.20 mm" in said(1.0, pads=False)


def test_a_single_pad_is_told_no_distance_to_another() -> None:
    results = small()
    assert results.weld is not None and results.weld.order.later is not None
    figures, later = results.weld.order, results.weld.order.later
    none = replace(later.chosen, pitch_mm=Band(0.0, 0.0, 0.0, "mm", "exact"), chance_within=0.0)
    alone = replace(figures, later=replace(later, chosen=none))
    said = [str(m) for m in later_words(alone)] + [str(f.message) for f in later_doubts(results.job, alone)]
    assert any("out of flat: within what they allow" in s for s in said)
    assert not any("distance" in s.lower() for s in said)
    several = replace(figures, later=replace(later, chosen=replace(later.chosen, chance_within=0.0)))
    assert any("Distances between pads" in str(m) for m in later_words(several))
    [doubt] = later_doubts(results.job, several)
    assert "out of flat and change their distances by" in str(doubt.message)


def test_a_chance_in_a_table_is_never_surer_than_in_words() -> None:
    # exact: the words say nearly all from 98.5 % on
    assert [chance_figure(c) for c in (1.0, 0.99, 0.5, 0.0)] == ["> 98 %", "> 98 %", "50 %", "< 2 %"]


def test_an_order_of_ribs_alone_names_no_sleeves() -> None:
    results = small()
    assert results.weld is not None and results.weld.order.later is not None
    later = results.weld.order.later
    other = replace(later.chosen, name="outer ribs first", flatness_mm=Band(1.0, 2.0, 3.0, "mm", "made up for a test"))
    figures = replace(results.weld.order, later=replace(later, orders=(later.chosen, other), equal=False))
    told = {sleeves: " ".join(str(m) for m in later_words(figures, sleeves)) for sleeves in (True, False)}
    assert "sleeves first" in told[True] and "sleeves" not in told[False] and "ribs from the outside in" in told[False]
    # and sleeves alone no ribs
    alone = [str(m) for m in later_words(figures, ribs=False)]
    assert not any("ribs" in m and "sleeves first" not in m for m in alone) and any("all angles" in m for m in alone)
    assert any("ribs loose at their ends" in str(m) for m in later_words(figures))
