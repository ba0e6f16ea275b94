"""The plate's picture: every hole is drawn; names only where they can be read."""

from __future__ import annotations

import pytest
from sheet_results import hole

from cutplan.drawing.model import Stroke, Text
from cutplan.geometry.contour import rectangle
from cutplan.pattern.job import About, Job
from cutplan.pattern.plate import Plate
from cutplan.sheets.plate.plate_drawing import NAMED, plate_figure


@pytest.mark.parametrize(
    ("count", "least"),
    [
        (0, 0),
        (1, 1),
        (NAMED - 1, NAMED - 1),
        (NAMED, NAMED // 2),
        (700, NAMED // 2),
    ],
)
def test_every_hole_is_drawn_and_a_readable_number_named(count: int, least: int) -> None:
    holes = tuple(hole(f"H{k}", 10.0 + 10.0 * (k % 30), 10.0 + 10.0 * (k // 30), 2.0, "access") for k in range(count))
    figure = plate_figure(Job(About("n"), Plate(rectangle(0.0, 0.0, 320.0, 320.0), holes, 3.0)))
    names = [i.text for i in figure.items if isinstance(i, Text) and i.tag == "hole-name"]
    assert least <= len(names) <= NAMED
    assert len([i for i in figure.items if isinstance(i, Stroke) and i.tag.startswith("hole ")]) == count
