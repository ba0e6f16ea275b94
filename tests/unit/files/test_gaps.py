"""Outlines and holes with gaps: refused with every place, mended by repair, never gone without a word."""

from __future__ import annotations

from math import cos, pi, radians, sin
from pathlib import Path

import pytest
from drawing_help import arc, box, circle, dxf, line, polyline, save
from oracles.whole_account import told_mm

from cutplan.files.drawing_in import Drawing, read_drawing

GAPS = (0.06, 0.1, 0.3, 1.0)
#: Turn [deg], mirrored, scale.
MOVES = ((0.0, False, 1.0), (33.0, True, 1.0), (90.0, False, 0.5), (201.0, True, 3.0))


class Pen:
    """Writes lines and arcs turned, mirrored and scaled."""

    def __init__(self, turn: float, mirrored: bool, scale: float) -> None:
        self.turn, self.side, self.scale = turn, -1.0 if mirrored else 1.0, scale

    def at(self, x: float, y: float) -> tuple[float, float]:
        k, s = cos(radians(self.turn)), sin(radians(self.turn))
        x *= self.side
        return self.scale * (k * x - s * y), self.scale * (s * x + k * y)

    def line(self, x0: float, y0: float, x1: float, y1: float) -> str:
        return line(*self.at(x0, y0), *self.at(x1, y1))

    def arc(self, x: float, y: float, r: float, a: float, b: float) -> str:
        if self.side < 0.0:
            a, b = 180.0 - b, 180.0 - a
        return arc(*self.at(x, y), r * self.scale, a + self.turn, b + self.turn)

    def box(self, w: float, h: float) -> str:
        c = [(0, 0), (w, 0), (w, h), (0, h)]
        return "".join(self.line(*c[i], *c[(i + 1) % 4]) for i in range(4))


def codes(drawing: Drawing, severity: str) -> list[str]:
    return [f.code for f in drawing.findings if f.severity == severity]


def assert_adds_up(drawing: Drawing) -> None:
    account = drawing.account
    assert told_mm(account) == pytest.approx(account.drawn_mm, rel=1e-3)


@pytest.mark.parametrize("move", MOVES)
@pytest.mark.parametrize("gap", GAPS)
@pytest.mark.parametrize("pieces", [2, 3, 4])
def test_a_hole_of_arcs_with_gaps(tmp_path: Path, pieces: int, gap: float, move: tuple[float, bool, float]) -> None:
    pen = Pen(*move)
    step, off = 360.0 / pieces, 180.0 / pi * gap / 25.0 / move[2]
    arcs = [pen.arc(100, 50, 25, k * step, (k + 1) * step - off) for k in range(pieces)]
    path = save(tmp_path, dxf(pen.box(200, 100), *arcs))
    refused = read_drawing(path)
    (found,) = [f for f in refused.findings if f.severity == "error"]
    assert found.code == "open-outline" and str(found.where).count(" to ") == pieces  # every gap with both ends
    mended = read_drawing(path, repair=True)
    assert mended.sound, mended.findings
    (hole,) = mended.parts[0].region.holes
    circle_ = hole.as_circle()
    assert circle_ is not None and circle_[1] == pytest.approx(25.0 * move[2], abs=1e-6)  # exact: the arcs' radius
    assert_adds_up(refused)
    assert_adds_up(mended)


@pytest.mark.parametrize("move", MOVES)
@pytest.mark.parametrize("gap", GAPS)
@pytest.mark.parametrize("places", [2, 3, 4])
def test_an_outline_with_gaps_at_its_corners(
    tmp_path: Path, places: int, gap: float, move: tuple[float, bool, float]
) -> None:
    pen, g = Pen(*move), gap / move[2]
    back = [g if k < places else 0.0 for k in range(4)]
    sides = [
        pen.line(0, 0, 200 - back[0], 0),
        pen.line(200, 0, 200, 100 - back[1]),
        pen.line(200, 100, back[2], 100),
        pen.line(0, 100, 0, back[3]),
    ]
    opening = (
        pen.line(60, 30, 140, 30) + pen.line(140, 30, 140, 70) + pen.line(140, 70, 60, 70) + pen.line(60, 70, 60, 30)
    )
    path = save(tmp_path, dxf(*sides, opening))
    refused = read_drawing(path)
    assert codes(refused, "error") == ["open-outline"]
    mended = read_drawing(path, repair=True)
    assert mended.sound, mended.findings
    (part,) = mended.parts
    assert part.region.outer.area == pytest.approx(20000.0 * move[2] ** 2)  # exact: the sides meet again
    assert len(part.region.holes) == 1
    assert_adds_up(mended)


def test_half_circles_drawn_apart(tmp_path: Path) -> None:
    path = save(tmp_path, dxf(box(0, 0, 200, 100), arc(100, 50.05, 25, 0, 180), arc(100, 49.95, 25, 180, 360)))
    assert codes(read_drawing(path), "error") == ["open-outline"]
    (hole,) = read_drawing(path, repair=True).parts[0].region.holes
    assert hole.as_circle() is not None


def test_ends_that_cross_are_trimmed(tmp_path: Path) -> None:
    sides = line(-0.2, 0, 100.2, 0) + line(100, -0.2, 100, 50.2) + line(100.2, 50, -0.2, 50) + line(0, 50.2, 0, -0.2)
    path = save(tmp_path, dxf(sides, circle(50, 25, 5)))
    assert not read_drawing(path).sound
    mended = read_drawing(path, repair=True)
    assert mended.sound and mended.parts[0].region.outer.area == pytest.approx(5000.0)  # exact
    assert_adds_up(mended)


@pytest.mark.parametrize(
    "missing",
    [
        line(60, 30, 140, 30) + line(140, 30, 140, 70) + line(140, 70, 60, 70),  # three sides of an opening
        arc(100, 50, 25, 0, 180),  # half a hole
        line(60, 40, 140, 40) + arc(140, 50, 10, -90, 90) + line(140, 60, 60, 60),  # a slot without one end
    ],
)
def test_a_piece_of_an_opening_is_never_left_aside_in_silence(tmp_path: Path, missing: str) -> None:
    drawing = read_drawing(save(tmp_path, dxf(box(0, 0, 200, 100), missing)))
    assert codes(drawing, "error") == ["open-outline"]
    assert drawing.account.unexplained_mm > 50.0
    assert_adds_up(drawing)


def test_what_is_plainly_no_edge_is_left_aside_with_its_reason(tmp_path: Path) -> None:
    hatch = "".join(line(20 + 3 * k, 60, 40 + 3 * k, 80) for k in range(9))
    thread = circle(100, 50, 5) + arc(100, 50, 6, 20, 290)
    letters = [
        polyline([(150 + 6 * k + x, 20 + y) for x, y in shape], closed=False)
        for k, shape in enumerate(
            [[(0, 5), (0, 0), (4, 0), (4, 5)], [(4, 5), (0, 5), (0, 0), (4, 0)], [(0, 0), (2, 5), (4, 0)],
             [(4, 4), (0, 5), (0, 2.5), (4, 2.5), (4, 0), (0, 0.5)]]
        )
    ]  # fmt: skip
    bend = line(10, 1, 10, 99)
    drawing = read_drawing(save(tmp_path, dxf(box(0, 0, 200, 100), hatch, thread, bend, *letters)))
    assert drawing.sound, drawing.findings
    assert len(drawing.parts[0].region.holes) == 1
    reasons = {str(reason): count for reason, count in drawing.left_aside}
    assert reasons == {"open line": 10, "thread or centre arc about a hole": 1, "lettering": 4}
    assert_adds_up(drawing)


def test_the_account_of_duplicates_and_shared_edges(tmp_path: Path) -> None:
    twice = read_drawing(
        save(tmp_path, dxf(box(0, 0, 100, 50), box(0, 0, 100, 50), circle(50, 25, 5), circle(50, 25, 5)))
    )
    assert twice.account.cut_mm == pytest.approx(300 + 10 * pi)  # exact
    assert twice.account.duplicate_mm == pytest.approx(300 + 10 * pi)  # exact
    beside = read_drawing(save(tmp_path, dxf(box(0, 0, 100, 50), box(100, 0, 60, 50))))
    assert beside.account.cut_mm == pytest.approx(520.0) and beside.account.duplicate_mm == pytest.approx(0.0)  # exact
    over = read_drawing(
        save(tmp_path, dxf(line(0, 0, 60, 0), line(40, 0, 100, 0), line(100, 0, 0, 50), line(0, 50, 0, 0)))
    )
    assert over.account.duplicate_mm == pytest.approx(20.0)  # exact
    for drawing in (twice, beside, over):
        assert_adds_up(drawing)
