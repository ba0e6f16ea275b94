"""A new job for a plate that is measured with a tape: every reading has its line, and the side is asked or left open."""

from __future__ import annotations

from pathlib import Path
from typing import Literal

import pytest

from cutplan.errors import CutplanError, UsageError
from cutplan.files.job.read import read_job
from cutplan.project.new.job import Wanted, new_job


def written(folder: Path, **told: object) -> Path:
    path = folder / "job.toml"
    path.write_text(new_job(path, None, Wanted(thickness_mm=4.0, skin_mm=2.0, **told)).text, encoding="utf-8")  # type: ignore[arg-type]
    return path


@pytest.mark.parametrize("count", [3, 4, 7])
@pytest.mark.parametrize("side", ["left", "right"])
@pytest.mark.parametrize("units", ["mm", "in"])
def test_the_side_decides_the_hand(tmp_path: Path, count: int, side: Literal["left", "right"], units: str) -> None:
    job = read_job(written(tmp_path, survey=count, side=side, units=units))
    box = job.plate.outline.box
    # A lies in the origin and B on the x axis by rule: the plate lies above it, or below
    assert (box.ymax > 50.0) == (side == "left") and (box.ymin < -50.0) == (side == "right")
    assert len(job.plate.outline.segments) == count


def test_a_side_left_open_is_refused(tmp_path: Path) -> None:
    path = written(tmp_path, survey=4)
    assert "LOOK at the part" in path.read_text(encoding="utf-8")
    with pytest.raises(CutplanError) as refused:
        read_job(path)
    assert "side" in str(refused.value)


@pytest.mark.parametrize("count", [2, 13])
def test_as_many_corners_as_a_tape_can_hold(tmp_path: Path, count: int) -> None:
    with pytest.raises(UsageError):
        new_job(tmp_path / "job.toml", None, Wanted(survey=count))
