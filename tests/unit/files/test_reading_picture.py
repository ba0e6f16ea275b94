"""The picture of a reading: everything drawn is shown in its style, every doubt is circled with its number."""

from __future__ import annotations

from pathlib import Path

import pytest
from drawing_help import arc, box, circle, dxf, line, save

from cutplan.drawing.model import Page, Stroke, Text
from cutplan.files.drawing_in import read_drawing
from cutplan.report.reading_picture import reading_page, reading_picture

TEXT = dxf(
    box(0, 0, 200, 100), circle(30, 30, 6.5), line(60, 5, 60, 95), arc(100, 50, 20, 0, 170), arc(100, 50, 20, 180, 350)
)


def words(page: Page) -> list[str]:
    return [item.text for item in page.items if isinstance(item, Text)]


def test_every_style_and_doubt_is_there(tmp_path: Path) -> None:
    drawing = read_drawing(save(tmp_path, TEXT))
    page = reading_page(drawing)
    said = words(page)
    assert any("H1" in t and "13" in t for t in said)
    assert any("millimetre" in t for t in said)  # the unit decided, at the scale bar
    numbered = [i for i, f in enumerate(drawing.findings, 1) if f.severity in ("error", "warning")]
    for number in numbered:
        assert said.count(str(number)) >= 2  # at its place and in the list
    styles = {s.tag: s.pen for s in page.items if isinstance(s, Stroke) and s.tag}
    assert styles["cut"] is not None and styles["aside"] is not None
    assert styles["cut"].dash_mm != styles["aside"].dash_mm  # told apart without colour too


def test_before_and_after(tmp_path: Path) -> None:
    path = save(tmp_path, TEXT)
    said = words(reading_page(read_drawing(path, repair=True), read_drawing(path)))
    assert "before repair" in said and "after repair" in said
    assert any("does not close" in t for t in said) and any("was closed" in t for t in said)


@pytest.mark.parametrize("svg", [False, True])
def test_the_same_reading_gives_the_same_bytes(tmp_path: Path, svg: bool) -> None:
    drawing = read_drawing(save(tmp_path, TEXT))
    data = reading_picture(drawing, svg=svg)
    assert data == reading_picture(drawing, svg=svg)
    assert data.startswith(b"<svg" if svg else b"\x89PNG")


def test_nothing_to_show_is_said(tmp_path: Path) -> None:
    assert "nothing to show" in words(reading_page(read_drawing(save(tmp_path, dxf()))))
