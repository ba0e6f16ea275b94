"""The form of measurements: read in any common CSV, every bad line named with its number."""

from __future__ import annotations

import pytest

from cutplan.errors import JobError
from cutplan.inspection.readings import read_readings

HEAD = "kind,name,to,plan,measured,unit,note\n"


def test_lines_become_readings_in_millimetres() -> None:
    rows = read_readings(HEAD + "distance,H1,H2,200,199.5,mm,\ngap,G1,,1,3/64,in,tight\ngap,G2,,1,,mm,\n")
    assert [r.label for r in rows] == ["H1-H2", "gap G1", "gap G2"]
    assert rows[0].measured_mm == 199.5
    assert rows[1].measured_mm == pytest.approx(3 / 64 * 25.4)  # exact
    assert rows[2].measured_mm is None
    assert rows[1].note == "tight" and rows[1].line == 3


@pytest.mark.parametrize("written", ["7.875 in", "7 7/8 in", '7 7/8"', "200.025 mm"])
def test_a_value_may_carry_its_own_unit(written: str) -> None:
    quoted = '"' + written.replace('"', '""') + '"'
    (row,) = read_readings(HEAD + f"distance,H1,H2,200,{quoted},mm,\n")
    assert row.measured_mm == pytest.approx(200.025)  # exact: 7.875 x 25.4


def test_semicolons_with_decimal_commas_and_a_byte_mark() -> None:
    (row,) = read_readings("\ufeff" + HEAD.replace(",", ";") + "dial;A;1;0;0,35;mm;\n")
    assert row.measured_mm == pytest.approx(0.35)


def test_all_bad_lines_are_named_at_once() -> None:
    bad = (
        "distanz,H1,H2,,1,mm",
        "gap,,,,1,mm",
        "distance,H1,,,1,mm",
        "gap,G1,,,one,mm",
        "gap,G1,,,-1,mm",
        "gap,G2,,,1,ell",
    )
    text = HEAD + "\n".join(bad)
    with pytest.raises(JobError) as caught:
        read_readings(text, where="m.csv")
    said = str(caught.value)
    for line in range(2, 8):
        assert f"m.csv:{line}:" in said
    assert "nearest: 'distance'" in said
    assert "6 problems" in said


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "empty"),
        ("kind,name\n", "'measured' is missing"),
        ("kind,nane,measured\n", "nearest: 'name'"),
        (HEAD + "distance,H1,H2,200,199,5,mm,\n", "decimal comma needs quotes"),
        (HEAD + "gap,G1,,,30000,mm,\n", "longer than any plate"),
    ],
)
def test_a_form_that_cannot_be_used(text: str, words: str) -> None:
    with pytest.raises(JobError) as caught:
        read_readings(text)
    assert words in str(caught.value)


def test_too_many_lines_are_refused() -> None:
    with pytest.raises(JobError, match="at most"):
        read_readings(HEAD + "gap,G1,,,1,mm,\n" * 6000)
