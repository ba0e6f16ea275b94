"""Draw the samples' DXF files the way a small drawing office would: lines, arcs, circles, centre lines and a note.

Run it to make them anew: ``python sample_parts/draw.py``. The numbers are the design of our own scenario.
"""

from __future__ import annotations

from math import cos, radians, sin
from pathlib import Path

import ezdxf
from ezdxf.document import Drawing

HERE = Path(__file__).parent
UNITS = {"mm": 4, "in": 1}


def _new(units: str, version: str = "R2000") -> Drawing:
    ezdxf.options.write_fixed_meta_data_for_testing = True
    doc = ezdxf.new(version, setup=["linetypes"], units=UNITS[units])
    doc.layers.add("PLATE", color=7)
    doc.layers.add("CENTRES", color=1, linetype="CENTER")
    doc.layers.add("REMARKS", color=3)
    return doc


def _rounded(doc: Drawing, corners: list[tuple[float, float, float]]) -> None:
    """Draw a closed outline counter-clockwise through right-angled corners (x, y, fillet) as LINE and ARC."""
    msp = doc.modelspace()
    count = len(corners)
    entry: list[tuple[float, float]] = []
    leave: list[tuple[float, float]] = []
    for i, (x, y, r) in enumerate(corners):
        (px, py, _), (nx, ny, _) = corners[i - 1], corners[(i + 1) % count]
        a, b = _unit(px - x, py - y), _unit(nx - x, ny - y)
        entry.append((x + a[0] * r, y + a[1] * r))
        leave.append((x + b[0] * r, y + b[1] * r))
        if r > 0:
            centre = (x + (a[0] + b[0]) * r, y + (a[1] + b[1]) * r)
            left_turn = -a[0] * b[1] + a[1] * b[0] > 0
            ends = (entry[i], leave[i]) if left_turn else (leave[i], entry[i])
            angles = [_angle(p[0] - centre[0], p[1] - centre[1]) for p in ends]
            msp.add_arc(centre, r, angles[0], angles[1], dxfattribs={"layer": "PLATE"})
    for i in range(count):
        msp.add_line(leave[i], entry[(i + 1) % count], dxfattribs={"layer": "PLATE"})


def _unit(x: float, y: float) -> tuple[float, float]:
    size = (x * x + y * y) ** 0.5
    return x / size, y / size


def _angle(x: float, y: float) -> float:
    from math import atan2, degrees

    return degrees(atan2(y, x)) % 360.0


def _hole(doc: Drawing, x: float, y: float, d: float, cross: float) -> None:
    msp = doc.modelspace()
    msp.add_circle((x, y), d / 2, dxfattribs={"layer": "PLATE"})
    for dx, dy in ((d / 2 + cross, 0), (0, d / 2 + cross)):
        msp.add_line((x - dx, y - dy), (x + dx, y + dy), dxfattribs={"layer": "CENTRES"})


def _slot(doc: Drawing, x: float, y: float, length: float, width: float) -> None:
    msp = doc.modelspace()
    h, r = length / 2 - width / 2, width / 2
    for side in (-1, 1):
        msp.add_line((x - h, y + side * r), (x + h, y + side * r), dxfattribs={"layer": "PLATE"})
    msp.add_arc((x + h, y), r, 270, 90, dxfattribs={"layer": "PLATE"})
    msp.add_arc((x - h, y), r, 90, 270, dxfattribs={"layer": "PLATE"})


def _remark(doc: Drawing, text: str, x: float, y: float, height: float) -> None:
    doc.modelspace().add_text(text, height=height, dxfattribs={"layer": "REMARKS"}).set_placement((x, y))


def van_nose_mount() -> None:
    """Electric conversion of a small van: insert for the drive unit's nose mount, millimetres."""
    doc = _new("mm")
    _rounded(doc, [(0, 0, 25), (330, 0, 25), (330, 170, 25), (235, 170, 15), (235, 205, 15), (95, 205, 15),
                   (95, 170, 15), (0, 170, 25)])
    for x in (105, 225):
        for y in (60, 130):
            _hole(doc, x, y, 13, 4)
    _hole(doc, 165, 95, 62, 6)
    _hole(doc, 40, 85, 26, 4)
    _slot(doc, 288, 85, 34, 14)
    _remark(doc, "NOSE MOUNT INSERT  4 mm", 0, -25, 8)
    doc.saveas(HERE / "van-nose-mount" / "plate.dxf")


def buggy_doubler() -> None:
    """Hill-climb buggy: lapped doubler over a cracked damper bracket, inches."""
    doc = _new("in")
    _rounded(doc, [(0, 0, 0.5), (6.5, 0, 0.5), (6.5, 2.25, 0.5), (4.75, 2.25, 0.75), (4.75, 4.5, 0.75), (0, 4.5, 0.75)])
    for x, y in ((1.0, 0.5), (5.5, 0.5), (0.5, 3.5)):  # bolts through the lap, half way across it
        _hole(doc, x, y, 13 / 32, 0.15)
    _hole(doc, 3.0, 2.0, 1.25, 0.2)
    _remark(doc, "DOUBLER 0.098 IN", 0, -0.6, 0.3)
    doc.saveas(HERE / "buggy-doubler" / "plate.dxf")


def truck_winch_cradle() -> None:
    """Expedition truck: front crossmember insert that carries a winch cradle, millimetres, many sheets."""
    doc = _new("mm")
    _rounded(doc, [(0, 0, 40), (660, 0, 40), (660, 300, 40), (520, 300, 30), (520, 440, 30), (140, 440, 30),
                   (140, 300, 30), (0, 300, 40)])
    for x in (203, 457):
        for y in (96, 210.3):
            _hole(doc, x, y, 18, 6)
    for x in (60, 600):
        for y in (70, 230):
            _hole(doc, x, y, 17.5, 6)
    _slot(doc, 330, 370, 180, 60)
    _slot(doc, 330, 153, 120, 70)
    for k in range(6):
        a = radians(60 * k)
        _hole(doc, 330 + 110 * cos(a), 153 + 110 * sin(a), 11, 4) if k % 3 else None
    _remark(doc, "WINCH CRADLE INSERT  6 mm", 0, -40, 14)
    doc.saveas(HERE / "truck-winch-cradle" / "plate.dxf")


def trailer_spring_hanger() -> None:
    """Market trader's trailer: lapped reinforcing plate under a spring hanger, millimetres, older drawing version."""
    doc = _new("mm", "R12")
    _rounded(doc, [(0, 0, 20), (240, 0, 20), (240, 110, 20), (0, 110, 20)])
    for x in (15, 225):  # on the overlap: a plug weld needs skin under it
        _hole(doc, x, 55, 11, 4)
    for x in (85, 155):
        _hole(doc, x, 55, 20, 4)
    _remark(doc, "HANGER PLATE 5 mm", 0, -20, 7)
    doc.saveas(HERE / "trailer-spring-hanger" / "plate.dxf")


if __name__ == "__main__":
    van_nose_mount()
    buggy_doubler()
    truck_winch_cradle()
    trailer_spring_hanger()
