"""Files of another DXF library, all releases, text and binary, read back to areas known by formula."""

from __future__ import annotations

import io
from math import pi
from pathlib import Path

import ezdxf
import pytest

from cutplan.errors import OutputError
from cutplan.files.drawing_in import read_drawing
from cutplan.files.dxf.sketch import Note, SketchLayer
from cutplan.files.dxf.write import dxf_text
from cutplan.geometry.contour import circle_contour, polyline, rectangle
from cutplan.geometry.segment import arc_from_centre
from cutplan.geometry.vector import Point


@pytest.mark.parametrize("binary", [False, True], ids=["text", "binary"])
@pytest.mark.parametrize("version", ["R12", "R2000", "R2004", "R2007", "R2010", "R2013", "R2018"])
def test_every_release(tmp_path: Path, version: str, binary: bool) -> None:
    doc = ezdxf.new(version, units=0 if version == "R12" else 4)  # type: ignore[attr-defined]
    sheet = doc.modelspace()
    sheet.add_line((0, 0), (200, 0))
    sheet.add_arc((200, 40), 40, -90, 90)
    sheet.add_line((200, 80), (0, 80))
    sheet.add_line((0, 80), (0, 0))
    doc.blocks.new("INNER").add_circle((1, 0), 2)
    outer = doc.blocks.new("OUTER", base_point=(1, 1))
    outer.add_blockref("INNER", (1, 1), {"xscale": 2, "yscale": 2})
    sheet.add_blockref("OUTER", (20, 20), {"row_count": 2, "column_count": 3, "row_spacing": 30, "column_spacing": 20})
    mirrored = sheet.add_blockref("INNER", (-150, 40))
    mirrored.dxf.extrusion = (0, 0, -1)
    sheet.add_text("a note")
    path = tmp_path / "plate.dxf"
    doc.saveas(path, fmt="bin" if binary else "asc")
    drawing = read_drawing(path, units="mm")
    assert drawing.sound, drawing.findings
    part = drawing.as_dict()["parts"][0]
    # exact: 200 x 80 and a half disc of 40; six holes of 8, one of 4 mirrored to x = 150 - 1
    assert part["outer_area_mm2"] == pytest.approx(16000 + 800 * pi, rel=1e-12)
    assert sorted(h["diameter_mm"] for h in part["holes"]) == pytest.approx([4.0] + [8.0] * 6)
    small = min(part["holes"], key=lambda h: h["diameter_mm"])
    assert small["centre_mm"] == pytest.approx([149.0, 40.0])
    corner = min(part["holes"], key=lambda h: sum(h["centre_mm"]))
    assert corner["centre_mm"] == pytest.approx([22.0, 20.0])


def _layers() -> list[SketchLayer]:
    plate = polyline([(0, 0, 0), (80, 0, 0.5), (80, 40, 0), (0, 40, 0)])
    arcs = (arc_from_centre(Point(0, 0), 10.0, 0.0, 5.5),)
    return [
        SketchLayer("cut outer", (plate,), colour=7),
        SketchLayer("cut inner", (circle_contour(Point(20, 20), 6.0), rectangle(40, 10, 20, 10, 3)), colour=3),
        SketchLayer("lead", chains=(arcs,), colour=5),
        SketchLayer("marks", points=(Point(60, 20),), cross_mm=5.0),
        SketchLayer("notes", notes=(Note("4 mm steel, Ø 12 mm hole", Point(0, -10)),)),
    ]


@pytest.mark.parametrize("version", ["R12", "R2000"])
def test_written_file_is_sound_for_the_other_library(version: str) -> None:
    text = dxf_text(_layers(), version=version)  # type: ignore[arg-type]
    assert text.isascii()
    doc = ezdxf.read(io.StringIO(text))  # type: ignore[attr-defined]
    audit = doc.audit()
    assert not audit.errors and not audit.fixes
    kinds = sorted(e.dxftype() for e in doc.modelspace())
    poly = "POLYLINE" if version == "R12" else "LWPOLYLINE"
    assert kinds == sorted(["CIRCLE", "LINE", "LINE", "POINT", "TEXT", poly, poly, poly])
    if version == "R2000":
        assert doc.header["$MEASUREMENT"] == 1
        assert doc.header["$INSUNITS"] == 4
    names = {e.dxf.layer.lower().replace("_", " ") for e in doc.modelspace()}
    assert names == {"cut outer", "cut inner", "lead", "marks", "notes"}


def test_same_bytes_every_time() -> None:
    assert dxf_text(_layers()).encode("ascii") == dxf_text(_layers()).encode("ascii")


def test_what_cannot_be_written_is_refused() -> None:
    with pytest.raises(OutputError):
        dxf_text([SketchLayer("bad|name", (rectangle(0, 0, 1, 1),))])
    with pytest.raises(OutputError):
        dxf_text([SketchLayer("cut", points=(Point(float("nan"), 0.0),))])
