"""Study files: what they hold, and a sentence for each slip."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from cutplan.errors import JobError
from cutplan.linkage.places.placed import place
from cutplan.linkage.read_study import USUAL_WISHES, read_study, study_from
from cutplan.linkage.study import Layout

SAMPLE = Path(__file__).resolve().parents[3] / "sample_parts" / "pickup-gear-plate" / "study.toml"


def changed(**paths: Any) -> dict[str, Any]:
    """The sample's data with keys changed: ``left__low=[...]``; a value of None takes the key away."""
    data = tomllib.loads(SAMPLE.read_text(encoding="utf-8"))
    for path, value in paths.items():
        table = data
        *way, last = path.split("__")
        for step in way:
            table = table.setdefault(step, {})
        if value is None:
            table.pop(last)
        else:
            table[last] = value
    return data


def test_the_sample_is_read_with_its_errors() -> None:
    study = read_study(SAMPLE)
    assert study.left.inner.error == (1.0, 1.0, 2.0) and study.left.outer.error == (1.0, 1.0, 1.0)
    assert study.travel == (76.0, 76.0) and len(study.wishes) == 5
    layout = Layout(study)
    assert layout.values.size == layout.errors.size == len(layout.names) == 3 * 9 + 1


def test_an_inch_study_is_the_same_study() -> None:
    def inches(value: Any) -> Any:
        if isinstance(value, dict):
            return {k: inches(v) for k, v in value.items() if k not in ("wish", "map")}
        if isinstance(value, list):
            return [inches(v) for v in value]
        return value / 25.4 if isinstance(value, (int, float)) else value

    data = {**inches(changed()), "units": "in"}
    ours, theirs = Layout(study_from(data, "s.toml")), Layout(read_study(SAMPLE))
    assert ours.values == pytest.approx(theirs.values, rel=1e-12)
    assert ours.errors == pytest.approx(theirs.errors, rel=1e-12)
    assert ours.study.wishes == USUAL_WISHES
    assert study_from(changed(left__low=["3/16 in", "22 in", "7 1/2 in"]), "s").left.low.at == (4.7625, 558.8, 190.5)


def test_an_axis_by_caster_and_inclination() -> None:
    """exact: the top leans backward and inward by the tangents of both angles"""
    data = changed(left__high=None, left__arms=None, left__caster_deg=6.0, left__inclination_deg=8.0)
    low, high = (np.array(p.at) for p in (study_from(data, "s").left.low, study_from(data, "s").left.high))
    up = high - low
    assert np.degrees(np.arctan2(-up[0], up[2])) == pytest.approx(6.0, abs=1e-12)
    assert np.degrees(np.arctan2(-up[1], up[2])) == pytest.approx(8.0, abs=1e-12)


HOSTILE = {
    "points that coincide": (changed(left__inner=[-115, 540, 256]), "outer and inner are only 1.0 mm apart"),
    "axis of one point": (changed(left__high=[5, 560, 191]), "low and high are only 1.0 mm apart"),
    "arm of no length": (changed(left__outer=[-2, 550, 260]), "the steering arm has no length"),
    "axis upside down": (changed(left__high=[5, 560, 50]), "the high point of the steering axis lies below"),
    "axis lying down": (changed(left__high=[400, 520, 470]), "the steering axis leans by"),
    "in line straight ahead": (changed(left__inner=[-260, 538, 255]), "are in line straight ahead"),
    "one point across": (changed(left__outer=[-115, -540, 255]), "lies on the other side of the vehicle"),
    "no units": (changed(units=None), "does not say its units"),
    "no wheelbase": (changed(vehicle__wheelbase=None), "is missing"),
    "a toy": (changed(vehicle__wheelbase=300), "belongs to no vehicle"),
    "two numbers": (changed(left__low=[5, 560]), "a point has three lengths"),
    "misspelt": (changed(left__iner=[0, 1, 2]), "is not a known key"),
    "no error": (changed(reading_error=0), "outside 0.01"),
    "not finite": (changed(left__low=[float("nan"), 560, 190]), "finite"),
    "map backwards": (changed(map__forward=[40, -40]), "the smaller first"),
    "gear without end": (changed(gear__travel=900), "more than any vehicle has"),
    "axis twice": (changed(left__caster_deg=5.0), "given twice"),
}


@pytest.mark.parametrize("name", HOSTILE)
def test_a_hostile_study_gets_a_sentence(name: str) -> None:
    data, sentence = HOSTILE[name]
    with pytest.raises(JobError) as caught:
        study_from(data, "s.toml")
    assert sentence in str(caught.value)


def test_left_and_right_swapped() -> None:
    data = changed()
    for key, value in data["left"].items():
        if isinstance(value, list):
            data["left"][key] = [value[0], -value[1], value[2]]
    data["left"]["inner"]["at"][1] *= -1
    with pytest.raises(JobError, match="left and right are swapped"):
        study_from(data, "s.toml")


@pytest.mark.parametrize("units, scale, words", [("mm", 1.0 / 25.4, "inches"), ("in", 1.0, "millimetres")])
def test_inches_for_millimetres(units: str, scale: float, words: str) -> None:
    data = changed(units=units)
    data["vehicle"]["wheelbase"] *= scale
    for key, value in data["left"].items():
        if isinstance(value, list):
            data["left"][key] = [v * scale for v in value]
    data["left"]["inner"] = [v * scale for v in data["left"]["inner"]["at"]]
    for key, value in data["left"]["arms"].items():
        data["left"]["arms"][key] = [v * scale for v in value]
    del data["map"], data["wish"]
    data["gear"]["travel"] *= scale
    with pytest.raises(JobError, match=words):
        study_from(data, "s.toml")


def test_over_centre_is_said_with_its_travel_and_a_travel_that_nowhere_closes_is_refused() -> None:
    placed = place(study_from(changed(gear__travel=200, map__count=11), "s.toml"))
    codes = {f.code for f in placed.findings}
    assert placed.best is None and {"place-now-over-centre", "place-nowhere-closes"} <= codes
    said = next(str(f.message) for f in placed.findings if f.code == "place-now-over-centre")
    assert "72.4 mm to the right" in said  # pinned; that the travel is right is judged in test_linkage_judge


def test_wishes_that_no_place_holds_are_named() -> None:
    data = changed(wish__least_angle={"at_least": 60}, map__count=11)
    placed = place(study_from(data, "s.toml"))
    missed = [str(f.message) for f in placed.findings if f.code == "place-wish-missed"]
    assert any("at least 60.0°" in m for m in missed)
    assert placed.best is not None and placed.best.tolerance_mm is None
