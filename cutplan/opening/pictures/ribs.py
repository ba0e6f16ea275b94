"""Ribs in the opening's pictures: the more broken the line, the less is known; where each label stands."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import TYPE_CHECKING

from cutplan.drawing.model import Item, Pen, Stroke
from cutplan.geometry.flatten import to_shapely
from cutplan.geometry.segment import Line
from cutplan.geometry.vector import Box, Point
from cutplan.opening.model import OpeningPlan, RibPart
from cutplan.opening.pictures.parts import DARK, PALE, RIB, boxed_text, cross
from cutplan.pattern.job import Job
from cutplan.pattern.skin import Rib
from cutplan.texts import Message, Reader, mm, name, say

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

    ``u`` is part mm to one of paper [1]; ``short`` labels tell the name alone, for pictures as small as a card.
    """
    from shapely import LineString, get_parts, union_all
    from shapely import box as rectangle

    items: list[Item] = []
    frame = rectangle(*box)
    away = union_all([to_shapely(plan.sections[_index(plan, n)].contour, 0.05) for n in gone]) if gone else None
    taken: list[BaseGeometry] = [
        to_shapely(plan.line, 0.5),
        *(to_shapely(f) for b in plan.bracing.fitted for f in b.foot_contours()),
    ]
    for rib in job.skin.ribs:
        path = LineString(rib.path).intersection(frame)
        shown = path.difference(away) if away is not None else path
        pen = Pen(0.7 if rib.joined else 0.4, RIB, RIB_DASH[rib.knowledge])
        for part in get_parts(shown):
            if part.geom_type == "LineString" and part.length > 0.5:
                pts = [Point(x, y) for x, y in part.coords]
                items.append(Stroke(tuple(Line(a, b) for a, b in pairwise(pts)), pen, tag=f"rib {rib.name}"))
        if labels and not path.is_empty:
            said = say("rib {name}", name=name(rib.name)) if short else rib_label(rib)
            end = path.geoms[0] if hasattr(path, "geoms") else path
            items += _label_items(rib, read(said), end, taken, box, u)
    for part in parted:
        items += cross(part.at, 1.6 * u, Pen(0.35, DARK), f"parted {part.rib}")
    return items


def _index(plan: OpeningPlan, number: int) -> int:
    return next(k for k, s in enumerate(plan.sections) if s.number == number)


def rib_label(rib: Rib) -> Message:
    """Return a rib's label: how well it is known and how deep it is."""
    rib_name = name(rib.name)
    if rib.knowledge == "suspected":
        return say("rib {name}: suspected", name=rib_name)
    if rib.knowledge == "unknown" or rib.depth_mm is None:
        return say("rib {name}: unknown", name=rib_name)
    if not rib.joined:
        return say("rib {name}, not joined", name=rib_name)
    return say("rib {name}, {depth} deep", name=rib_name, depth=mm(rib.depth_mm, 0))


#: Letters of a picture on the job sheet over those of the picture by itself, about [1].
_SHEET_TEXT = 1.8


#: Share of a label's place over waste, feet or other labels beyond which a rib's ends have no room for it [1].
_NO_ROOM = 0.6


def _label_items(rib: Rib, text: str, path: object, taken: list[BaseGeometry], box: Box, u: float) -> list[Item]:
    """A rib's label near one of its ends, off the waste and off other labels as far as that goes."""
    from shapely import LineString
    from shapely import box as rectangle

    assert isinstance(path, LineString)
    # the job sheet prints the pictures small and writes as large: room is kept for that
    half_w, half_h = _SHEET_TEXT * (0.30 * 2.8 * len(text) + 0.6) * u, _SHEET_TEXT * 0.55 * 2.8 * u
    ends = [Point(*path.coords[0]), Point(*path.coords[-1])]
    best: tuple[float, Point, BaseGeometry] | None = None
    for k, (end, other) in enumerate((ends, ends[::-1])):
        run = other.minus(end)
        for far, aside in ((f, d) for f in (2.2, 5.4, 8.6) for d in (0.0, 1.0, -1.0, 2.0, -2.0)):
            at = end.plus(run.unit().times(min(far * u, 0.4 * run.length()))) if run.length() > 0.0 else end
            x = at.x + aside * (0.5 * half_w + 1.2 * u)
            x = min(max(x, box.xmin + half_w), max(box.xmax - half_w, box.xmin + half_w))
            patch = rectangle(x - half_w, at.y - half_h, x + half_w, at.y + half_h)
            over = sum(float(t.intersection(patch).area) * (1.0 if t is taken[0] else 3.0) for t in taken)
            cost = over / float(patch.area) + 0.02 * far + 0.01 * k + 0.05 * abs(aside)
            if best is None or cost < best[0] - 1e-9:
                best = (cost, Point(x, at.y), patch)
    assert best is not None
    if best[0] > _NO_ROOM:
        # no room at the ends: beside the middle of the rib, clear of numbers that stand on it
        x, y = path.interpolate(0.5, normalized=True).coords[0]
        y -= half_h + 7.0 * u
        best = (0.0, Point(x, y), rectangle(x - half_w, y - half_h, x + half_w, y + half_h))
    taken.append(best[2])
    return boxed_text(text, best[1], 2.8, u, colour=RIB, fill=PALE, tag=f"rib {rib.name}")
