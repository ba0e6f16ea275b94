"""When each bead of an order starts, with the waits that the interpass temperature asks for."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from cutplan.geometry.contour import Contour
from cutplan.pattern.job import Job
from cutplan.pattern.joint import Span
from cutplan.welding.heat.wait import HeatRoom, HotBead, Start, hot_bead, node_count, plan_starts
from cutplan.welding.settings.machine import Settings
from cutplan.welding.stitches.along import nodes
from cutplan.welding.stitches.joint import WeldJoint


@dataclass(frozen=True, slots=True)
class Turn:
    """One bead of an order: index into the beads, and whether it is welded against the outline's direction."""

    bead: int
    backward: bool


def heat_room(job: Job, joint: WeldJoint) -> HeatRoom:
    """Return the metal that takes the heat of a job's joint."""
    plate, skin = job.plate.thickness_mm, job.skin.thickness_mm
    box = job.plate.outline.box
    evened = plate * job.plate.region.area / (box.width * box.height)
    share = plate / (plate + skin) if job.joint.kind == "butt" else plate / (plate + 2.0 * skin)
    return HeatRoom(joint.flow_mm, evened, share, (box.xmin, box.ymin, box.width, box.height), joint.line.length_mm)


@lru_cache(maxsize=32)
def order_starts(
    outline: Contour,
    spans: tuple[Span, ...],
    turns: tuple[Turn, ...],
    settings: Settings,
    room: HeatRoom,
    interpass_C: float,
    ambient_C: float,
    runs: int = 1,
) -> tuple[Start, ...]:
    """Return the start of each bead of an order.

    Parameters
    ----------
    outline : Contour
        The plate's outline
    spans : tuple of Span
        Beads, tacks first [mm]
    turns : tuple of Turn
        Order and directions
    settings : Settings
        Heat and speed
    room : HeatRoom
        The metal that takes the heat
    interpass_C, ambient_C : float
        Limit and temperature before welding [degC]
    runs : int
        Runs laid one upon another in each bead before the next

    Returns
    -------
    tuple of Start
        One for each turn.
    """
    return plan_starts(hot_beads(outline, spans, turns, settings, runs), room, interpass_C, ambient_C)


def hot_beads(
    outline: Contour, spans: tuple[Span, ...], turns: tuple[Turn, ...], settings: Settings, runs: int = 1
) -> tuple[HotBead, ...]:
    """Return the beads of an order as heat sources, middle settings.

    Parameters
    ----------
    outline : Contour
        The plate's outline
    spans : tuple of Span
        Beads, tacks first [mm]
    turns : tuple of Turn
        Order and directions
    settings : Settings
        Heat and speed
    runs : int
        Runs laid one upon another in each bead before the next

    Returns
    -------
    tuple of HotBead
        One for each turn.
    """
    beads = []
    heat = runs * settings.arc.heat_input_J_per_mm.mid
    for turn in turns:
        span = spans[turn.bead]
        length = span.end_mm - span.start_mm
        points = nodes(outline, span, node_count(length), turn.backward)
        beads.append(hot_bead(points, heat, settings.arc.speed_mm_per_s.mid / runs, length))
    return tuple(beads)
