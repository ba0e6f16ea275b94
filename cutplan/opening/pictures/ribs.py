"""Ribs in the opening's pictures: the more broken the line, the less is known; where each label stands."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import TYPE_CHECKING

from cutplan.drawing.model import Item, Pen, Stroke, tied
from cutplan.geometry.contour import Contour
from cutplan.geometry.flatten import to_shapely
from cutplan.geometry.segment import Line
from cutplan.geometry.vector import Box, Point
from cutplan.opening.model import OpeningPlan, RibPart
from cutplan.opening.pictures.parts import DARK, PALE, RIB, cross
from cutplan.pattern.job import Job
from cutplan.pattern.skin import Rib
from cutplan.texts import Message, Reader, code, mm, name, say
from cutplan.units import UnitName, inch_fraction

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

#: Dash of a rib by how well it is known [mm on paper]: the less known, the more broken.
RIB_DASH = {"known": (5.0, 1.5), "suspected": (2.5, 1.8), "unknown": (0.8, 1.6)}


def rib_items(
    job: Job,
    plan: OpeningPlan,
    box: Box,
    gone: Sequence[int],
    parted: Sequence[RibPart],
    u: float,
    read: Reader,
    labels: bool = True,
    short: bool = False,
) -> list[Item]:
    """Ribs as broken lines, left out where a section with its rib piece is out; parted places as gaps with a cross.

    ``u`` is part mm to one of paper [1]; ``short`` labels are the bare name, as on the work template,
    for pictures as small as a card: a wider one finds room only at another rib.
    """
    from shapely import LineString, get_parts, union_all
    from shapely import box as rectangle

    items: list[Item] = []
    frame = rectangle(*box)
    away = union_all([to_shapely(plan.sections[_index(plan, n)].contour, 0.05) for n in gone]) if gone else None
    for rib in job.skin.ribs:
        path = LineString(rib.path).intersection(frame)
        shown = path.difference(away) if away is not None else path
        pen = Pen(0.7 if rib.joined else 0.4, RIB, RIB_DASH[rib.knowledge])
        for part in get_parts(shown):
            if part.geom_type == "LineString" and part.length > 0.5:
                pts = [Point(x, y) for x, y in part.coords]
                items.append(Stroke(tuple(Line(a, b) for a, b in pairwise(pts)), pen, tag=f"rib {rib.name}"))
        if labels and not path.is_empty:
            said = rib.name if short else read(rib_label(rib, read.units))
            end = path.geoms[0] if hasattr(path, "geoms") else path
            items.append(_label(rib, said, end, plan.line, u))
    for part in parted:
        items += cross(part.at, 1.6 * u, Pen(0.35, DARK), f"parted {part.rib}")
    return items


def _index(plan: OpeningPlan, number: int) -> int:
    return next(k for k, s in enumerate(plan.sections) if s.number == number)


def rib_label(rib: Rib, units: UnitName) -> Message:
    """Return a rib's label: how well it is known and how deep it is, in one unit; the steps tell both."""
    rib_name = name(rib.name)
    if rib.knowledge == "suspected":
        return say("rib {name}: suspected", name=rib_name)
    if rib.knowledge == "unknown" or rib.depth_mm is None:
        return say("rib {name}: unknown", name=rib_name)
    if not rib.joined:
        return say("rib {name}, not joined", name=rib_name)
    depth = code(f"{inch_fraction(rib.depth_mm)} in") if units == "in" else mm(rib.depth_mm, 0)
    return say("rib {name}, {depth} deep", name=rib_name, depth=depth)


def _label(rib: Rib, text: str, path: BaseGeometry, opening: Contour, u: float) -> Item:
    """A rib's label near that of its ends that lies farther out of the opening."""
    ends = [Point(*path.coords[0]), Point(*path.coords[-1])]
    end, other = sorted(
        ends, key=lambda p: opening.nearest(p)[1] * (-1.0 if opening.contains(p) else 1.0), reverse=True
    )
    run = other.minus(end)
    at = end.plus(run.unit().times(min(2.2 * u, 0.4 * run.length()))) if run.length() > 0.0 else end
    return tied(text, at, 2.8, radius_mm=0.4 * u, colour=RIB, tag=f"rib {rib.name}", patch=PALE)
