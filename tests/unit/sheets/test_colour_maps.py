from dataclasses import replace
from io import BytesIO

import numpy as np
import pytest
from PIL import Image
from sheet_results import small

from cutplan.geometry.vector import Point
from cutplan.report.report import report_html
from cutplan.report.welding.colour_fields import heat_field, lift_rows
from cutplan.report.welding.colour_maps import colour_maps
from cutplan.welding.heat.peak import thin_peak_rise_K
from cutplan.welding.result import ShapeAfter


def shape(*labels: str) -> ShapeAfter:
    """A triangle that lifts by its row's number, row by row."""
    corners = np.array([[0.0, 0.0], [100.0, 0.0], [0.0, 80.0]])
    lift = np.repeat(np.arange(float(len(labels)))[:, None], 3, axis=1)
    return ShapeAfter(corners, np.array([[0, 1, 2]]), np.ones(3, dtype=bool), lift, labels)


@pytest.mark.parametrize(
    "labels, rows",
    [
        (("start", "S1", "S2", "brace off"), [2, 3]),
        (("start", "S1", "S2", "magnets off"), [2, 3]),
        (("start", "S1", "S2"), [1, 2]),
    ],
)
def test_before_and_after_are_the_steps_that_matter(labels: tuple[str, ...], rows: list[int]) -> None:
    found = lift_rows(shape(*labels))
    assert [row for _, row in found] == rows
    assert len({str(title) for title, _ in found}) == 2


def test_heat_beside_a_straight_joint_is_the_formula_and_agrees_with_the_distances_to_keep() -> None:
    results = small()
    plan, job = results.weld, results.job
    assert plan is not None
    field = heat_field(job, plan)

    def peak(p: Point) -> float:
        return float(field.peak_C[np.abs(field.y_mm - p.y).argmin(), np.abs(field.x_mm - p.x).argmin()])

    below = int(np.abs(field.y_mm + 8.0).argmin())  # under the lower side, away from the corners
    aside = -float(field.y_mm[below])
    exact = job.welding.ambient_C + thin_peak_rise_K(aside, plan.heat.input_J_per_mm.mid, plan.joint.flow_mm)
    assert peak(Point(130.0, field.y_mm[below])) == pytest.approx(exact, rel=0.01)
    cell = float(np.diff(field.y_mm)[0])
    for k in plan.heat.keep_away:  # exact: the same formulas, a cell of the grid apart
        d = k.distance_mm.mid
        if cell < d < 80.0:
            assert peak(Point(130.0, -d + cell)) >= k.limit_C >= peak(Point(130.0, -d - cell)), k.limit_C
    assert peak(job.plate.outline.centroid) >= plan.heat.reach.insert_C.mid - 1e-9
    assert field.peak_C.min() >= job.welding.ambient_C


def test_the_maps_are_pictures_of_the_right_shape_and_the_same_each_time() -> None:
    results = small()
    first, again = colour_maps(replace(results)), colour_maps(replace(results))
    assert first == again and set(first) == {"displaced-map", "heat-map"}
    german = colour_maps(replace(results, job=replace(results.job, shown=replace(results.job.shown, language="de"))))
    assert all(german[name] != first[name] for name in first)
    for data in first.values():
        picture = Image.open(BytesIO(data)).convert("RGB")
        assert 600 <= picture.width <= 1200 and 250 <= picture.height <= 800
        colours = picture.quantize(64).getcolors() or []
        assert len(colours) > 12  # a blank sheet has one


def test_a_job_without_a_weld_plan_has_none_and_the_report_shows_those_there_are() -> None:
    results = small()
    assert colour_maps(replace(results, weld=None)) == {}
    page = report_html(results)
    assert page.count('src="data:image/png;base64,') == 2
    assert "up is orange" in page
