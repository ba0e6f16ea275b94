"""The shop file: what is written is read back to the same values; wrong values are located."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from cutplan.errors import JobError
from cutplan.files.job.shop import find_shop, read_shop, shop_from, shop_text, with_kerf, with_printer, with_weld
from cutplan.pattern.shop import KerfMeasured, PrinterScale, Shop, WeldMeasured


def test_round_trip() -> None:
    shop = Shop(name='The "corner" shop\\', source="shop.toml")
    shop = with_printer(shop, PrinterScale("laser", 1.00123456789, 0.9987, 0.0001, 0.25, 250.0))
    shop = with_printer(shop, PrinterScale("laser", 1.002, 0.999, 0.0, 0.25, 250.0))
    shop = with_kerf(shop, KerfMeasured("air plasma", 4.0, 1.46, 1.52, 0.05))
    shop = with_weld(shop, WeldMeasured("GMAW", 2.5, 1.1, 0.2, 0.8, 0.3))
    assert len(shop.printers) == 1
    assert shop_from(tomllib.loads(shop_text(shop)), "shop.toml") == shop


def test_wrong_values_are_located() -> None:
    with pytest.raises(JobError) as caught:
        shop_from({"printer": [{"x": 2.0, "nam": "a"}], "kerf": [{"x": "1 mm", "y": 0}]}, "shop.toml")
    for part in ("printer[0].x", "printer[0].nam", "kerf[0].y"):
        assert part in str(caught.value)


def test_beside_the_job_before_the_users_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    config, job = tmp_path / "config", tmp_path / "job"
    config.mkdir()
    job.mkdir()
    monkeypatch.setenv("CUTPLAN_CONFIG", str(config))
    assert find_shop(job) is None
    (config / "shop.toml").write_text('name = "config"')
    found = find_shop(job)
    assert found is not None and read_shop(found).name == "config"
    (job / "shop.toml").write_text('name = "job"')
    found = find_shop(job)
    assert found is not None and read_shop(found).name == "job"
