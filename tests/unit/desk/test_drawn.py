"""A drawing on the page: the unit with its reason, parts, doubts at their places, and what repairing would do."""

from __future__ import annotations

from itertools import pairwise
from math import cos, pi, sin
from pathlib import Path
from typing import Any

import ezdxf
import pytest
from drawing_help import box, circle, dxf, entity, polyline, save

from cutplan.errors import CutplanError
from cutplan.files.job.read import job_from
from cutplan.findings import Finding
from cutplan.pattern.job import Job
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


def test_a_drawing_to_a_scale_is_asked_for_a_length(tmp_path: Path) -> None:
    says = entity("DIMENSION", (1, "400"), (70, 32), (13, 0), (23, 0), (14, 200), (24, 0))
    save(tmp_path, dxf(box(0, 0, 200, 100), says))
    data: dict[str, Any] = {"units": "mm", "plate": {"drawing": "plate.dxf"}}
    units = drawing_view(data, tmp_path)["units"]
    assert units["to_scale"] and not units["doubtful"]
    data["plate"]["drawing_length"] = "width=400 mm"
    view = drawing_view(data, tmp_path)
    assert not view["units"]["to_scale"] and view["parts"][0]["size_mm"] == pytest.approx([400.0, 200.0])  # exact


def test_parts_come_largest_first_with_their_holes(tmp_path: Path) -> None:
    view = drawing_view(drawn(tmp_path, 4, size=25.4, second=True), tmp_path)
    assert [len(p["holes"]) for p in view["parts"]] == [1, 0]
    assert view["parts"][0]["holes"][0]["d"] == pytest.approx(12.7)  # exact: half an inch
    assert view["repairs"] is None and not view["units"]["doubtful"]


def test_each_doubt_is_decided_by_itself(tmp_path: Path) -> None:
    data = two_gaps(tmp_path)
    view = drawing_view(data, tmp_path)
    first, second = sorted(view["doubts"], key=lambda d: float(d["places"][0][0]))
    assert first["code"] == second["code"] == "open-outline" and first["possible"] and second["possible"]
    assert "was closed" in first["repair"] and not first["accepted"] and first["places"] and second["places"]
    assert view["repairs"]["possible"]
    data["plate"]["repair"] = [first["key"]]
    view = drawing_view(data, tmp_path)
    assert {d["key"]: d["accepted"] for d in view["doubts"]} == {first["key"]: True, second["key"]: False}
    with pytest.raises(CutplanError):
        read_plate_of(data, tmp_path)  # one doubt is still open: nothing is cut
    data["plate"]["repair"] = [first["key"], second["key"]]
    view = drawing_view(data, tmp_path)
    assert all(d["accepted"] for d in view["doubts"]) and view["repairs"] is None
    job = read_plate_of(data, tmp_path)
    assert job.plate.outline.box.width == pytest.approx(200.0)  # exact: as drawn
    assert job.plate.holes[0].contour.box.width == pytest.approx(40.0)  # exact: as drawn
    data["plate"]["repair"] = ["open-outline 999.0 999.0"]  # of a doubt that is none: nothing is mended by it
    assert not any(d["accepted"] for d in drawing_view(data, tmp_path)["doubts"])
    data["plate"]["repair"] = True
    assert all(d["accepted"] for d in drawing_view(data, tmp_path)["doubts"])


def two_gaps(folder: Path) -> dict[str, Any]:
    """A plate whose outline and one square opening are both left open by a gap."""
    doc = ezdxf.new("R2000")
    doc.units = 4
    model = doc.modelspace()
    for x, y, w, tall, gap in ((0.0, 0.0, 200.0, 120.0, 0.8), (60.0, 40.0, 40.0, 40.0, 0.6)):
        corners = [(x, y), (x + w, y), (x + w, y + tall), (x, y + tall), (x, y + gap)]
        for a, b in pairwise(corners):
            model.add_line(a, b)
    doc.saveas(folder / "plate.dxf")
    return {
        "units": "mm",
        "title": "Two gaps",
        "plate": {"drawing": "plate.dxf", "thickness": 4},
        "joint": {"kind": "butt", "gap": 1},
        "skin": {"thickness": 2},
    }


def read_plate_of(data: dict[str, Any], folder: Path) -> Job:
    return job_from(data, folder / "job.toml")


def test_a_measured_length_gives_the_scale_and_a_frame_is_asked_for(tmp_path: Path) -> None:
    data = drawn(tmp_path, 0)
    data["plate"]["drawing_length"] = "width=125 mm"
    view = drawing_view(data, tmp_path)
    assert view["units"]["length"] == "width=125 mm" and not view["units"]["doubtful"]
    assert view["parts"][0]["size_mm"] == pytest.approx([125.0, 80.0])  # exact: ten to one
    assert view["frame"] == {"asked": False, "stated": ""}
    data["plate"]["drawing_length"] = "girth=3"
    assert drawing_view(data, tmp_path)["problems"]
    path = save(tmp_path, dxf(box(-20, -60, 300, 200), box(0, 0, 240, 120), circle(30, 30, 4)))
    data = {"units": "mm", "plate": {"drawing": path.name}}
    view = drawing_view(data, tmp_path)
    assert view["frame"]["asked"] and view["frame"]["stated"] == ""
    for answer, wide in (("plate", 300.0), ("border", 240.0)):
        data["plate"]["frame"] = answer
        view = drawing_view(data, tmp_path)
        assert not view["frame"]["asked"] and view["parts"][0]["size_mm"][0] == pytest.approx(wide)  # exact


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


def test_a_rough_round_hole_can_be_accepted_as_its_circle(tmp_path: Path) -> None:
    ring = [(40.0 + 6.5 * cos(k * pi / 12.0) + 0.02 * (-1) ** k, 50.0 + 6.5 * sin(k * pi / 12.0)) for k in range(24)]
    save(tmp_path, dxf(box(0, 0, 100, 100), polyline(ring)), "plate.dxf")
    data: dict[str, Any] = {"units": "mm", "plate": {"drawing": "plate.dxf"}}
    (doubt,) = drawing_view(data, tmp_path)["doubts"]
    assert doubt["possible"] and not doubt["accepted"] and doubt["severity"] == "warning"
    assert doubt["places"][0] == pytest.approx([40.0, 50.0], abs=0.1)
    data["plate"]["repair"] = [doubt["key"]]
    view = drawing_view(data, tmp_path)
    assert view["doubts"][0]["accepted"] and view["parts"][0]["holes"][0]["d"] == pytest.approx(13.0, abs=0.04)
