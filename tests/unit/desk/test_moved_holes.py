"""On the page, what follows a study is shown where it goes and cannot be pushed about: its entry says where it was."""

from __future__ import annotations

import tomllib
from pathlib import Path

from cutplan.files.job.read import job_from
from cutplan.project.desk import shapes

SAMPLE = Path(__file__).resolve().parents[3] / "sample_parts" / "pickup-gear-plate" / "job.toml"


def test_a_moved_hole_is_not_free() -> None:
    data = tomllib.loads(SAMPLE.read_text(encoding="utf-8"))
    shown = shapes.holes(job_from(data, SAMPLE), data)
    assert [h["free"] for h in shown] == [False, False]
    assert shown[0]["at"] == [50.0, 65.0]  # exact: drawn at (85, 80), 35 forward is to the left, 15 down
    del data["moved"]
    assert [h["free"] for h in shapes.holes(job_from(data, SAMPLE), data)] == [True, True]
