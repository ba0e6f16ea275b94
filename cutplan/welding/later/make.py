"""Sleeves and ribs as lines after the stitches: their beads in turn, heat, waits, and what they do to the face."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from math import ceil, degrees, pi, radians

import numpy as np
from numpy.typing import NDArray

from cutplan.errors import CutplanError
from cutplan.geometry.locate import inside
from cutplan.geometry.vector import Point
from cutplan.pattern.job import Job
from cutplan.pattern.plate import Hole
from cutplan.pattern.skin import Rib
from cutplan.tables.band import Band
from cutplan.tables.steel import grade
from cutplan.texts import say
from cutplan.welding.distortion import Inherent, LaterPart, LaterPlan
from cutplan.welding.distortion.unmeasured import UNMEASURED, measured, rib_section
from cutplan.welding.heat.timing import heat_room
from cutplan.welding.heat.wait import HotBead, hot_bead, node_count, plan_starts
from cutplan.welding.later.result import LaterKind, LaterWeld
from cutplan.welding.settings.machine import Settings, settings_for
from cutplan.welding.shrinkage.across import energy_mm
from cutplan.welding.shrinkage.angular import sheet_angle
from cutplan.welding.shrinkage.tendon import tendon
from cutplan.welding.stitches.joint import WeldJoint

Floats = NDArray[np.float64]
#: Thickness and depth of a rib [mm].
Section = tuple[float, float]

#: Quarters of a sleeve in turn, each across from the one before [deg] (common practice).
QUARTERS_DEG = (0.0, 180.0, 90.0, 270.0)
#: A rib shorter than this under the plate is left out [mm], and how finely its path is followed [mm].
SHORTEST_RIB_MM, STEP_MM = 10.0, 4.0


@dataclass(frozen=True, slots=True, eq=False)
class _Item:
    """One sleeve or rib before its waits are known: places along each of its beads (n, 2) and lengths (n,) [mm]."""

    name: str
    kind: LaterKind
    at: Point
    length_mm: float
    paths: tuple[Floats, ...]
    lift_reach_mm: float | None
    pieces: Floats


def later_welds(job: Job, joint: WeldJoint, stitches: int, predicted: LaterPlan | None = None) -> tuple[LaterWeld, ...]:
    """Return the welds of sleeves and ribs in their order, each started on cold metal.

    Parameters
    ----------
    job : Job
        The job
    joint : WeldJoint
        Its joint, welded by then
    stitches : int
        Number of stitches before them
    predicted : LaterPlan or None
        What the order model says of them; without it sleeves come first, then ribs

    Returns
    -------
    tuple of LaterWeld
        One line for each sleeve and each joined rib under the plate.

    Notes
    -----
    Fillets by the makers' tables for the plate's thickness. Heat flows in the plate alone: tube and rib take some, so waits
    are on the long side. Shrinkage is the energy form of one bead over the plate, half to one and a half times that; angle is
    that of a fillet on sheet (our judgement). What they do to the pads is the order model's (``distortion.later``).
    """
    items = _items(job)
    if not items:
        return ()
    settings = settings_for("lap", job.plate.thickness_mm, job.welding)
    after = dict(predicted.after_mm) if predicted is not None else {}
    turn = list(after)
    items.sort(key=lambda i: turn.index(i.name) if i.name in after else len(turn))
    found, number = [], stitches + 1
    for item in items:
        found.append(replace(_line(job, joint, settings, item, number), after_mm=after.get(item.name)))
        number += len(item.paths)
    return tuple(found)


def later_parts(job: Job) -> tuple[LaterPart, ...]:
    """Return sleeves and ribs as the order model takes them.

    Parameters
    ----------
    job : Job
        The job

    Returns
    -------
    tuple of LaterPart
        Sleeves, then ribs. A rib is a piece of its own section on edge behind the plate, loose at its ends; of two
        fillets on one line the pull is that of one (our own rule).
    """
    items, thick = _items(job), job.plate.thickness_mm
    if not items:
        return ()
    settings = settings_for("lap", thick, job.welding)
    shrink, angle = _free(settings, thick)
    leg = min(thick, job.skin.thickness_mm)
    pull = tendon(settings.arc.heat_input_J_per_mm.mid, 0.5 * leg**2, _beside_mm2(job), _yield_N_per_mm2(job))
    ribs = {r.name: r for r in job.skin.ribs}
    found = []
    for item in items:
        rib = ribs.get(item.name) if item.kind == "rib" else None
        section, ends = _sections(job, rib) if rib is not None else ((0.0, 0.0), None)
        height = 0.5 * thick if item.kind == "sleeve" else -0.5 * thick
        inherent = Inherent(shrink, pull.free_N, angle, pull.section_mm2)
        found.append(
            LaterPart(item.name, item.kind, item.paths, item.pieces, height, leg / 2.0**0.5, inherent, section, ends)
        )
    return tuple(found)


def _sections(job: Job, rib: Rib) -> tuple[Section, tuple[Section, Section] | None]:
    """Thickness and depth of a rib as taken, and as small and as large as they may be where nobody measured them [mm]."""
    deepest = job.skin.box_depth_mm or np.inf
    small, taken, large = (rib_section(rib, share, deepest) for share in UNMEASURED)
    return taken, None if measured(rib) else (small, large)


def _items(job: Job) -> list[_Item]:
    items = [_sleeve(job, h) for h in job.plate.holes if h.purpose == "sleeve" and h.diameter_mm]
    return items + [r for r in (_rib(job, rib) for rib in job.skin.ribs if rib.joined) if r is not None]


def _free(settings: Settings, thickness_mm: float) -> tuple[Band, Band]:
    """What one bead shrinks across [mm] and turns [rad] on a free plate."""
    middle = energy_mm(settings.arc.heat_input_J_per_mm.mid, thickness_mm)
    source = say("energy form over the plate (Leggatt, from memory), half to one and a half times (our own)")
    return Band(0.5 * middle, middle, 1.5 * middle, "mm", source), sheet_angle(full_penetration=False)


def _beside_mm2(job: Job) -> float:
    """Section of the plate beside a line across it, half of it on each side [mm2]."""
    box = job.plate.outline.box
    return min(box.width, box.height) * job.plate.thickness_mm


def _yield_N_per_mm2(job: Job) -> float:
    try:
        return grade(job.plate.steel).yield_N_per_mm2
    except CutplanError:
        return grade("S235").yield_N_per_mm2


def _line(job: Job, joint: WeldJoint, settings: Settings, item: _Item, number: int) -> LaterWeld:
    heat, thickness, count = settings.arc.heat_input_J_per_mm, job.plate.thickness_mm, len(item.paths)
    total = heat.times(item.length_mm * count / 1000.0, "kJ")
    shrink, angle = _free(settings, thickness)
    reach = item.lift_reach_mm
    return LaterWeld(
        name=item.name,
        kind=item.kind,
        at=item.at,
        first=number,
        beads=count,
        length_mm=item.length_mm,
        arc_s=count * item.length_mm / settings.arc.speed_mm_per_s.mid,
        heat_kJ=total,
        wait_s=_longest_wait(job, joint, settings, item),
        shrink_mm=shrink,
        angle_deg=angle.times(degrees(1.0), "deg"),
        lift_mm=angle.times(reach, "mm") if reach is not None else None,
    )


def _longest_wait(job: Job, joint: WeldJoint, settings: Settings, item: _Item) -> float:
    """Longest wait between the beads of one line, in the plate as part of a wide sheet: the joint is welded by then [s]."""
    speed, heat = settings.arc.speed_mm_per_s.mid, settings.arc.heat_input_J_per_mm.mid
    beads: tuple[HotBead, ...] = tuple(hot_bead(path, heat, speed, item.length_mm) for path in item.paths)
    room = replace(heat_room(job, joint), flow_mm=job.plate.thickness_mm, joint_mm=1e-9)
    return max(s.wait_s for s in plan_starts(beads, room, job.welding.interpass_C, job.welding.ambient_C))


def _sleeve(job: Job, hole: Hole) -> _Item:
    radius = 0.5 * (hole.diameter_mm or 0.0)
    length = 0.5 * pi * radius
    count = node_count(length)
    turns = (np.arange(count) + 0.5) / count * 0.5 * pi
    paths = []
    for start in QUARTERS_DEG:
        angles = radians(start) + turns
        paths.append(
            np.column_stack([hole.centre.x + radius * np.cos(angles), hole.centre.y + radius * np.sin(angles)])
        )
    reaches = [
        0.5 * p.diameter_mm - radius for p in job.pads if p.centre.distance(hole.centre) + radius < 0.5 * p.diameter_mm
    ]
    return _Item(
        hole.name,
        "sleeve",
        hole.centre,
        length,
        tuple(paths),
        max(reaches, default=None),
        np.full(count, length / count),
    )


def _rib(job: Job, rib: Rib) -> _Item | None:
    """A rib's stretch under the plate, welded on one side, then on the other."""
    places, pieces = _along(rib.path)
    here = inside(job.plate.outline, places)
    under, length = places[here], float(pieces[here].sum())
    if length < SHORTEST_RIB_MM:
        return None
    middle = under[len(under) // 2]
    return _Item(
        rib.name, "rib", Point(float(middle[0]), float(middle[1])), length, (under, under[::-1]), None, pieces[here]
    )


def _along(path: Sequence[Point]) -> tuple[Floats, Floats]:
    """Middles of equal pieces along a polyline (n, 2), about one step each, and their lengths (n,) [mm]."""
    places, pieces = [], []
    for a, b in pairwise(path):
        count = max(1, ceil(a.distance(b) / STEP_MM))
        at = (np.arange(count) + 0.5) / count
        places.append(np.column_stack([a.x + at * (b.x - a.x), a.y + at * (b.y - a.y)]))
        pieces.append(np.full(count, a.distance(b) / count))
    return np.concatenate(places), np.concatenate(pieces)
