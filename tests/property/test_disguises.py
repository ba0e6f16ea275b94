"""The law of reading: a plate is read or refused, whatever its disguise; it is never read as another plate."""

from __future__ import annotations

from pathlib import Path
from random import Random

import pytest
from disguises import DISGUISES, same_plate
from drawing_help import save
from oracles.whole_account import told_mm
from random_plates import random_plate

from cutplan.errors import CutplanError
from cutplan.files.drawing_in import read_drawing


def law(folder: Path, name: str, seeds: range) -> None:
    """Assert the law for one disguise over the plates of some seeds."""
    disguise, must_be_read = DISGUISES[name]
    for seed in seeds:
        plate = random_plate(seed)
        if name == "a sheet's border" and not plate.holes:
            continue  # a frame around a plate without a hole is a plate with an opening: the same drawing
        path = save(folder, disguise(plate, Random(seed)))
        try:
            drawing = read_drawing(path)
        except CutplanError:
            assert not must_be_read, f"plate {seed}"
            continue
        account = drawing.account
        assert told_mm(account) == pytest.approx(account.drawn_mm, rel=1e-3), f"plate {seed}"
        if not drawing.sound:
            assert not must_be_read, f"plate {seed}: {[str(f.message) for f in drawing.findings]}"
            continue
        assert len(drawing.parts) == 1 and same_plate(drawing.parts[0].region, plate), f"plate {seed}"
        assert drawing.units.mm_per_unit == 1.0, f"plate {seed}"


@pytest.mark.parametrize("name", DISGUISES)
def test_a_plate_is_read_or_refused(tmp_path: Path, name: str) -> None:
    law(tmp_path, name, range(12))


@pytest.mark.slow
@pytest.mark.parametrize("name", DISGUISES)
def test_a_plate_is_read_or_refused_over_many(tmp_path: Path, name: str) -> None:
    law(tmp_path, name, range(12, 160))
