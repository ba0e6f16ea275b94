"""The figures behind the colour maps: which steps of the displaced shape are shown, and how hot each place gets."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from cutplan.geometry.vector import Point
from cutplan.pattern.job import Job
from cutplan.texts import Message, say

if TYPE_CHECKING:
    from cutplan.welding.result import PlacedBead, ShapeAfter, WeldPlan

_Floats = NDArray[np.float64]
#: Places of the heat map along its longer side, how far it goes beyond the plate [mm], step along the joint [mm].
PLACES, AROUND_MM, STEP_MM = 180, 90.0, 1.0
#: Nearer than this to the middle of the weld the metal melts and no formula of heat flow is asked [mm].
NEAREST_MM = 1.0


@dataclass(frozen=True, slots=True, eq=False)
class HeatField:
    """Highest temperature of places on a grid.

    Parameters
    ----------
    x_mm, y_mm : ndarray (columns,), (rows,)
        The grid [mm].
    peak_C : ndarray (rows, columns)
        Highest temperature of each place in the course of the plan [degC].
    ambient_C, insert_C : float
        Before welding; middle of the plate at its warmest [degC].
    """

    x_mm: _Floats
    y_mm: _Floats
    peak_C: _Floats
    ambient_C: float
    insert_C: float


def lift_rows(shape: ShapeAfter) -> list[tuple[Message, int]]:
    """Return the steps to look at with their titles: after the last bead, and with what held the plate taken off.

    Parameters
    ----------
    shape : ShapeAfter
        Shape after each step of the chosen order.
    """
    last = len(shape.lift_mm) - 1
    if shape.labels[-1] == "brace off":
        return [(say("after the last bead, brace on"), last - 1), (say("cold, with the brace off"), last)]
    if shape.labels[-1] == "magnets off":
        return [(say("after the last bead, magnets on"), last - 1), (say("cold, with the magnets off"), last)]
    return [(say("half of the beads welded"), last // 2), (say("after the last bead"), last)]


def heat_field(job: Job, plan: WeldPlan) -> HeatField:
    """Return how hot places get: the peak of one bead near the joint, all beads together farther off.

    Parameters
    ----------
    job : Job
        The job.
    plan : WeldPlan
        Its weld plan.

    Notes
    -----
    Middle of the band, with the formulas that the distances to keep come from: the thin plate's peak of one bead is an
    upper bound, since it leaves out what the surface gives off; all beads together are taken at their worst over all
    directions. On the plate no place stays below its middle at its warmest.
    """
    from scipy.spatial import cKDTree
    from shapely import contains_xy

    from cutplan.geometry.flatten import to_shapely
    from cutplan.welding.heat.peak import thin_peak_rise_K

    box = job.plate.outline.box.grown(AROUND_MM)
    cell = max(box.width, box.height) / PLACES
    x = np.linspace(box.xmin, box.xmax, max(int(box.width / cell), 2))
    y = np.linspace(box.ymin, box.ymax, max(int(box.height / cell), 2))
    places = np.column_stack([v.ravel() for v in np.meshgrid(x, y)])
    joint = np.array([p for b in (*plan.tacks, *plan.stitches) for p in _along(b)])
    away = np.maximum(cKDTree(joint).query(places)[0], NEAREST_MM)
    one = thin_peak_rise_K(1.0, plan.heat.input_J_per_mm.mid, plan.joint.flow_mm) / away
    reach, ambient = plan.heat.reach, job.welding.ambient_C
    # nearer than the first distance the plan was looked at, one bead counts; beyond the last it has faded
    together = np.interp(away, reach.distances_mm, reach.rise_K, left=0.0, right=0.0)
    inside = contains_xy(to_shapely(job.plate.outline), places[:, 0], places[:, 1])
    warm = np.where(inside, max(reach.insert_C.mid - ambient, 0.0), 0.0)
    peak = ambient + np.maximum.reduce([one, together, warm])
    return HeatField(x, y, peak.reshape(len(y), len(x)), ambient, reach.insert_C.mid)


def _along(bead: PlacedBead) -> list[Point]:
    """Places along a bead, both ends with them."""
    found = []
    for s in bead.path:
        pieces = max(int(np.ceil(s.length / STEP_MM)), 1)
        found += [s.point_at(i / pieces) for i in range(pieces + 1)]
    return found
