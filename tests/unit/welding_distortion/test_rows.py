"""Rows that couple the sheets: blind to movements of the whole, and showing known relative movements."""

from __future__ import annotations

import numpy as np
import pytest
from mesh_shapes import Floats
from weld_tasks import butt_task, lap_task, seam

from cutplan.welding.distortion import OrderOptions, WeldTask
from cutplan.welding.distortion.model.brace import make_magnets
from cutplan.welding.distortion.model.condensed import MOVES, Model, make_model


@pytest.fixture(scope="module", params=["butt", "lap"])
def model(request: pytest.FixtureRequest) -> Model:
    task: WeldTask = butt_task(brace=True) if request.param == "butt" else lap_task()
    return make_model(task, *seam(task.path, 3, 5), OrderOptions(triangles=420))


Triple = tuple[float, float, float]


def moved(model: Model, shift: Triple, turn: Triple, who: int = 2) -> list[Floats]:
    """Fields of sheets moved as rigid bodies: a shift and small turns about x, y, z through the origin."""
    fields = []
    for number, body in enumerate(model.sheets.bodies):
        mesh, height = body.mesh, body.sheet.middle_z_mm
        on = 1.0 if who in (2, number) else 0.0
        x, y = np.vstack([mesh.points, mesh.points[mesh.edges].mean(axis=1)]).T
        a, b, c = turn
        u = shift[0] + b * height - c * y
        v = shift[1] - a * height + c * x
        fields.append(on * np.column_stack([u, v]).ravel())
        px, py = mesh.points.T
        w = shift[2] + a * py - b * px
        fields.append(on * np.column_stack([w, np.full_like(w, -b), np.full_like(w, a)]).ravel())
    return fields


def values(model: Model, fields: list[Floats]) -> Floats:
    return np.asarray(sum(rows @ field for rows, field in zip(model.sheets.rows, fields, strict=True)))


TURNS = [(1e-3, 0.0, 0.0), (0.0, 2e-3, 0.0), (0.0, 0.0, 1e-3), (1e-3, -2e-3, 5e-4)]


@pytest.mark.parametrize("turn", TURNS)
def test_a_movement_of_the_whole_moves_no_station_and_stretches_no_tendon(
    model: Model, turn: tuple[float, float, float]
) -> None:
    row = values(model, moved(model, (0.4, -0.7, 0.3), turn))
    stations = row[model.brace_count : model.spring_count].reshape(-1, MOVES)
    # exact for a lap, where both sheets are measured along one line, heights of sheets and weld included; the two edges
    # of a butt are a gap of 1 mm apart and their chords round a corner differ by up to a hundredth of the shift
    slack = 1e-9 if model.task.lap else 1.2 * max(abs(t) for t in turn) + 0.01 * 0.8
    assert np.abs(stations).max() < slack
    assert np.abs(row[model.tendons]).max() < 1e-9


def test_a_plate_that_turns_alone_folds_and_slides_at_the_height_of_the_weld(model: Model) -> None:
    """Turn about the y axis: heights fall with x, points above the middle surface move with x."""
    turn = 1e-3
    row = values(model, moved(model, (0.0, 0.0, 0.0), (0.0, turn, 0.0), who=0))
    plate, stations = model.sheets.bodies[0], model.stations
    pieces = plate.stretches(model.task.path, stations.start_mm, stations.end_mm)
    for i in range(model.stations.count):
        piece = pieces[i]
        part = ((piece.last - piece.first) * piece.length_mm / piece.total_mm)[:, None]
        across, along = (part * piece.across).sum(axis=0), (part * piece.along).sum(axis=0)
        got = row[model.brace_count + MOVES * i : model.brace_count + MOVES * (i + 1)]
        height = model.task.weld_z_mm  # exact: a point at height z moves by turn times z along x
        assert got[0] == pytest.approx(turn * height * across[0], abs=1e-12)
        assert got[1] == pytest.approx(turn * height * along[0], abs=1e-12)
        assert got[3] == pytest.approx(-turn * across[0], abs=1e-12)


def test_magnets_feel_lift_and_tilt_only(model: Model) -> None:
    magnets = make_magnets(model.sheets.bodies[0], 500.0)
    assert magnets.give == pytest.approx(np.full(3, 1 / 500.0))
    lifted = values(model, moved(model, (0.2, 0.1, 1.0), (0.0, 0.0, 1e-3)))[:3]
    assert lifted == pytest.approx([1.0, 0.0, 0.0], abs=1e-9)
    # tilt: root of the squares is the root mean square height of the rim over its middle
    rim = model.sheets.bodies[0].mesh.chains[0]
    place = model.sheets.bodies[0].mesh.points[rim.nodes]
    step = np.hypot(*(np.roll(place, -1, axis=0) - np.roll(place, 1, axis=0)).T)
    heights = 1e-3 * place[:, 1]
    spread = np.sqrt(np.average((heights - np.average(heights, weights=step)) ** 2, weights=step))
    tilted = values(model, moved(model, (0.0, 0.0, 0.0), (1e-3, 0.0, 0.0)))[1:3]
    assert np.hypot(*tilted) == pytest.approx(spread, rel=1e-9)


def test_brace_stretches_are_blind_to_movements_of_the_whole(model: Model) -> None:
    row = values(model, moved(model, (0.4, -0.7, 0.3), (1e-3, 2e-3, 0.0)))
    bar = row[3 : model.brace_count]
    stiff = 1.0 / model.give[3 : model.brace_count]
    energy = 0.5 * float((stiff * bar**2).sum())
    # fixings at different heights of the sheets' middles differ by turn times height, in the plane, at most
    high = abs(model.sheets.bodies[0].sheet.middle_z_mm - model.sheets.bodies[1].sheet.middle_z_mm) * 2.3e-3
    assert energy <= 0.5 * stiff.max() * (4 * high**2 + 1e-12)
