"""summary.json: the keys of the contract, plain and sorted, the same for the same input."""

from __future__ import annotations

import json

import pytest
from sheet_results import small, small_job

from cutplan.report.summary import summary
from cutplan.sheets.results import Results

#: The keys that the design promises.
PROMISED = {
    "": ("job", "units", "versions", "shop", "plate", "templates", "cut", "opening", "weld", "cautions", "findings"),
    "plate": ("area_mm2", "net_area_mm2", "mass_kg", "holes", "perimeter_mm"),
    "templates": ("paper", "pages", "overlap_mm", "seams_through_holes", "scale"),
    "cut": ("process", "kerf_mm", "path_length_mm", "rapid_length_mm", "pierces", "drilled_not_cut"),
    "opening": ("perimeter_mm", "sections", "order", "braces", "worth"),
    "weld": (
        "length_mm",
        "tacks",
        "stitches",
        "metal_kg",
        "wire_kg",
        "heat_input_J_per_mm",
        "orders",
        "chosen",
        "brace",
        "wait_s",
    ),
}


@pytest.mark.parametrize("part", sorted(PROMISED))
def test_the_promised_keys_are_there(part: str) -> None:
    whole = summary(small())
    held = whole[part] if part else whole
    assert set(PROMISED[part]) <= set(held)


def test_orders_hold_bands_and_names() -> None:
    weld = summary(small())["weld"]
    assert weld["chosen"] in [o["name"] for o in weld["orders"]]
    for o in weld["orders"]:
        assert {"name", "flatness_mm", "pitch_mm", "order"} <= set(o)
        assert o["flatness_mm"]["low"] <= o["flatness_mm"]["mid"] <= o["flatness_mm"]["high"]
        beads = [b.rstrip("<") for b in o["order"]]
        assert sorted(beads) == sorted(weld["tack_order"] + weld["stitch_order"])
    (chosen,) = [o for o in weld["orders"] if o["chosen"]]
    assert [b.rstrip("<") for b in chosen["order"]] == weld["tack_order"] + weld["stitch_order"]


def test_keys_are_sorted_at_every_level() -> None:
    def walk(value: object) -> None:
        if isinstance(value, dict):
            assert list(value) == sorted(value)
            for v in value.values():
                walk(v)
        elif isinstance(value, list):
            for v in value:
                walk(v)

    walk(summary(small()))


def test_it_is_plain_json_and_the_same_twice() -> None:
    first = json.dumps(summary(small()), allow_nan=False)
    assert first == json.dumps(summary(small()), allow_nan=False)


def test_plate_figures_by_formula() -> None:
    plate = summary(small())["plate"]
    # exact: rectangle 260 by 180 with corners of radius 20
    area = 260.0 * 180.0 - (4.0 - 3.141592653589793) * 20.0**2
    assert plate["area_mm2"] == pytest.approx(area, abs=1e-3)
    assert plate["perimeter_mm"] == pytest.approx(2 * (220.0 + 140.0) + 2 * 3.141592653589793 * 20.0, abs=1e-3)
    assert plate["mass_kg"] == pytest.approx(plate["net_area_mm2"] * 4.0 * 7.85e-6, abs=1e-4)
    assert plate["holes"] == 6


def test_a_trade_that_was_not_planned_is_null() -> None:
    bare = summary(Results(small_job()))
    assert bare["weld"] is None and bare["cut"] is None and bare["opening"] is None and bare["templates"] is None
    assert bare["cautions"]
