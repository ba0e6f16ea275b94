"""A drawing on the page: the unit with its reason, parts, doubts at their places, and what repairing would do."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path
from typing import Any

import ezdxf
import pytest

from cutplan.findings import Finding
from cutplan.project.desk.drawn import drawing_view, placed
from cutplan.texts import place, say


def drawn(tmp_path: Path, units: int, *, size: float = 1.0, gap: float = 0.0, second: bool = False) -> dict[str, Any]:
    doc = ezdxf.new("R2000")
    doc.units = units
    model = doc.modelspace()

    def box(x: float, w: float, tall: float, open_by: float) -> None:
        corners = [(x, 0.0), (x + w, 0.0), (x + w, tall), (x, tall), (x, open_by)]
        for a, b in pairwise(corners):
            model.add_line([v * size for v in a], [v * size for v in b])

    box(0.0, 12.5, 8.0, gap)
    model.add_circle((3.0 * size, 3.0 * size), 0.25 * size)
    if second:
        box(20.0, 5.0, 4.0, 0.0)
    doc.saveas(tmp_path / "plate.dxf")
    return {"units": "mm", "plate": {"drawing": "plate.dxf"}}


def test_a_unit_that_the_file_does_not_say_is_a_question(tmp_path: Path) -> None:
    data = drawn(tmp_path, 0)
    units = drawing_view(data, tmp_path)["units"]
    assert units["doubtful"] and units["reason"]
    data["plate"]["drawing_units"] = "in"
    view = drawing_view(data, tmp_path)
    assert not view["units"]["doubtful"] and view["units"]["stated"] == "in"
    assert view["parts"][0]["size_mm"] == pytest.approx([317.5, 203.2])  # exact: 12.5 by 8 inches
    assert view["units"]["factor"] == pytest.approx(1.0 / 25.4)  # exact


def test_parts_come_largest_first_with_their_holes(tmp_path: Path) -> None:
    view = drawing_view(drawn(tmp_path, 4, size=25.4, second=True), tmp_path)
    assert [len(p["holes"]) for p in view["parts"]] == [1, 0]
    assert view["parts"][0]["holes"][0]["d"] == pytest.approx(12.7)  # exact: half an inch
    assert view["repairs"] is None and not view["units"]["doubtful"]


def test_repairs_are_shown_before_they_are_accepted(tmp_path: Path) -> None:
    data = drawn(tmp_path, 4, size=25.4, gap=0.1)
    view = drawing_view(data, tmp_path)
    assert any(f["severity"] == "error" for f in view["findings"])
    assert view["repairs"]["possible"] and view["repairs"]["list"]
    assert view["repairs"]["parts"][0]["size_mm"] == pytest.approx([317.5, 203.2])  # exact
    data["plate"]["repair"] = True
    assert drawing_view(data, tmp_path)["repairs"] is None


def test_a_doubt_is_at_the_places_it_speaks_of() -> None:
    where = say("{a} and {more}", a=place(1.0, 2.0), more=say("{b}", b=place(3.0, -4.0)))
    assert placed(Finding("x", "error", "m", where))["places"] == [[1.0, 2.0], [3.0, -4.0]]


@pytest.mark.parametrize("name", ["../plate.dxf", "/etc/passwd", "nothing.dxf", "sub\\plate.dxf"])
def test_a_drawing_that_is_not_there_is_told_in_words(tmp_path: Path, name: str) -> None:
    view = drawing_view({"plate": {"drawing": name}}, tmp_path)
    assert view["problems"][0]["message"] and "parts" not in view


def test_a_job_without_a_drawing_has_none(tmp_path: Path) -> None:
    assert drawing_view({}, tmp_path) == {"name": ""}
    assert drawing_view({"plate": 3}, tmp_path) == {"name": ""}
