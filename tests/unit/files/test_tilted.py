"""Drawings in space: a plate in a tilted plane is refused as seen from above, and laid flat by repair."""

from __future__ import annotations

from math import cos, pi, radians, sin
from pathlib import Path

import pytest
from drawing_help import box, circle, dxf, entity, line, save

from cutplan.files.drawing_in import Drawing, read_drawing


def errors(drawing: Drawing) -> list[str]:
    return [f.code for f in drawing.findings if f.severity == "error"]


def line3(a: tuple[float, ...], b: tuple[float, ...]) -> str:
    return entity("LINE", (10, a[0]), (20, a[1]), (30, a[2]), (11, b[0]), (21, b[1]), (31, b[2]))


def tilted(x: float, y: float, turn: float) -> tuple[float, float, float]:
    """Return a place of the plate's own plane in space, turned about the x axis and then about z by half as much."""
    k, s = cos(turn), sin(turn)
    p = (x, y * k, y * s)
    a, b = cos(0.5 * turn), sin(0.5 * turn)
    return (a * p[0] - b * p[1], b * p[0] + a * p[1], p[2])


@pytest.mark.parametrize("turn", [radians(45.0), radians(3.0), radians(-70.0), pi / 2])
def test_a_plate_in_a_tilted_plane(tmp_path: Path, turn: float) -> None:
    c = [tilted(x, y, turn) for x, y in ((0, 0), (100, 0), (100, 60), (0, 60))]
    n = [sin(0.5 * turn) * sin(turn), -cos(0.5 * turn) * sin(turn), cos(turn)]
    # the centre of a CIRCLE is given in its own plane, whose axes follow from the normal alone
    from cutplan.files.dxf.space import own_axes

    at = own_axes((n[0], n[1], n[2])) @ tilted(30, 30, turn)
    hole = entity("CIRCLE", (10, at[0]), (20, at[1]), (30, at[2]), (40, 8), (210, n[0]), (220, n[1]), (230, n[2]))
    path = save(tmp_path, dxf(*[line3(c[i], c[(i + 1) % 4]) for i in range(4)], hole))
    assert "tilted-plane" in errors(read_drawing(path))
    flat = read_drawing(path, repair=True)
    assert flat.sound, flat.findings
    assert "plane-flattened" in [f.code for f in flat.findings if f.severity == "warning"]
    (part,) = flat.parts
    assert part.region.outer.area == pytest.approx(6000.0)  # exact
    (found,) = part.region.holes
    assert found.area == pytest.approx(64 * pi, rel=1e-6)  # exact


def test_three_corners_at_another_height(tmp_path: Path) -> None:
    c = [(0, 0, 0), (100, 0, 0), (100, 60, 60), (0, 60, 60)]
    path = save(tmp_path, dxf(*[line3(c[i], c[(i + 1) % 4]) for i in range(4)]))
    assert errors(read_drawing(path)) == ["tilted-plane"]
    flat = read_drawing(path, repair=True)
    assert flat.parts[0].region.outer.area == pytest.approx(100 * 60 * 2**0.5)  # exact
    bent = [(0, 0, 0), (100, 0, 0), (100, 60, 60), (0, 60, 30)]
    path = save(tmp_path, dxf(*[line3(bent[i], bent[(i + 1) % 4]) for i in range(4)]), "bent.dxf")
    assert errors(read_drawing(path, repair=True)) == ["tilted-plane"]  # no common plane


def test_heights_without_tilt_are_no_fault(tmp_path: Path) -> None:
    raised = "".join(
        line3((*a, 5.0), (*b, 5.0)) for a, b in (((0, 0), (9, 0)), ((9, 0), (9, 9)), ((9, 9), (0, 9)), ((0, 9), (0, 0)))
    )
    upright = line3((0, 0, 0), (0, 0, 5))
    drawing = read_drawing(save(tmp_path, dxf(raised, upright, circle(4, 4, 1))))
    assert drawing.sound and drawing.parts[0].region.outer.area == 81.0  # exact


def test_an_arc_tilted_by_rounding_is_read(tmp_path: Path) -> None:
    hole = entity("CIRCLE", (10, 4), (20, 4), (40, 1), (210, 2e-6), (220, -1e-6), (230, 1.0))
    drawing = read_drawing(save(tmp_path, dxf(box(0, 0, 9, 9), hole)))
    assert drawing.sound and len(drawing.parts[0].region.holes) == 1


def test_hidden_things_count_in_the_account_only(tmp_path: Path) -> None:
    hidden = "0\nLAYER\n2\nOFF\n70\n0\n62\n-7\n"
    text = dxf(box(0, 0, 100, 50), line(0, 0, 30, 0, layer="OFF"), tables=hidden)
    drawing = read_drawing(save(tmp_path, text))
    assert drawing.sound and drawing.account.left_aside_mm == 30.0 and drawing.account.drawn_mm == 330.0  # exact
    assert [str(a.reason) for a in drawing.asides] == ["drawn on the hidden layer 'OFF'"]
