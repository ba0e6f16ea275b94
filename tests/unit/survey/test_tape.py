"""Tape survey: exact constructions, a textbook adjustment, mirror images, wrong readings, a plate from a tape alone."""

from __future__ import annotations

from itertools import combinations
from math import dist, sqrt

import numpy as np
import pytest

from cutplan.errors import DrawingError
from cutplan.geometry.vector import Point
from cutplan.survey.tape import Reading, Side, adjust, surveyed_plate

CORNERS = {"A": (0.0, 0.0), "B": (400.0, 0.0), "C": (420.0, 250.0), "D": (-10.0, 240.0), "H": (180.0, 130.0)}


C_LEFT = Side("C", "A", "B", "left")


def taped(
    points: dict[str, tuple[float, float]], digits: int = 12, slip: dict[str, float] | None = None
) -> list[Reading]:
    slip = slip or {}
    return [
        Reading(a, b, round(dist(points[a], points[b]), digits) + slip.get(a + b, 0.0))
        for a, b in combinations(points, 2)
    ]


def test_exact_distances_give_the_exact_points() -> None:
    survey = adjust({"A": Point(0, 0), "B": Point(400, 0)}, taped(CORNERS), sides=[Side("C", "A", "B", "left")])
    for name, at in CORNERS.items():
        assert tuple(survey.at(name)) == pytest.approx(at, abs=1e-9)  # exact construction
    assert survey.unit_error == pytest.approx(0.0, abs=1e-9)
    assert survey.spare_readings == 10 - 6
    assert not survey.findings


def test_three_four_five_from_two_points_and_its_mirror_image() -> None:
    known = {"A": Point(0, 0), "B": Point(5, 0)}
    readings = [Reading("A", "P", 3.0, 0.01), Reading("B", "P", 4.0, 0.01)]
    with pytest.raises(DrawingError, match="mirror image"):
        adjust(known, readings)
    left = adjust(known, readings, sides=[Side("P", "A", "B", "left")])
    right = adjust(known, readings, sides=[Side("P", "A", "B", "right")])
    assert tuple(left.at("P")) == pytest.approx((1.8, 2.4))  # exact: right triangle 3, 4, 5
    assert tuple(right.at("P")) == pytest.approx((1.8, -2.4))
    # exact: the two circles cross at a right angle, so each coordinate direction has the reading's own error
    assert next(p for p in left.points if p.name == "P").error_mm == pytest.approx(0.01)
    assert any(f.code == "reading-unchecked" for f in left.findings)


def test_textbook_trilateration() -> None:
    # from memory: Ghilani, Adjustment Computations, the trilateration example with one unknown station (feet). That the
    # three distances of about 5,000 ft meet within 0.1 ft supports the data as remembered.
    known = {"A": Point(865.40, 4527.15), "B": Point(2432.55, 2047.25), "C": Point(2865.22, 27.15)}
    readings = [Reading("A", "U", 6049.00), Reading("B", "U", 4736.83), Reading("C", "U", 5446.49)]
    survey = adjust(known, readings)
    from scipy.optimize import least_squares  # exact: another solver for the same sum of squares

    places = np.array([tuple(p) for p in known.values()])
    lengths = np.array([r.distance_mm for r in readings])
    judge = least_squares(lambda p: np.hypot(*(places - p).T) - lengths, [6000.0, 3000.0], xtol=1e-15, ftol=1e-15)
    assert tuple(survey.at("U")) == pytest.approx(tuple(judge.x), abs=1e-5)
    assert max(abs(c.residual_mm) for c in survey.readings) < 0.1
    # exact: covariance of the judge's own derivatives, with the tape's 0.5 where the readings agree better than that
    s0 = max(0.5, sqrt(float((judge.fun**2).sum())))
    largest = s0 * sqrt(float(np.linalg.eigvalsh(np.linalg.inv(judge.jac.T @ judge.jac))[-1]))
    assert next(p for p in survey.points if p.name == "U").error_mm == pytest.approx(largest, rel=1e-4)


def test_standard_error_matches_repeated_surveys() -> None:
    rng = np.random.default_rng(5)
    places = []
    for _ in range(300):
        noisy = [Reading(r.a, r.b, r.distance_mm + rng.normal(0.0, 0.5), 0.5) for r in taped(CORNERS)]
        survey = adjust({"A": Point(0, 0), "B": Point(400, 0)}, noisy[1:], sides=[Side("C", "A", "B", "left")])
        if not any(f.code == "reading-wrong" for f in survey.findings):
            places.append(tuple(survey.at("H")))
    seen = sqrt(float(np.linalg.eigvalsh(np.cov(np.array(places).T))[-1]))
    quiet = adjust({"A": Point(0, 0), "B": Point(400, 0)}, taped(CORNERS)[1:], sides=[Side("C", "A", "B", "left")])
    stated = next(p for p in quiet.points if p.name == "H").error_mm
    assert seen == pytest.approx(stated, rel=0.15)  # exact but for 300 draws: about 4 percent of spread


@pytest.mark.parametrize(("pair", "slip"), [("BD", 10.0), ("AC", -25.4), ("BH", 10.0)])
def test_a_wrong_reading_is_found_and_its_right_value_told(pair: str, slip: float) -> None:
    survey = adjust({}, taped(CORNERS, 1, {pair: slip}), base=("A", "B"), sides=[C_LEFT])
    (found,) = [f for f in survey.findings if f.code == "reading-wrong"]
    assert str(found.where) == f"{pair[0]} - {pair[1]}"
    right = dist(CORNERS[pair[0]], CORNERS[pair[1]])
    told = float(str(found.fix).split("make it ")[1].split(" mm")[0])
    assert told == pytest.approx(right, abs=1.0)
    assert tuple(survey.at("C")) == pytest.approx(CORNERS["C"], abs=0.5)


def test_readings_that_look_at_one_error_are_named_together() -> None:
    """A, H and C lie nearly in one line: a slip in A - H or in C - H leaves the same misfits, so neither is blamed."""
    for pair in ("CH", "AH"):
        survey = adjust({}, taped(CORNERS, 12, {pair: 5.0}), base=("A", "B"), sides=[C_LEFT])
        (found,) = [f for f in survey.findings if f.severity == "warning"]
        assert found.code == "readings-disagree" and set(str(found.where).split(", ")) == {"A - H", "C - H"}


def test_plate_from_a_survey_alone() -> None:
    survey = adjust({}, taped(CORNERS, 1), base=("A", "B"), sides=[C_LEFT])
    plate = surveyed_plate(survey, ["A", "B", "C", "D"], [("H", 60.0)])
    # exact: area of the corners by the surveyor's formula, less the hole
    c = [CORNERS[n] for n in "ABCD"]
    area = 0.5 * sum(c[i][0] * c[(i + 1) % 4][1] - c[(i + 1) % 4][0] * c[i][1] for i in range(4))
    assert plate.area == pytest.approx(area - np.pi * 900, rel=1e-3)
    assert plate.outer.ccw and len(plate.holes) == 1


@pytest.mark.parametrize("turned", [False, True])
def test_a_figure_and_its_mirror_image_are_never_chosen_between(turned: bool) -> None:
    """Points on both sides of the base line: no order of the readings decides for one figure in silence."""
    readings = taped({**CORNERS, "P": (150.0, -70.0)})
    for some in (readings, readings[::-1], [*readings[5:], *readings[:5]]):
        with pytest.raises(DrawingError, match="mirror image") as told:
            adjust({}, some, base=("B", "A") if turned else ("A", "B"))
        assert "side = [{ point =" in str(told.value.hint) and "P" in str(told.value.message)
    found = {
        s: adjust({}, readings, base=("A", "B"), sides=[Side("P", "A", "B", s)]).at("C").y for s in ("left", "right")
    }
    assert found["right"] == pytest.approx(-found["left"]) and found["right"] > 0.0


def test_surveys_that_cannot_be_settled() -> None:
    two = {"A": Point(0, 0), "B": Point(100, 0)}
    for known, readings, base in (
        (two, [Reading("A", "P", 50.0)], None),
        (two, [Reading("A", "P", -1.0), Reading("B", "P", 60.0)], None),
        (two, [Reading("P", "P", 5.0)], None),
        ({}, [Reading("A", "B", 5.0)], None),
        ({}, [Reading("A", "C", 5.0), Reading("B", "C", 5.0)], ("A", "B")),
        (two, [Reading("A", "P", float("nan")), Reading("B", "P", 60.0)], None),
    ):
        with pytest.raises(DrawingError):
            adjust(known, readings, base=base)
    survey = adjust({}, taped(CORNERS), base=("A", "B"), sides=[C_LEFT])
    for outline, holes in ((["A", "B"], []), (["A", "B", "X"], []), (["A", "B", "C"], [("H", 0.0)])):
        with pytest.raises(DrawingError):
            surveyed_plate(survey, outline, holes)


@pytest.mark.parametrize(("pair", "slip"), [("BD", 4000.0), ("CH", 900.0)])
def test_a_figure_too_many_is_one_message(pair: str, slip: float) -> None:
    """A 910 written for 91: named before anything is adjusted, and the others' value told from the whole fit."""
    survey = adjust({}, taped(CORNERS, 1, {pair: slip}), base=("A", "B"), sides=[C_LEFT])
    assert [f.code for f in survey.findings if f.severity != "note" and f.code != "reading-unchecked"] == [
        "reading-wrong"
    ]
    assert "no triangle" in str(survey.findings[0].message)
    told = float(str(survey.findings[0].fix).split("make it ")[1].split(" mm")[0])
    assert told == pytest.approx(dist(CORNERS[pair[0]], CORNERS[pair[1]]), abs=1.0)
    with pytest.raises(DrawingError, match="A to B of"):
        adjust({}, taped(CORNERS, 1, {"AB": 4000.0}), base=("A", "B"), sides=[C_LEFT])
