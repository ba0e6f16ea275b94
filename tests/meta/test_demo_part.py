"""The sample inside the package is the main sample, byte for byte."""

from __future__ import annotations

from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]


@pytest.mark.parametrize(
    "folder, name",
    [("van-nose-mount", "job.toml"), ("van-nose-mount", "plate.dxf"), ("pickup-gear-plate", "study.toml")],
)
def test_the_packaged_sample_is_the_main_sample(folder: str, name: str) -> None:
    packaged = (ROOT / "cutplan" / "demo_part" / name).read_bytes()
    assert packaged == (ROOT / "sample_parts" / folder / name).read_bytes()
