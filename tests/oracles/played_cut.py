"""The cut played through on paper: the sheet less everything the kerf sweeps, compared with the net plate."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from cutplan.cutting.result import CutPlan
from cutplan.geometry.flatten import flatten_segment, to_shapely
from cutplan.geometry.segment import Segment

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

#: Chord error used for paths and outlines here [mm].
CHORDS_MM = 0.0005
#: Sides of a quarter turn in a swept width.
QUARTER = 64


@dataclass(frozen=True, slots=True)
class Simulated:
    """What the played cut showed.

    Parameters
    ----------
    gouge_mm : float
        Deepest bite of a cut into the net plate, leads left out [mm].
    lead_gouge_mm : float
        Deepest bite of leads, overburn and pierces [mm].
    left_mm : float
        Thickest metal left on the plate that was to go, but for corners tighter than half the kerf and tabs [mm].
    pierce_clear_mm : float
        Least distance of a pierce centre from the net plate [mm]; infinite without pierces.
    freed : bool
        Whether the plate comes free in one piece (never with tabs).
    """

    gouge_mm: float
    lead_gouge_mm: float
    left_mm: float
    pierce_clear_mm: float
    freed: bool


def simulate(plan: CutPlan, *, margin_mm: float = 40.0) -> Simulated:
    """Sweep the path with the kerf and compare what remains with the net plate.

    Parameters
    ----------
    plan : CutPlan
        A compensated plan.
    margin_mm : float
        Sheet around the plate [mm]

    Returns
    -------
    Simulated
        Distances good to about 0.001 mm.
    """
    import shapely
    from shapely import LineString, Point, box
    from shapely.ops import unary_union

    half = 0.5 * plan.kerf_mm
    net = to_shapely(plan.net, CHORDS_MM)
    cuts = unary_union([_swept(p.cut, half) for p in plan.paths])
    leads = [_swept(part, half) for p in plan.paths for part in (p.lead_in, p.lead_out) if part]
    gouge = _thickness(cuts.intersection(net), net.boundary)
    lead_gouge = max((_thickness(s.intersection(net), net.boundary) for s in leads), default=0.0)
    b = plan.net.box.grown(margin_mm)
    sheet = box(b.xmin, b.ymin, b.xmax, b.ymax)
    remains = shapely.difference(sheet, unary_union([cuts, *leads]))
    pieces = list(getattr(remains, "geoms", [remains]))
    core = net.buffer(-0.02).representative_point()
    part = next((g for g in pieces if g.contains(core)), None)
    pierces = [Point(p.pierce) for p in plan.paths if p.lead != "none"]
    clear = min((net.distance(q) for q in pierces), default=float("inf"))
    if part is None:
        return Simulated(gouge, lead_gouge, float("inf"), clear, False)
    freed = not part.touches(sheet.exterior) and part.distance(sheet.exterior) > 1e-6
    # corners that the kerf cannot reach: the net plate closed with the kerf's disc
    reachable = net.buffer(half, quad_segs=QUARTER).buffer(-half, quad_segs=QUARTER)
    left = shapely.difference(part, reachable) if freed else LineString()
    return Simulated(gouge, lead_gouge, _thickness(left, reachable), clear, freed)


def _swept(segments: Iterable[Segment], half_mm: float) -> BaseGeometry:
    from shapely import LineString

    points: list[Any] = []
    for s in segments:
        points.extend(flatten_segment(s, CHORDS_MM)[0 if not points else 1 :])
    return LineString(points).buffer(half_mm, quad_segs=QUARTER)


def _thickness(shape: BaseGeometry, base: BaseGeometry) -> float:
    """Largest distance of a shape's corners from what it should not stand out of [mm]."""
    import shapely

    if shape.is_empty:
        return 0.0
    points = shapely.points(shapely.get_coordinates(shape))
    return float(shapely.distance(points, base).max())
