"""The same joint in a box that is larger or smaller, stiffer or softer, its weld higher or lower, its gap wider or narrower."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from cutplan.tables.band import Band
from cutplan.welding.distortion.model.condensed import Model, make_model
from cutplan.welding.distortion.model.fields import box_of, field_scales, joined_fields, on_box
from cutplan.welding.distortion.task import Doubt, OrderOptions

#: Levels of four doubts in four runs, low or high: depth, grip and height of the weld in all four mixes of each pair
#: (Hadamard design of order 4), the gap with the depth; how stiffly the plate is kept flush goes with the height.
RUNS = ((-1, -1, -1, -1), (-1, 1, 1, -1), (1, -1, 1, 1), (1, 1, -1, 1))
#: Distance of a level from the middle as a share of half the band [1]: two points with the scatter of a band whose ends
#: hold nine tenths of a normal distribution.
LEVEL = 1.0 / 1.645


@dataclass(frozen=True, slots=True)
class BoxState:
    """One state of box and joint.

    Parameters
    ----------
    wall_depth_mm : float
        Depth of the box's walls [mm].
    grip : float
        How stiffly the vehicle holds the box, over what the model takes [1].
    weld_z_mm, ligament_mm : float
        Height of the weld and width of its metal [mm].
    size : float
        Where what nobody measured of the box lies: -1 as small as it may be, 0 as taken, 1 as large [1].
    flush : float
        How stiffly magnets or clamps keep the plate flush, over what the model takes [1].
    """

    wall_depth_mm: float
    grip: float
    weld_z_mm: float
    ligament_mm: float
    size: float = 0.0
    flush: float = 1.0


def states_of(doubt: Doubt) -> tuple[BoxState, ...]:
    """Return states that stand for what is not known, all equally likely.

    What nobody measured of a box is small or large together with its depth: one box was not looked at (our judgement).

    Parameters
    ----------
    doubt : Doubt
        Bands of the four quantities, and the box as small and as large as it may be.
    """
    bands = (doubt.wall_depth_mm, doubt.grip, doubt.weld_z_mm, doubt.ligament_mm)
    found = []
    for run in RUNS:
        depth, grip, height, width = (_at(b, level) for b, level in zip(bands, run, strict=True))
        size = LEVEL * run[0] if doubt.sizes else 0.0
        flush = _at(doubt.flush, run[2]) if doubt.flush else 1.0
        found.append(BoxState(depth, grip, height, width, size, flush))
    return tuple(found)


def few_states(doubt: Doubt) -> tuple[BoxState, ...]:
    """Return the stiffest and the softest box, for seams so long that no more are followed.

    The weld's height and what nobody measured of the box stay as taken; depth and hold of the box, gap and magnets are varied.

    Parameters
    ----------
    doubt : Doubt
        Bands of the quantities.
    """
    found = []
    for stiff in (1, -1):
        flush = _at(doubt.flush, stiff) if doubt.flush else 1.0
        depth, gap = _at(doubt.wall_depth_mm, -stiff), _at(doubt.ligament_mm, -stiff)
        found.append(BoxState(depth, _at(doubt.grip, stiff), doubt.weld_z_mm.mid, gap, 0.0, flush))
    return tuple(found)


def _at(band: Band, level: int) -> float:
    """The value of a band at its lower level (-1) or its higher (1)."""
    return band.mid + LEVEL * (band.high - band.mid if level > 0 else band.low - band.mid)


def in_states(model: Model, states: Sequence[BoxState], options: OrderOptions) -> tuple[Model, ...]:
    """Return the model in several states; only the skin of a larger or smaller box is meshed and solved again.

    Parameters
    ----------
    model : Model
        The condensed model, with its fields.
    states : sequence of BoxState
        The states.
    options : OrderOptions
        Those that the model was made with.
    """
    found: dict[BoxState, Model] = {}
    for size in sorted({s.size for s in states}):
        sized = _sized(model, size, options)  # one at a time: each holds its fields
        found.update((s, varied(sized, s)) for s in states if s.size == size)
    return tuple(found[s] for s in states)


def _sized(model: Model, size: float, options: OrderOptions) -> Model:
    """The model in a box whose unmeasured distances are smaller (-1) or larger (1) than those taken (0)."""
    task = model.task
    if size == 0.0 or task.doubt is None or task.doubt.sizes is None:
        return replace(model, size=size)
    end, share = task.doubt.sizes[size > 0.0], abs(size)
    skin = replace(task.skin, outer=task.skin.outer + share * (end.outer - task.skin.outer))
    ribs = tuple(
        replace(
            one,
            thickness_mm=one.thickness_mm + share * (far.thickness_mm - one.thickness_mm),
            depth_mm=one.depth_mm + share * (far.depth_mm - one.depth_mm),
        )
        for one, far in zip(task.ribs, end.ribs, strict=True)
    )
    beside = 1.0 + share * (end.beside - 1.0)
    inherent = [replace(i, pull_section_mm2=beside * i.pull_section_mm2) for i in model.inherent]
    other = replace(task, skin=skin, ribs=ribs)
    return replace(make_model(other, model.beads, inherent, options, model.bars, like=model), size=size)


def varied(model: Model, state: BoxState) -> Model:
    """Return the model in another state of box and joint; no sheet is solved again, only the box is.

    It is not to be varied again and holds no fields. A model of a very long seam keeps the height of its weld.

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
    sheets = model.sheets
    height = state.weld_z_mm if sheets.fields else sheets.weld_z_mm
    whole = joined_fields(sheets.fields, field_scales(bodies, sheets.lever, height)) if sheets.fields else sheets.bare
    compliance, edge = on_box(whole, box_of(skin))
    give = model.give.copy()
    give[: model.brace_parts[0]] /= state.flush
    give[model.brace_count :] *= max(state.ligament_mm, 0.1) / max(task.ligament_mm, 0.1)
    return replace(
        model,
        task=replace(task, skin=skin.sheet, weld_z_mm=height, ligament_mm=state.ligament_mm),
        compliance=compliance,
        give=give,
        sheets=replace(sheets, bodies=bodies, fields=(), bare=np.empty((0, 0)), edge=edge, weld_z_mm=height),
    )
