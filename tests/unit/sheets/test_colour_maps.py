from dataclasses import replace
from io import BytesIO

import numpy as np
import pytest
from PIL import Image
from sheet_results import small

from cutplan.geometry.vector import Box, Point
from cutplan.report.report import report_html
from cutplan.report.welding.colour_dots import coloured, on_grid, on_triangles, scale
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


def test_dots_of_a_linear_field_are_exact_and_there_are_none_beside_the_mesh() -> None:
    corners = np.array([[0.0, 0.0], [40.0, 0.0], [40.0, 20.0], [0.0, 20.0]])
    mesh = np.array([[0, 1, 2], [0, 2, 3]])
    lifts = np.array([3.0 + 0.5 * corners[:, 0] - 2.0 * corners[:, 1], corners[:, 1]])
    first, second = on_triangles(corners, mesh, lifts, Box(0.0, -5.0, 40.0, 20.0), (80, 50))
    x, y = np.arange(80) * 0.5 + 0.25, 19.75 - np.arange(50) * 0.5
    exact = 3.0 + 0.5 * x - 2.0 * y[:, None]
    assert first[:39] == pytest.approx(exact[:39]) and second[:39] == pytest.approx(np.repeat(y[:39, None], 80, 1))
    assert np.isnan(first[42:]).all() and np.isnan(second[42:]).all()
    grid = on_grid(np.add.outer(np.arange(6.0), 10.0 * np.arange(9.0)), (81, 51))  # exact: linear between the places
    across, down = (np.arange(81) + 0.5) * 8.0 / 81.0, 5.0 - (np.arange(51) + 0.5) * 5.0 / 51.0
    assert grid == pytest.approx(10.0 * across + down[:, None], abs=1e-4)


def test_a_dot_has_the_colour_of_its_step_and_lines_part_the_steps() -> None:
    colours = scale(((0.0, "#000000"), (0.5, "#808080"), (1.0, "#ff0000")), 5)
    assert colours == ["#000000", "#404040", "#808080", "#c04040", "#ff0000"]  # exact: half way between stops
    values = np.array([[-1.0, 0.0, 0.5, 1.0, 9.0, np.nan]])
    plain = coloured(values, (0.0, 1.0), ("#010203", "#0a0b0c", "#102030"))
    assert plain.tolist() == [[[1, 2, 3], [10, 11, 12], [10, 11, 12], [16, 32, 48], [16, 32, 48], [255, 255, 255]]]
    lined = coloured(values, (0.0, 1.0), ("#010203", "#0a0b0c", "#102030"), line="#00ff00")
    assert [d == [0, 255, 0] for d in lined[0].tolist()] == [True, True, True, True, True, True]
    wide = coloured(np.repeat(values[:, :5], 4, axis=1), (0.0, 1.0), ("#010203", "#0a0b0c", "#102030"), line="#00ff00")
    assert [k for k, d in enumerate(wide[0].tolist()) if d == [0, 255, 0]] == [3, 4, 11, 12]


def test_what_lies_up_is_orange_and_what_lies_down_violet_where_it_lies() -> None:
    results = small()
    assert results.weld is not None
    points = np.array([[0.0, 0.0], [260.0, 0.0], [260.0, 120.0], [0.0, 120.0]])
    lift = np.array([[0.0, 0.0, 0.0, 0.0], [1.0, -1.0, -1.0, 1.0], [1.0, -1.0, -1.0, 1.0]])
    bent = ShapeAfter(points, np.array([[0, 1, 2], [0, 2, 3]]), np.ones(4, dtype=bool), lift, ("start", "S1", "S2"))
    weld = replace(results.weld, order=replace(results.weld.order, shape=bent))
    picture = Image.open(BytesIO(colour_maps(replace(results, weld=weld))["displaced-map"])).convert("RGB")
    middle = picture.height // 2
    row = np.array([picture.getpixel((x, middle)) for x in range(picture.width)], dtype=float)
    strong = np.flatnonzero(np.ptp(row, axis=1) > 60.0)
    left, right = row[strong[0] + 4], row[strong[strong < 0.44 * picture.width][-1] - 4]
    assert left[0] > left[2] + 60.0 and right[2] > right[1] + 30.0


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
