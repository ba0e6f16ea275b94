"""The table ``[moved]``: what of a shift lies in the plate, what follows it, and what must be said."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest

from cutplan.cutting.checks import plate_findings
from cutplan.errors import JobError
from cutplan.files.job.read import job_from
from cutplan.geometry.vector import Point
from cutplan.pattern.checks.check import check_job
from cutplan.pattern.job import Job

SAMPLE = Path(__file__).resolve().parents[3] / "sample_parts" / "pickup-gear-plate" / "job.toml"


def job(moved: dict[str, Any] | None, marks: dict[str, Any] | None = None) -> Job:
    data = tomllib.loads(SAMPLE.read_text(encoding="utf-8"))
    data.pop("moved")
    if moved is not None:
        data["moved"] = moved
    if marks is not None:
        data["marks"] = marks
    return job_from(data, SAMPLE)


def shift_of(marks: dict[str, Any], shift: list[float]) -> Point:
    """How far the first hole moved."""
    there = job({"shift": shift, "holes": ["H1"]}, marks).plate.holes[0].centre
    return there.minus(job(None).plate.holes[0].centre)


@pytest.mark.parametrize(
    "marks, shift, expected",
    [
        ({"forward_deg": 0, "up_deg": 90}, [35, 0, -16], (35.0, -16.0)),
        ({"forward_deg": 180, "up_deg": 90}, [35, 0, -16], (-35.0, -16.0)),
        ({"up_deg": 90, "left_deg": 180}, [35, 4, -16], (-4.0, -16.0)),
        ({"forward_deg": 30, "left_deg": 120}, [10, 0, 7], (8.660254037844387, 5.0)),
    ],
)
def test_the_part_of_the_shift_that_lies_in_the_plate(
    marks: dict[str, Any], shift: list[float], expected: tuple[float, float]
) -> None:
    """exact: the sum of the shift's parts along the directions that the plate names"""
    assert tuple(shift_of(marks, shift)) == pytest.approx(expected, abs=1e-9)


def test_what_does_not_lie_in_the_plate_is_said_with_its_way() -> None:
    told = job({"shift": [35, 0, -16], "holes": ["H1"]}, {"up_deg": 90, "left_deg": 180}).origin.findings
    said = [str(f.message) for f in told if f.code == "moved-out-of-plate"]
    assert said == ["35.0 mm forward of the shift do not lie in the plate"]
    assert not [
        f for f in job({"shift": [35, 0, -16], "holes": ["H1"]}).origin.findings if f.code == "moved-out-of-plate"
    ]


def test_pads_go_with_their_hole_once_and_take_the_mounts_tolerance() -> None:
    before = job(None)
    after = job({"shift": [35, 0, -16], "holes": ["H1", "H2"], "pads": ["rear bolt"], "tolerance": 1.2})
    for old, new in zip(before.pads, after.pads, strict=True):
        assert tuple(new.centre.minus(old.centre)) == pytest.approx((-35.0, -16.0), abs=1e-9)
        assert new.pitch_mm == 1.2
    alone = job({"shift": [10, 0, 0], "pads": ["rear bolt"]})
    assert alone.plate.holes == before.plate.holes and alone.pads[0] == before.pads[0]
    assert tuple(alone.pads[1].centre.minus(before.pads[1].centre)) == pytest.approx((-10.0, 0.0), abs=1e-9)
    assert alone.pads[1].pitch_mm == before.pads[1].pitch_mm


def test_edge_distances_and_the_plates_edge_are_checked_after_the_move() -> None:
    sound = job({"shift": [35, 0, -16], "holes": ["H1", "H2"]})
    assert not [f for f in check_job(sound) if f.severity == "error"]
    out = job({"shift": [100, 0, 0], "holes": ["H1", "H2"]})
    assert any(f.severity == "error" for f in check_job(out))
    near = job({"shift": [0, 0, -66], "holes": ["H1", "H2"]})
    told = [[f.code for f in plate_findings(j, j.plate.region, j.plate.holes, 1.8)] for j in (near, sound)]
    assert "bolt-edge-distance" in told[0] and "bolt-edge-distance" not in told[1]


@pytest.mark.parametrize(
    "moved, marks, sentence",
    [
        ({"shift": [1, 2], "holes": ["H1"]}, None, "the shift has three lengths"),
        ({"holes": ["H1"]}, None, "is missing"),
        ({"shift": [1, 0, 0]}, None, "nothing is named that moves"),
        ({"shift": [1, 0, 0], "holes": ["H9"]}, None, "none of the name H9"),
        ({"shift": [1, 0, 0], "holes": "H1"}, None, "is not a list of names"),
        ({"shift": [1, 0, 0], "holes": ["H1"], "study": "../study.toml"}, None, "lies beside the job file"),
        ({"shift": [1, 0, 0], "holes": ["H1"]}, {"forward_deg": 0}, "at right angles"),
        ({"shift": [1, 0, 0], "holes": ["H1"]}, {"forward_deg": 0, "up_deg": 45}, "at right angles"),
        ({"shift": [1, 0, 0], "holes": ["H1"], "hole": 1}, None, "is not a known key"),
    ],
)
def test_a_wrong_table_gets_a_sentence(moved: dict[str, Any], marks: dict[str, Any] | None, sentence: str) -> None:
    with pytest.raises(JobError) as caught:
        job(moved, marks)
    assert sentence in str(caught.value)
