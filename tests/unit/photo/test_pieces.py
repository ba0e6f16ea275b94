"""Edges with noise come back as the fewest lines and arcs."""

from __future__ import annotations

import numpy as np
import pytest
from rig.scene import large_plate, plate_of_eleven

from cutplan.geometry.contour import Contour, circle_contour, polygon, rectangle
from cutplan.geometry.segment import Arc
from cutplan.geometry.vector import Point
from cutplan.photo.edge.fitted import fit
from cutplan.photo.edge.pieces import split


def edge(contour: Contour, noise_mm: float, seed: int = 1) -> np.ndarray:
    """Points every 0.6 mm, off by noise that runs on over five neighbours, as the pixels of an edge do."""
    rng = np.random.default_rng(seed)
    many = int(contour.length / 0.6)
    out = []
    white = rng.standard_normal(many + 5)
    alike = np.convolve(white, np.ones(5) / 5**0.5, mode="valid")[:many]
    for i in range(many):
        p, way = contour.point_at_length(i * contour.length / many)
        out.append((p.x - way.y * noise_mm * alike[i], p.y + way.x * noise_mm * alike[i]))
    return np.array(out)


def _arcs(contour: Contour) -> int:
    return sum(isinstance(s, Arc) for s in contour.segments)


@pytest.mark.parametrize("noise_mm", [0.005, 0.02])
@pytest.mark.parametrize("contour", [plate_of_eleven().outer, large_plate().outer, rectangle(0, 0, 34, 14, 7)],
                         ids=["eleven", "large", "slot"])  # fmt: skip
def test_a_contour_comes_back_in_as_many_pieces_of_the_same_kind(contour: Contour, noise_mm: float) -> None:
    points = edge(contour, noise_mm)
    found = fit(points, split(points, 0.04), np.full(len(points), 1.0)).contour()
    # the slot is drawn with quarter circles; two of them are one half circle
    expected = {34: (4, 2)}.get(round(contour.box.width), (len(contour.segments), _arcs(contour)))
    assert (len(found.segments), _arcs(found)) == expected
    for s in found.segments:
        truth = min(contour.segments, key=lambda t: t.nearest(s.point_at(0.45))[1] + 0.01 * (type(t) is not type(s)))
        assert truth.nearest(s.point_at(0.45))[1] < 3.0 * noise_mm
        if isinstance(s, Arc) and isinstance(truth, Arc):
            assert s.radius == pytest.approx(truth.radius, abs=0.02 + 5.0 * noise_mm)


def test_a_hole_is_one_circle_and_its_size_is_right() -> None:
    points = edge(circle_contour(Point(3.0, 4.0), 4.25, ccw=False), 0.01)
    pieces = split(points, 0.04)
    assert len(pieces) == 1
    found = fit(points, pieces, np.ones(len(points))).contour()
    circle = found.as_circle()
    assert circle is not None and not found.ccw
    assert circle[1] == pytest.approx(4.25, abs=0.01)
    assert circle[0].distance(Point(3.0, 4.0)) < 0.01


def test_smooth_joints_are_exactly_tangent() -> None:
    points = edge(rectangle(0, 0, 60, 40, 10), 0.01)
    found = fit(points, split(points, 0.04), np.ones(len(points))).contour()
    assert len(found.segments) == 8
    for a, b in zip(found.segments, (*found.segments[1:], found.segments[0]), strict=True):
        assert a.end_direction.dot(b.start_direction) == pytest.approx(1.0, abs=1e-6)  # exact: made tangent


def test_a_piece_that_runs_the_wrong_way_round_is_dropped() -> None:
    """A splinter of an arc between two lines: its circle can be left on either side, and once it would run all round."""
    from cutplan.photo.edge.outline import _sound_fit, _unsound
    from cutplan.photo.edge.pieces import Piece

    points = edge(polygon([(0.0, 0.0), (80.0, 0.0), (90.0, 60.0), (0.0, 60.0)]), 0.01)
    pieces = split(points, 0.04)
    assert len(pieces) == 4
    k = next(i for i, p in enumerate(pieces) if p.first < p.last)
    end = pieces[k].last
    spoilt = list(pieces)
    spoilt[k] = Piece(False, pieces[k].first, end - 4)
    after = (k + 1) % 4
    spoilt[after] = Piece(False, end + 3, pieces[after].last)
    spoilt.insert(k + 1, Piece(True, end - 4, end + 3))
    found = _sound_fit(points, spoilt, np.ones(len(points)))
    assert _unsound(found, points) is None
    assert found.contour().area == pytest.approx(85.0 * 60.0, rel=2e-3)  # exact: the trapezium


def test_edges_that_cross_are_no_plate() -> None:
    from cutplan.errors import DrawingError
    from cutplan.geometry.region import Region
    from cutplan.photo.plate import _is_a_plate

    good = rectangle(0, 0, 60, 40, 5)
    _is_a_plate(Region(good, (circle_contour(Point(30, 20), 5, ccw=False),)))
    with pytest.raises(DrawingError, match="do not make a plate"):
        _is_a_plate(Region(good, (circle_contour(Point(58, 20), 5, ccw=False),)))
    with pytest.raises(DrawingError, match="do not make a plate"):
        _is_a_plate(Region(polygon([(0, 0), (60, 40), (60, 0), (0, 40)])))
