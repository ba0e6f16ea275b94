"""The sample inside the package is the main sample, byte for byte."""

from __future__ import annotations

from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]


@pytest.mark.parametrize("name", ["job.toml", "plate.dxf"])
def test_the_packaged_sample_is_the_main_sample(name: str) -> None:
    packaged = (ROOT / "cutplan" / "demo_part" / name).read_bytes()
    assert packaged == (ROOT / "sample_parts" / "van-nose-mount" / name).read_bytes()
