"""Lengths at the door. Expected values are exact: the inch is 25.4 mm by definition."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cutplan.errors import CutplanError
from cutplan.units import (
    POINTS_PER_MM,
    format_feed,
    format_gas,
    format_length,
    format_travel,
    inch_fraction,
    parse_length,
)


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("38 mm", 38.0),
        ("1 1/2 in", 38.1),
        ("3/16 in", 4.7625),
        ("1-1/2 in", 38.1),
        ('3/16"', 4.7625),
        ("38,5", 38.5),
        ("2 ft", 609.6),
        ("2' 3 1/2\"", 698.5),
        ("0.5in", 12.7),
        ("12 cm", 120.0),
        ("-3 mm", -3.0),
        (7, 7.0),
    ],
)
def test_written_lengths(text: str | int, mm: float) -> None:
    assert parse_length(text) == mm


def test_plain_numbers_take_the_unit_of_the_file() -> None:
    assert parse_length(1.5, "in") == 38.1
    assert parse_length("1.5", "in") == 38.1
    assert parse_length("1.5 mm", "in") == 1.5


@pytest.mark.parametrize("text", ["1/2", "12 3/16", "1/2 mm"])
def test_a_fraction_is_of_an_inch_and_never_of_a_millimetre(text: str) -> None:
    with pytest.raises(CutplanError) as caught:
        parse_length(text)
    assert parse_length(str(caught.value.hint).split('"')[1]) == parse_length(text.removesuffix(" mm"), "in")


@pytest.mark.parametrize(
    "bad",
    [
        "",
        "abc",
        "1/0 in",
        "3 furlong",
        "1 2 3",
        "nan",
        "inf",
        "1e99999999",
        True,
        None,
        float("nan"),
        float("inf"),
        [1],
        "9" * 400,
    ],
)
def test_what_is_no_length_is_refused_with_its_place(bad: object) -> None:
    with pytest.raises(CutplanError) as caught:
        parse_length(bad, where="plate.thickness")  # type: ignore[arg-type]
    assert caught.value.where == "plate.thickness"
    assert caught.value.hint


def test_fractions_for_an_inch_shop() -> None:
    assert inch_fraction(38.1) == "1 1/2"
    assert inch_fraction(25.4 * 63 / 64) == "63/64"
    assert inch_fraction(0.05) == "0"
    assert inch_fraction(-3.175) == "-1/8"
    assert format_length(38.1, "in") == "1 1/2 in (38.1 mm)"
    assert format_length(38.1) == "38.1 mm"


@given(st.integers(0, 64 * 400))
def test_every_64th_comes_back(n: int) -> None:
    assert parse_length(inch_fraction(25.4 * n / 64), "in") == pytest.approx(25.4 * n / 64, rel=1e-15)


def test_points_per_millimetre() -> None:
    assert pytest.approx(72.0, abs=1e-12) == POINTS_PER_MM * 25.4  # exact: 1/72 inch


def test_what_a_welding_machine_is_set_to_is_told_in_the_shops_units() -> None:
    assert format_feed(76.2, "in") == "180 in/min (4.6 m/min)"  # exact: 3 in/s
    assert format_feed(76.2) == "4.6 m/min"
    assert format_travel(25.4 / 3.0, "in") == "20 in/min"  # exact
    assert format_travel(8.0) == "48 cm/min"  # exact
    assert format_gas(9.0, "in") == "19 ft³/h (9 l/min)"  # exact: 9 * 60 / 28.3168 = 19.07
    assert format_gas(9.0) == "9 l/min"
