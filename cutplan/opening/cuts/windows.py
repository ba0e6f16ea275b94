"""Windows sawn into the waste beside ribs that nobody has seen, and holes that let a blade in beside a rib."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from cutplan.geometry.vector import Point
from cutplan.opening.model import Drill
from cutplan.pattern.job import Job
from cutplan.tables.by_hand.hand_tools import WINDOWS_MM
from cutplan.texts import say

if TYPE_CHECKING:
    from shapely import Polygon
    from shapely.geometry.base import BaseGeometry

#: Room between a window's edge and the nearest rib, hole or border of its section [mm].
CLEAR_RIB_MM = 6.0
CLEAR_EDGE_MM = 3.0
#: A window shows a rib that is no farther from its edge than this [mm]. Common practice.
SIGHT_MM = 60.0
#: A blade comes in from a section already out when that is no farther off than this [mm]. Common practice.
OPEN_SIDE_MM = 50.0
#: Holes that let a blade in, the last for a narrow blade [mm]. Common practice.
BLADE_HOLES_MM = (10.0, 8.0, 6.0)
#: Holes to look through with a camera, the last for a wire alone. Common practice.
LOOK_HOLES_MM = (16.0, 12.0, 10.0, 8.0, 6.0, 4.0)
#: A hole of this size lets a camera in [mm]. Common practice.
CAMERA_MM = 8.0


def window_for(job: Job, section: Polygon, ribs: list[int], drills: list[Drill]) -> Drill | None:
    """Return a window inside a section, clear of every rib and as near as it goes to those not seen, or None.

    Parameters
    ----------
    job : Job
        For its ribs.
    section : shapely.Polygon
        The section [mm].
    ribs : list of int
        Indexes of the ribs to be looked at.
    drills : list of Drill
        Holes already placed.
    """
    for diameter in WINDOWS_MM:
        spot = _place(job, section, ribs, drills, 0.5 * diameter, CLEAR_EDGE_MM)
        if spot is not None:
            return Drill("", spot, diameter, "window", say("to see what is behind before the skin is cut"))
    return None


def blade_hole(job: Job, region: BaseGeometry, at: Point, drills: list[Drill]) -> Drill | None:
    """Return a hole [mm] beside a place where a rib is parted, clear of every rib, or None when it has no room."""
    for diameter in BLADE_HOLES_MM:
        spot = _place(job, region, [], drills, 0.5 * diameter, 0.0, near=at, rib_mm=1.0)
        if spot is not None and spot.distance(at) <= 40.0:
            return Drill("", spot, diameter, "blade", say("lets a saw blade in beside the rib"))
    return None


def look_hole(job: Job, section: Polygon, drills: list[Drill]) -> Drill | None:
    """Return a hole [mm] inside a section to look behind the skin through, clear of every rib, or None."""
    for diameter in LOOK_HOLES_MM:
        spot = _place(job, section, [], drills, 0.5 * diameter, CLEAR_EDGE_MM)
        if spot is not None:
            return Drill("", spot, diameter, "look", say("to look behind the skin before it is cut"))
    return None


def _place(
    job: Job,
    region: BaseGeometry,
    ribs: list[int],
    drills: list[Drill],
    radius_mm: float,
    edge_mm: float,
    near: Point | None = None,
    rib_mm: float = CLEAR_RIB_MM,
) -> Point | None:
    from shapely import LineString, points
    from shapely import distance as gap

    room = region.buffer(-(radius_mm + edge_mm), quad_segs=4)
    if room.is_empty:
        return None
    xmin, ymin, xmax, ymax = room.bounds
    if near is not None:
        xmin, xmax = max(xmin, near.x - 45.0), min(xmax, near.x + 45.0)
        ymin, ymax = max(ymin, near.y - 45.0), min(ymax, near.y + 45.0)
        if xmin > xmax or ymin > ymax:
            return None
    nx = max(2, min(32, int((xmax - xmin) / 2.0) + 2))
    ny = max(2, min(32, int((ymax - ymin) / 2.0) + 2))
    gx, gy = np.meshgrid(np.linspace(xmin, xmax, nx), np.linspace(ymin, ymax, ny))
    xy = np.column_stack((gx.ravel(), gy.ravel()))
    spots = points(xy)
    ok = gap(room, spots) <= 0.0
    for rib in job.skin.ribs:
        ok &= gap(LineString(rib.path), spots) >= radius_mm + rib_mm + 0.5 * rib.thickness_mm
    for d in drills:
        ok &= np.hypot(xy[:, 0] - d.centre.x, xy[:, 1] - d.centre.y) >= radius_mm + d.radius_mm + 1.0
    if not ok.any():
        return None
    if near is not None:
        cost = np.hypot(xy[:, 0] - near.x, xy[:, 1] - near.y)
    else:
        middle = room.centroid
        cost = np.zeros(len(xy)) if ribs else np.hypot(xy[:, 0] - middle.x, xy[:, 1] - middle.y)
        for r in ribs:
            part = LineString(job.skin.ribs[r].path).intersection(region)
            cost = np.maximum(cost, gap(part, spots))
        if ribs and (cost[ok].min() - radius_mm) > SIGHT_MM:
            return None
    k = int(np.argmin(np.where(ok, np.round(cost, 6), np.inf)))
    return Point(float(xy[k, 0]), float(xy[k, 1]))
