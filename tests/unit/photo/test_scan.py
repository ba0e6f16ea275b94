"""Two scans of a card longer than the glass, joined by the strips that both show."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from rig.cases import known
from rig.judge import judge
from rig.render import jpeg
from rig.scan import Glass, long_card, scan

from cutplan.photo.picture import read_picture
from cutplan.photo.plate import Wanted, trace


@pytest.mark.slow
def test_two_scans_make_one_plate(tmp_path: Path) -> None:
    scene = long_card()
    stretch, skew = (1.0011, 0.9994), 0.0008
    glasses = (
        Glass(-98.0, 2.0, turn_deg=0.6, stretch=stretch, skew=skew),
        Glass(99.0, -3.0, turn_deg=-1.2, stretch=stretch, skew=skew),
    )
    paths = [tmp_path / f"{i}.jpg" for i in range(2)]
    for i, (path, glass) in enumerate(zip(paths, glasses, strict=True)):
        path.write_bytes(jpeg(scan(scene, glass, 200.0, i), 95))
    k = known(scene, 2, 3)
    r = trace([read_picture(p) for p in paths], Wanted(3.0, (k,), scan=True))
    v = judge(r.region, scene.card, r.outer_errors)
    # exact truth: the card's outline
    assert v.rms <= 0.03 and abs(v.bias) <= 0.02
    assert v.pieces == 8 and v.same_kinds
    assert np.abs(v.hole_diameter).max() <= 0.04 and v.hole_place.max() <= 0.04
    assert r.height_mm is None and all(h.proved for h in r.holes)
