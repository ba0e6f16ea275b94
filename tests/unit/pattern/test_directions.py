"""Directions of the vehicle on the plate: the viewer's place by formula, impossible axes refused."""

from __future__ import annotations

import pytest

from cutplan.findings import errors
from cutplan.pattern.directions import direction_findings, view
from cutplan.pattern.wishes import Marks


@pytest.mark.parametrize(
    ("forward", "left", "up", "side"),
    # exact: forward, left and up are right-handed, so the axis left out points at the viewer or away from him
    [
        (None, 180.0, 90.0, "rear"),
        (None, 0.0, 90.0, "front"),
        (180.0, None, 90.0, "left"),
        (0.0, None, 90.0, "right"),
        (90.0, 180.0, None, "top"),
        (90.0, 0.0, None, "underside"),
        (-270.0, 540.0, None, "top"),
    ],
)
def test_two_directions_tell_where_the_viewer_stands(
    forward: float | None, left: float | None, up: float | None, side: str
) -> None:
    marks = Marks(forward_deg=forward, left_deg=left, up_deg=up)
    found = view(marks)
    assert found is not None and found.side == side and not errors(direction_findings(marks))


@pytest.mark.parametrize("turn", [0.0, 33.0, 210.0])
def test_turning_the_drawing_changes_no_view(turn: float) -> None:
    found = view(Marks(forward_deg=None, left_deg=180.0 + turn, up_deg=90.0 + turn))
    assert found is not None and found.side == "rear"


@pytest.mark.parametrize(
    "marks",
    [
        Marks(forward_deg=0.0, left_deg=180.0),
        Marks(forward_deg=90.0, up_deg=90.0),
        Marks(forward_deg=0.0, left_deg=90.0, up_deg=45.0),
    ],
)
def test_axes_that_no_vehicle_has_are_refused(marks: Marks) -> None:
    assert [f.code for f in errors(direction_findings(marks))] == ["directions-impossible"] and view(marks) is None


def test_the_outside_of_a_left_part_is_not_seen_from_the_right() -> None:
    wrong = Marks(forward_deg=0.0, up_deg=90.0, hand="left")
    assert [f.code for f in direction_findings(wrong)] == ["directions-against-hand"]
    assert direction_findings(Marks(forward_deg=180.0, up_deg=90.0, hand="left")) == []
    assert view(Marks()) is None  # one direction alone tells nothing


def test_the_other_hands_part_is_seen_from_the_other_side() -> None:
    left = view(Marks(forward_deg=180.0, up_deg=90.0))
    behind = view(Marks(forward_deg=None, left_deg=180.0, up_deg=90.0))
    assert left is not None and left.mirrored.side == "right"
    assert behind is not None and behind.mirrored.side == "rear"
