"""The offset of real drawings, judged by sampling; where they are absent, of the samples' own."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from offset_judge import offset_error

from cutplan.files.drawing_in import read_drawing
from cutplan.findings import errors
from cutplan.geometry.check import check_region
from cutplan.geometry.offset.regions import offset_region
from cutplan.tolerance import OFFSET_MM

FOLDER = Path(os.environ.get("CUTPLAN_DRAWINGS", Path(__file__).parents[3] / ".." / "shared" / "drawings"))
OWN = sorted((Path(__file__).parents[3] / "sample_parts").glob("*/plate.dxf"))
FILES = (sorted(FOLDER.glob("plate-*.*")) if FOLDER.is_dir() else []) or OWN


@pytest.mark.parametrize("file", FILES, ids=lambda f: f"{f.parent.name}-{f.name}")
def test_offset_of_a_drawing(file: Path) -> None:
    for part in read_drawing(file).parts:
        if errors(check_region(part.region)):
            continue
        for distance in (0.75, -0.75):
            result = offset_region(part.region, distance)
            assert offset_error(part.region, result.regions, distance, step_mm=2.0) <= OFFSET_MM
            for region in result.regions:
                assert all(s.length >= 1e-3 for c in region.contours for s in c.segments)
