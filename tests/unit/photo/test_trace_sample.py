"""The sample's photographs against the card that they were rendered from."""

from __future__ import annotations

import io
import json
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from rig.judge import judge
from rig.sample import card

from cutplan.errors import CutplanError
from cutplan.files.drawing_in import read_drawing
from cutplan.geometry.segment import Arc
from cutplan.project.trace import Found, confirm, told
from cutplan.project.trace_files import account_of, table_of, write_plate
from cutplan.texts import Reader


def test_the_plate_is_the_card(found: Found) -> None:
    # exact truth: the card's own outline; 0.38 mm a pixel
    v = judge(found.traced.region, card(), found.traced.outer_errors)
    assert v.rms <= 0.03
    assert abs(v.bias) <= 0.03
    assert v.largest <= 0.10
    assert v.pieces == 10 and v.same_kinds
    assert np.abs(v.line_off).max() <= 0.03
    round_ = np.isfinite(v.hole_diameter)
    assert round_.sum() == 3
    assert np.abs(v.hole_diameter[round_]).max() <= 0.06
    assert v.hole_place.max() <= 0.05


def test_the_slot_is_two_lines_and_two_half_circles(found: Found) -> None:
    slot = next(h.contour for h in found.traced.holes if h.contour.as_circle() is None)
    arcs = [s for s in slot.segments if isinstance(s, Arc)]
    assert (len(slot.segments), len(arcs)) == (4, 2)
    assert [a.radius for a in arcs] == pytest.approx([7.0, 7.0], abs=0.05)
    assert slot.area == pytest.approx(20.0 * 14.0 + np.pi * 49.0, rel=0.006)  # exact formula of the slot


def test_errors_told_are_of_the_size_of_the_errors_made(found: Found) -> None:
    v = judge(found.traced.region, card(), found.traced.outer_errors)
    ratio = np.concatenate([v.line_off / v.line_told, v.radius_off / v.radius_told])
    assert 0.01 < np.mean(ratio**2) < 4.0  # one scene, and a kind one; the benchmark draws many by chance
    assert found.traced.account.scale == pytest.approx(0.1 / 399.8, rel=0.15)  # the reading over the length


def test_height_and_print_axes_are_found_though_nobody_gave_them(found: Found) -> None:
    assert found.traced.height_mm == pytest.approx(2.5, abs=0.06)
    scale = found.traced.solved.adjusted.scale
    assert scale == pytest.approx([1.0021, 1.0034], abs=4e-4)  # what the rig printed with


def test_the_drawing_reads_back_as_the_same_plate(found: Found, tmp_path: Path) -> None:
    path, beside = write_plate(found, tmp_path / "plate.dxf")
    part = read_drawing(path).parts[0].region
    assert part.area == pytest.approx(found.traced.region.area, abs=0.01)
    assert len(part.holes) == 4
    account = json.loads(beside.read_text(encoding="utf-8"))
    assert [h["name"] for h in account["holes"]] == ["H1", "H2", "H3", "H4"]
    assert all(h["proved"] and 0.0 < h["place_error_mm"] < 0.1 for h in account["holes"])
    assert {k: v for k, v in account.items() if k not in ("drawing_sha256", "request")} == account_of(found.traced)
    assert account["request"] == {**table_of(found.request), "holes": 4}


def test_whoever_reads_the_drawing_is_told_how_sure_it_is(found: Found, tmp_path: Path) -> None:
    path, _ = write_plate(found, tmp_path / "plate.dxf")
    told_of = [f for f in read_drawing(path).findings if f.code.startswith("traced")]
    assert [f.code for f in told_of] == ["traced", *["traced-hole"] * 4]
    assert "0.025 %" in str(told_of[0].message)
    path.write_bytes(path.read_bytes().replace(b"PLATE", b"SHEET"))
    assert [f.code for f in read_drawing(path).findings if f.code.startswith("traced")] == ["traced-then-changed"]


def test_the_picture_to_confirm_shows_every_hole_and_the_number_must_be_right(found: Found) -> None:
    picture = np.asarray(Image.open(io.BytesIO(found.picture)))
    assert picture.shape[1] <= 1800
    assert (np.abs(picture.astype(int) - [255, 40, 200]).max(axis=2) < 30).sum() > 1000  # the outline is drawn
    confirm(found, 4)
    for wrong in (0, 3, 5):
        with pytest.raises(CutplanError, match="holes found: 4"):
            confirm(found, wrong)


def test_every_line_can_be_said_in_german(found: Found) -> None:
    english = [str(m) for m in told(found.traced)]
    german = [Reader("de")(m) for m in told(found.traced)]
    assert len(english) == 8 and all(a != b for a, b in zip(english, german, strict=True))
