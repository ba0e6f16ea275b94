"""What cannot be proved is refused, with what to do."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from rig.sample import KNOWN, PHOTOS

from cutplan.errors import CutplanError, DrawingError, UsageError
from cutplan.photo.adjustment.adjust import Scale
from cutplan.photo.adjustment.solved import Known, solve
from cutplan.photo.marking.dots import find_dots
from cutplan.photo.marking.sighting import sight
from cutplan.photo.marking.strips import read_strips
from cutplan.photo.picture import read_picture
from cutplan.photo.plate import Wanted, trace
from cutplan.project.trace import Request, find, known_length


def test_no_scale_but_the_printers() -> None:
    with pytest.raises(DrawingError, match="nothing tells the scale") as refusal:
        find(Request(PHOTOS, 2.5, {}))
    assert "--known" in str(refusal.value) and "coupon" in str(refusal.value)


def test_a_mirrored_picture(tmp_path: Path) -> None:
    flipped = replace(read_picture(PHOTOS[0]), rgb=np.ascontiguousarray(read_picture(PHOTOS[0]).rgb[:, ::-1]))
    with pytest.raises(DrawingError, match="mirrored"):
        sight([flipped], False)


def test_mixed_cameras() -> None:
    first = read_picture(PHOTOS[0])
    for other in (
        replace(first, rgb=first.rgb[:, :-40]),
        replace(first, focal_px=1500.0),
        replace(first, camera="another"),
    ):
        with pytest.raises(DrawingError, match="different cameras"):
            sight([replace(first, focal_px=1300.0, camera="one"), other], False)


def test_too_few_strips_in_view() -> None:
    first = read_picture(PHOTOS[0])
    hidden = first.rgb.copy()
    hidden[: first.height // 2] = 60
    with pytest.raises(DrawingError, match="can be read"):
        sight([replace(first, rgb=hidden)], False)


@pytest.mark.slow
def test_thickness_given_wrong_and_found_by_parallax() -> None:
    with pytest.raises(DrawingError, match=r"2\.\d\d mm above what the strips lie on; 3\.50 mm"):
        find(Request(PHOTOS[:2], 3.5, KNOWN))


@pytest.mark.slow
def test_a_length_read_wrong() -> None:
    with pytest.raises(CutplanError, match="measured length"):
        find(Request(PHOTOS[:2], 2.5, {"A1-D2": 350.0}))
    with pytest.raises(CutplanError, match="do not agree"):
        find(Request(PHOTOS[:2], 2.5, {**KNOWN, "B1-E2": 398.0}))


def test_a_length_that_names_no_cross() -> None:
    for wrong in ("A1", "A1-A1", "A3-B1", "I1-B1", "A1-B1-C1"):
        with pytest.raises(UsageError):
            known_length(wrong, 300.0, 0.1)
    assert known_length("a-d2", 300.0, 0.1) == Known("A", 1, "D", 2, 300.0, 0.1)


def test_a_strip_moved_between_the_pictures_is_left_out_and_named() -> None:
    pictures = [read_picture(p) for p in PHOTOS[:2]]
    marks = sight(pictures, False)
    dots = marks.dots[1]
    moved = next(s for s in marks.seen[1] if s.strip == 4)
    px = dots.px.copy()
    px[moved.dots[moved.dots >= 0]] += [1.5, 0.0]
    spoilt = replace(marks, dots=(marks.dots[0], replace(dots, px=px)))
    done = solve(pictures, spoilt, (), Scale(), False)
    assert [f.code for f in done.findings if f.severity == "warning"] == ["strip-left-out"]
    assert "strip E" in str(done.findings[0].message)


@pytest.mark.slow
def test_one_picture_gives_holes_that_are_not_proved() -> None:
    r = trace([read_picture(PHOTOS[0])], Wanted(2.5, (Known("A", 1, "D", 2, 399.8),)))
    assert {f.code for f in r.findings} >= {"one-picture", "height-not-proved"}
    assert not any(h.proved for h in r.holes) and len(r.holes) == 4


@pytest.mark.slow
def test_a_card_that_reaches_the_edge_of_the_picture() -> None:
    first = read_picture(PHOTOS[0])
    card = first.rgb[700, 800].copy()
    rgb = first.rgb.copy()
    rgb[560:640, 400:1500] = card  # a tongue of card out between two strips, past the edge
    rgb[560:640, 1350:] = card
    with pytest.raises(DrawingError):
        trace([replace(first, rgb=rgb)], Wanted(2.5, (Known("A", 1, "D", 2, 399.8),)))


@pytest.mark.parametrize("data", [b"", b"\xff\xd8\xff\xe0 not a picture", b"GIF89a"])
def test_a_file_that_is_no_picture(tmp_path: Path, data: bytes) -> None:
    path = tmp_path / "x.jpg"
    path.write_bytes(data)
    with pytest.raises(DrawingError, match="picture"):
        read_picture(path)


def test_the_printed_sheet_itself_is_read(tmp_path: Path) -> None:
    """The PDF drawn by another renderer: all five strips of a page, each dot where it was printed."""
    import pypdfium2

    from cutplan.project.trace import make_marks

    path = make_marks("A4", tmp_path / "marks.pdf")
    document = pypdfium2.PdfDocument(path)
    assert len(document) == 3
    scale = 150.0 / 72.0
    grey = np.asarray(document[1].render(scale=scale).to_pil().convert("L"))
    dots = find_dots(grey)
    strips = read_strips(dots)
    assert [s.strip for s in strips] == [0, 1, 2, 3, 4]
    for s in strips:
        assert (s.dots >= 0).all() and not s.mirrored and s.wrong == 0
        row = dots.px[s.dots[1]] * 210.0 / grey.shape[1]
        assert np.hypot(*(row[-1] - row[0])) == pytest.approx(130.0, abs=0.02)  # exact: ten pitches of 13 mm


def test_pictures_that_are_too_small_are_refused(tmp_path: Path) -> None:
    path = tmp_path / "x.png"
    Image.new("RGB", (300, 200)).save(path)
    with pytest.raises(CutplanError, match="too small"):
        read_picture(path)
