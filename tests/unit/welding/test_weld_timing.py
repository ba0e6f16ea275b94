"""Along the outline and in time: pieces through the start, directions, and the room that takes the heat."""

from __future__ import annotations

from math import pi

import numpy as np
import pytest
from weld_jobs import plain_job, rectangle_job

from cutplan.geometry.contour import circle_contour, rectangle
from cutplan.geometry.vector import Point
from cutplan.pattern.joint import Joint, Span
from cutplan.pattern.wishes import Welding
from cutplan.welding.heat.timing import Turn, heat_room, order_starts
from cutplan.welding.settings.machine import settings_for
from cutplan.welding.stitches.along import backward, nodes, piece, place
from cutplan.welding.stitches.joint import weld_joint

SQUARE = rectangle(0.0, 0.0, 100.0, 100.0)


def test_a_piece_through_the_start_is_exact_and_can_be_turned() -> None:
    path = piece(SQUARE, Span(390.0, 415.0))
    assert sum(s.length for s in path) == pytest.approx(25.0)
    assert path[0].start.distance(Point(0.0, 10.0)) < 1e-9 and path[-1].end.distance(Point(15.0, 0.0)) < 1e-9
    turned = backward(path)
    assert turned[0].start == path[-1].end and turned[-1].end == path[0].start
    arc = piece(circle_contour(Point(0.0, 0.0), 10.0), Span(5.0 * pi, 10.0 * pi))
    assert sum(s.length for s in arc) == pytest.approx(5.0 * pi)
    assert arc[0].start.distance(Point(0.0, 10.0)) < 1e-9


def test_nodes_are_middles_of_equal_pieces_in_the_direction_of_travel() -> None:
    forward = nodes(SQUARE, Span(0.0, 40.0), 4, False)
    assert forward.tolist() == [[5.0, 0.0], [15.0, 0.0], [25.0, 0.0], [35.0, 0.0]]  # exact
    assert np.array_equal(nodes(SQUARE, Span(0.0, 40.0), 4, True), forward[::-1])
    assert place(SQUARE, 450.0) == Point(50.0, 0.0)


def test_heat_is_shared_by_thickness() -> None:
    butt, lap = rectangle_job(), rectangle_job(joint=Joint("lap", 0.0, 20.0))
    for job, share in ((butt, 4.0 / 6.5), (lap, 4.0 / 9.0)):  # exact: plate 4, skin 2.5 once and twice
        room = heat_room(job, weld_joint(job, settings_for(job.joint.kind, 2.5, job.welding)))
        assert room.plate_share == pytest.approx(share)
        # exact: the insert's metal evened out over its bounding box
        assert room.plate_mm == pytest.approx(4.0 * job.plate.region.area / (220.0 * 140.0))


def test_welding_away_from_a_warm_bead_waits_less_at_its_far_end() -> None:
    job = plain_job(SQUARE)
    joint = weld_joint(job, settings_for("butt", 2.0, Welding()))
    settings = settings_for("butt", 2.0, Welding())
    spans = (Span(0.0, 40.0), Span(40.0, 80.0))

    def wait(reverse: bool) -> float:
        turns = (Turn(0, False), Turn(1, reverse))
        return order_starts(SQUARE, spans, turns, settings, heat_room(job, joint), 100.0, 20.0)[1].wait_s

    # towards the warm bead the warm place is reached some seconds later, so the arc may start sooner
    assert wait(True) < wait(False)
