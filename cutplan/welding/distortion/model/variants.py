"""The same joint in a box that is stiffer or softer, with its weld higher or lower, its gap wider or narrower."""

from __future__ import annotations

from dataclasses import dataclass, replace

from cutplan.welding.distortion.model.condensed import Model
from cutplan.welding.distortion.model.fields import box_of, field_scales, joined_fields, on_box
from cutplan.welding.distortion.task import Doubt

#: Levels of four doubts in four runs, low or high, each pair of doubts in all four mixes (Hadamard design of order 4;
#: the fourth column repeats the first three's product).
RUNS = ((-1, -1, -1, -1), (-1, 1, 1, -1), (1, -1, 1, 1), (1, 1, -1, 1))
#: Distance of a level from the middle as a share of half the band [1]: two points with the scatter of a band whose ends
#: hold nine tenths of a normal distribution.
LEVEL = 1.0 / 1.645


@dataclass(frozen=True, slots=True)
class BoxState:
    """One state of box and joint: wall depth [mm], grip [1], height of the weld [mm], width of its metal [mm]."""

    wall_depth_mm: float
    grip: float
    weld_z_mm: float
    ligament_mm: float


def states_of(doubt: Doubt) -> tuple[BoxState, ...]:
    """Return states that stand for what is not known, all equally likely.

    Parameters
    ----------
    doubt : Doubt
        Bands of the four quantities.
    """
    bands = (doubt.wall_depth_mm, doubt.grip, doubt.weld_z_mm, doubt.ligament_mm)
    found = []
    for run in RUNS:
        values = [
            b.mid + LEVEL * (b.high - b.mid if level > 0 else b.low - b.mid)
            for b, level in zip(bands, run, strict=True)
        ]
        found.append(BoxState(*values))
    return tuple(found)


def varied(model: Model, state: BoxState) -> Model:
    """Return the model in another state of box and joint; no sheet is solved again, only the box is.

    It is not to be varied again and holds no fields.

    Parameters
    ----------
    model : Model
        The condensed model.
    state : BoxState
        What is changed.
    """
    task, skin = model.task, model.sheets.bodies[1]
    if skin.sheet.wall_held:
        sheet = replace(skin.sheet, wall_depth_mm=state.wall_depth_mm)
        skin = replace(skin, sheet=sheet, hold_N_per_mm=state.grip * skin.hold_N_per_mm)
    bodies = (model.sheets.bodies[0], skin)
    scales = field_scales(bodies, model.sheets.lever, state.weld_z_mm)
    compliance, edge = on_box(joined_fields(model.sheets.fields, scales), box_of(skin))
    give = model.give.copy()
    give[model.brace_count :] *= max(state.ligament_mm, 0.1) / max(task.ligament_mm, 0.1)
    return replace(
        model,
        task=replace(task, skin=skin.sheet, weld_z_mm=state.weld_z_mm, ligament_mm=state.ligament_mm),
        compliance=compliance,
        give=give,
        sheets=replace(model.sheets, bodies=bodies, fields=(), edge=edge, weld_z_mm=state.weld_z_mm),
    )
