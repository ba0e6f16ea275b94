"""Random plates against an outside CAD kernel, whose answers are kept in shared/ with the script that made them.

The kernel (OpenCascade) is not infallible: on some plates it gives no offset or loses pieces. Where its
contours differ from ours, ours must pass the sampling judge, and such plates must be few.
"""

from __future__ import annotations

import json
from pathlib import Path
from statistics import median
from typing import Any

import pytest
from offset_judge import offset_error
from random_plates import random_plate

from cutplan.geometry.offset.regions import offset_region
from cutplan.tolerance import OFFSET_MM

FILE = Path(__file__).parents[3] / "shared" / "kernel-random-plates.json"
ROWS: list[dict[str, Any]] = json.loads(FILE.read_text())["plates"]


def test_all_plates_are_there() -> None:
    assert [r["plate"] for r in ROWS] == list(range(500))


def test_area_and_length() -> None:
    for row in ROWS:
        plate = random_plate(row["plate"])
        # published: kept answers of the kernel; promised agreement 1e-9
        assert plate.area == pytest.approx(row["area_mm2"], rel=1e-9)
        assert plate.perimeter == pytest.approx(row["length_mm"], rel=1e-9)
        assert sum(len(c.segments) for c in plate.contours) == row["segments"]


def _compare(rows: list[dict[str, Any]]) -> tuple[list[float], int]:
    """Ratios of entity counts, and how often the kernel's contours differ from ours."""
    ratios, differing = [], 0
    for row in rows:
        plate = random_plate(row["plate"])
        for key, theirs in row["offsets"].items():
            if theirs is None:
                continue
            result = offset_region(plate, float(key))
            curves = [c for r in result.regions for c in r.contours]
            areas = sorted((c.area for c in curves), reverse=True)
            if len(areas) != len(theirs["areas"]) or areas != pytest.approx(theirs["areas"], rel=1e-7, abs=1e-5):
                differing += 1
                assert offset_error(plate, result.regions, float(key)) < OFFSET_MM
                continue
            assert sum(c.length for c in curves) == pytest.approx(theirs["length"], rel=1e-7)
            ratios.append(sum(len(c.segments) for c in curves) / theirs["entities"])
    return ratios, differing


def test_offsets_of_some_plates() -> None:
    ratios, differing = _compare(ROWS[:60])
    assert median(ratios) <= 1.0
    assert differing <= 6


@pytest.mark.slow
def test_offsets_of_all_plates() -> None:
    ratios, differing = _compare(ROWS)
    assert len(ratios) > 900
    assert median(ratios) <= 1.0
    assert differing <= 50
