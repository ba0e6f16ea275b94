"""Lengths in inches: a fraction where it tells the length, thousandths where it does not."""

from __future__ import annotations

import pytest

from cutplan.texts import Reader, band, inch_or_mm, mm, number, say, span
from cutplan.texts.render import shown
from cutplan.units import inch_text

INCH = Reader("en", "in")


@pytest.mark.parametrize(
    ("length_mm", "text"),
    [
        (0.0, "0"),
        (38.1, "1 1/2"),  # exact
        (3.0, "0.118"),  # exact: 3 / 25.4; 1/8 in would be 3.175 mm
        (3.175, "1/8"),  # exact
        (1.2, "3/64"),  # 1.19 mm: within one part in a hundred
        (0.5, "0.020"),  # exact: 0.5 / 25.4, no 1/64
        (-0.5, "-0.020"),
        (0.9, "0.035"),  # the wire that shops call 0.035
        (0.01, "0.0004"),
        (0.0001, "0.000004"),  # exact: never "0 in"
        (-3e-15, "0"),  # what a computer leaves of nought
    ],
)
def test_inches_of_a_length(length_mm: float, text: str) -> None:
    assert inch_text(length_mm) == text


def test_what_is_written_is_within_seven_parts_of_a_hundred_of_the_length() -> None:
    for tenths in range(1, 400):
        length = 0.1 * tenths
        whole, _, part = inch_text(length).rpartition(" ")
        over, _, under = part.partition("/")
        read = (float(whole or 0) + float(over) / float(under or 1)) * 25.4
        # exact: half a thousandth of an inch, or half of 1/64 in where the length is an eighth
        assert abs(read - length) <= max(0.0127, 0.0625 * length), length


def test_a_band_and_a_range_are_said_in_inches_first() -> None:
    assert shown(span(1.27, 2.54, digits=2), INCH) == "0.050 to 0.100 in (1.27 to 2.54 mm)"
    assert shown(band(0.07, 0.16, 0.26, digits=2), INCH) == "0.006 in (0.003 to 0.010), 0.16 mm (0.07 to 0.26)"
    assert shown(band(70.0, 100.0, 130.0, "degC", 0), INCH) == "100 °C (70 to 130)"
    assert shown(mm(0.3), INCH) == "0.012 in (0.3 mm)"


@pytest.mark.parametrize(
    ("length_mm", "said"),
    [
        (38.1, "1 1/2 in (38.1 mm)"),  # exact: a tube of an inch size
        (50.8, "2 in (50.8 mm)"),
        (4.7625, "3/16 in (4.76 mm)"),  # exact: 3/16 in, no more digits than a caliper has
        (42.4, "42.4 mm"),  # a tube by the metric row
        (0.9, "0.9 mm"),
    ],
)
def test_a_size_by_standard_is_told_in_the_units_of_its_standard(length_mm: float, said: str) -> None:
    assert INCH(say("{size}", size=inch_or_mm(length_mm, None))) == said


def test_a_band_is_told_in_one_way() -> None:
    # exact: 0.45, 0.30 and 0.79 over 25.4; alone 0.79 mm is told as 1/32
    assert shown(band(0.30, 0.45, 0.79, digits=2), INCH).startswith("0.018 in (0.012 to 0.031), ")
    assert shown(span(3.175, 6.35), INCH).startswith("1/8 to 1/4 in")


def test_a_speed_of_welding_is_told_in_the_reader_s_unit() -> None:
    text = say("{speed}", speed=number(29.0, "cm/min", 0))
    # exact: 290 / 25.4 = 11.4
    assert (Reader("en", "mm")(text), INCH(text)) == ("29 cm/min", "11 in/min")
    assert INCH(say("{rough}", rough=number(42.0, "um", 0))) == "42 µm"
