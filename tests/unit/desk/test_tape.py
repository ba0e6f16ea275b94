"""Tape readings on the page: written as people write them, and the figure that grows from them."""

from __future__ import annotations

import tomllib
from math import hypot
from pathlib import Path
from typing import Any

import pytest

from cutplan.project.desk.tape.figure import figure
from cutplan.project.desk.tape.lines import read_lines

ROOT = Path(__file__).parents[3]
#: A rectangle of 300 by 200 mm with a point inside; every distance is exact (Pythagoras).
PLACES = {"A": (0.0, 0.0), "B": (300.0, 0.0), "C": (300.0, 200.0), "D": (0.0, 200.0), "E": (120.0, 90.0)}
PAIRS = ["A B", "A C", "B C", "A D", "B D", "C D", "A E", "B E", "C E", "D E"]


def job(pairs: list[str], **more: Any) -> dict[str, Any]:
    def far(pair: str) -> float:
        a, b = pair.split()
        return hypot(PLACES[a][0] - PLACES[b][0], PLACES[a][1] - PLACES[b][1])

    tape = [{"from": p.split()[0], "to": p.split()[1], "length": far(p)} for p in pairs]
    return {"units": "mm", "survey": {"base": ["A", "B"], "tape": tape, **more}}


LEFT = {"side": [{"point": "C", "of": ["A", "B"], "side": "left"}]}


@pytest.mark.parametrize(
    "line, reading",
    [
        ("A B 340", ("A", "B", "340")),
        ("A-C 12 3/16", None),  # a fraction is of an inch
        ("A to C = 12 3/16 in", ("A", "C", "12 3/16 in")),
        ("B -> D: 41,5 cm", ("B", "D", "41,5 cm")),
        ("A;B;340.5", ("A", "B", "340.5")),
        ("A\tB\t340", ("A", "B", "340")),
        ("H1 – H2 140 # pitch", ("H1", "H2", "140")),
        ("A von", None),
        ("A A 3", None),
        ("A B x", None),
        ("A 340 mm", None),
    ],
)
def test_a_line_is_read_as_people_write_it(line: str, reading: tuple[str, str, str] | None) -> None:
    (found,) = read_lines(line, "mm")
    assert (found.a, found.b, found.typed) == (reading or ("", "", ""))
    assert bool(found.why) == (reading is None)


def test_a_fraction_is_read_in_inches_and_refused_in_millimetres_with_what_to_write() -> None:
    (found,) = read_lines("A-C 12 3/16", "in")
    assert (found.a, found.b, found.typed) == ("A", "C", "12 3/16")
    (found,) = read_lines("A-C 12 3/16", "mm")
    assert "fractions are of an inch" in str(found.why)


def test_the_figure_is_the_one_taped() -> None:
    found = figure(job(PAIRS, **LEFT))
    for point in found["points"]:
        assert point["at"] == pytest.approx(PLACES[point["name"]], abs=1e-3)  # exact
    assert {r["grade"] for r in found["readings"]} == {"good"} and found["waiting"] == []


def test_the_figure_grows_with_the_readings() -> None:
    counts = [len(figure(job(PAIRS[:n], **LEFT))["points"]) for n in range(len(PAIRS) + 1)]
    assert counts == [0, 2, 2, 3, 3, 4, 4, 4, 5, 5, 5]
    assert figure(job(["A B", "A C"]))["waiting"] == [{"name": "C", "have": 1}]


def test_where_two_mirror_figures_fit_both_are_shown() -> None:
    (asked,) = figure(job(PAIRS))["questions"]
    assert asked["point"] == "C" and asked["of"] == ["A", "B"]
    for name, at in PLACES.items():
        assert asked["left"][name] == pytest.approx(at, abs=1e-3)  # exact
        assert asked["right"][name] == pytest.approx((at[0], -at[1]), abs=1e-3)  # exact: mirrored about the base
    assert figure(job(PAIRS, **LEFT))["questions"] == []


def test_a_point_that_may_lie_on_either_side_is_asked_for_by_itself() -> None:
    found = figure(job(["A B", "A C", "B C", "A D", "B D"], **LEFT))
    assert [q["point"] for q in found["questions"]] == ["D"]
    assert found["questions"][0]["right"]["D"] == pytest.approx((0.0, -200.0), abs=1e-3)  # exact


def test_a_reading_that_cannot_be_right_is_named() -> None:
    data = job(PAIRS, **LEFT)
    data["survey"]["tape"][4]["length"] += 10.0
    wrong = [r for r in figure(data)["readings"] if r["grade"] == "wrong"]
    assert [(r["from"], r["to"]) for r in wrong] == [("B", "D")]
    assert wrong[0]["residual_mm"] == pytest.approx(10.0, abs=0.2)


def test_what_to_tape_next_makes_the_worst_point_better() -> None:
    found = figure(
        job(
            ["A B", "A C", "B C", "A D", "B D", "C D", "A E", "B E"],
            side=[*LEFT["side"], {"point": "E", "of": ["A", "B"], "side": "left"}],
        )
    )
    advice = found["next"]
    assert advice["error_mm"] < advice["now_mm"]
    a, b = PLACES[advice["from"]], PLACES[advice["to"]]
    assert advice["expect_mm"] == pytest.approx(hypot(a[0] - b[0], a[1] - b[1]), abs=1e-3)  # exact


def test_notes_that_make_no_sense_give_no_figure_and_no_error() -> None:
    for table in ({}, {"tape": 3}, {"base": ["A"], "tape": [{"from": "A"}]}, {"base": ["A", "B"], "tape": [3]}):
        assert figure({"units": "mm", "survey": table})["points"] == []
    assert figure({"survey": None})["points"] == []


def test_the_survey_sample_gives_a_figure_without_questions() -> None:
    data = tomllib.loads((ROOT / "sample_parts/vineyard-drawbar/job.toml").read_text())
    found = figure(data)
    assert found["questions"] == [] and found["trouble"] is None
    assert {p["name"] for p in found["points"]} >= {"A", "B", "C", "D"}
