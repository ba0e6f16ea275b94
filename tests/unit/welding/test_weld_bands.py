"""Every prediction of a weld plan has a band: over all samples no band is a point unless its source says why."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from typing import Any

import pytest
from sheet_results import SAMPLES, small
from weld_samples import THINNEST_LEAF_MM, coarse_plan, shims_mm

from cutplan.tables.band import Band
from cutplan.welding.heat.warmth import heated
from cutplan.welding.result import WeldPlan

#: Sources of bands that may be points.
STATED = ("exact", "given in the job")


def bands(value: Any, path: str = "") -> Iterator[tuple[str, Band]]:
    """All bands of a plan with their places."""
    if isinstance(value, Band):
        yield path, value
    elif isinstance(value, tuple):
        for i, part in enumerate(value):
            yield from bands(part, f"{path}[{i}]")
    elif is_dataclass(value):
        for f in fields(value):
            yield from bands(getattr(value, f.name), f"{path}.{f.name}")


def points(plan: WeldPlan) -> list[str]:
    """Bands whose middle is no wider than one of their ends, without a word why."""
    return [
        f"{path}: {b.low:g}, {b.mid:g}, {b.high:g} {b.unit}"
        for path, b in bands(plan)
        if not (b.low < b.mid < b.high) and not str(b.source).startswith(STATED)
    ]


def test_no_band_of_the_small_job_is_a_point() -> None:
    plan = small().weld
    assert plan is not None
    assert sum(1 for _ in bands(plan)) > 40
    assert points(plan) == []


@pytest.mark.slow
@pytest.mark.parametrize("name", sorted(p.name for p in SAMPLES.iterdir() if p.is_dir()))
def test_no_band_of_a_sample_is_a_point_and_no_shim_thinner_than_a_leaf(name: str) -> None:
    plan = coarse_plan(name)
    assert all(thick >= THINNEST_LEAF_MM for thick in shims_mm(plan.order.choices))
    assert sum(1 for _ in bands(plan)) > 40
    assert points(plan) == []


def test_temperatures_take_the_spread_of_the_heat() -> None:
    heat = Band(80.0, 100.0, 130.0, "J/mm", "made up for a test")
    warm = heated(Band(60.0, 60.0, 70.0, "degC", "made up for a test"), heat, 20.0)
    # exact: the rise is in proportion to the heat input
    assert (warm.low, warm.mid, warm.high) == pytest.approx((20.0 + 40.0 * 0.8, 60.0, 20.0 + 50.0 * 1.3))
    cold = heated(Band(20.0, 20.0, 20.0, "degC", "made up for a test"), heat, 20.0)
    assert cold.low == cold.high == 20.0 and str(cold.source).startswith("exact")


def test_choices_say_what_each_costs_and_why_one_is_taken() -> None:
    plan = small().weld
    assert plan is not None
    rows = plan.order.choices
    assert rows[0].chosen and not any(c.chosen for c in rows[1:])
    assert 2 <= len(rows) <= 5
    assert all(str(c.cost) and c.minutes > 0.0 for c in rows)
    # a bar takes time to fit; shorter waits save some
    for c in rows[1:]:
        if "bar" in str(c.what):
            assert c.minutes >= rows[0].minutes + 10.0
        if "shorter waits" in str(c.what):
            assert c.minutes < rows[0].minutes
    assert str(plan.order.choice_reason).startswith("Taken as planned")
