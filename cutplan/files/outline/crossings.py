"""Outlines that cross themselves or each other, told with the place from the chords of their arcs."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from cutplan.files.limits import MAX_LISTED
from cutplan.files.outline.loops import Loop, chords
from cutplan.files.traces import Floats
from cutplan.findings import Finding
from cutplan.texts import mm, place, plural, say

if TYPE_CHECKING:
    from shapely import LinearRing, Polygon

#: Outlines of more chords than this are not measured where they cross: that they do is enough.
_MEASURED = 3000
#: Points in a stretch of an outline that is looked at by itself.
_STRETCH = 2000
#: Corners up to which GEOS is asked what an outline that crosses itself encloses.
_ASKED = 200


def self_crossings(loops: list[Loop]) -> tuple[list[Loop], list[Finding], list[Loop]]:
    """Return the loops that enclose an area, a finding for each that crosses or touches itself, and the other loops.

    A crossing smaller than a hundredth of a millimetre is a warning; a loop without area is left aside.
    """
    import shapely

    kept: list[Loop] = []
    flat: list[Loop] = []
    findings: list[Finding] = []
    for loop in loops:
        if loop.circle is not None:
            kept.append(loop)
            continue
        xy = chords(loop)
        perimeter = float(np.hypot(*np.diff(xy, axis=0).T).sum())
        if _crossing_stretch(xy):
            kept.append(loop)
            findings.append(_long_crossing(loop))
            continue
        polygon = shapely.Polygon(xy) if len(xy) >= 4 else None
        valid = polygon is not None and bool(shapely.is_valid(polygon))
        thin = loop.area <= 1e-4 * perimeter
        if polygon is None or (thin and (valid or _encloses_nothing(polygon, loop, perimeter))):
            findings.append(
                Finding(
                    "no-area", "warning", say("a closed outline encloses no area and was left aside"), loop.where.said()
                )
            )
            continue
        kept.append(loop)
        if not valid:
            findings.append(_self_crossing(loop, polygon))
    return kept, _listed(findings), flat


def _encloses_nothing(polygon: Polygon, loop: Loop, perimeter: float) -> bool:
    """Return whether an outline that crosses itself encloses no area: the halves of a bow may only cancel.

    GEOS is asked for short outlines only: what each piece of a long one crosses may take minutes to find.
    """
    import shapely

    if len(polygon.exterior.coords) <= _ASKED:
        return float(shapely.make_valid(polygon).area) <= 1e-4 * perimeter
    return loop.area <= 1e-9 * perimeter**2


def _crossing_stretch(xy: Floats) -> bool:
    """Return whether a stretch of a very long outline crosses itself: asked first, as the whole may take long."""
    import shapely

    if len(xy) < 10 * _STRETCH:
        return False
    stretches = [shapely.LineString(xy[i : i + _STRETCH]) for i in range(0, len(xy) - 2, _STRETCH - 1)]
    return not bool(shapely.is_simple(np.array(stretches)).all())


def _long_crossing(loop: Loop) -> Finding:
    return Finding(
        "self-crossing",
        "error",
        say("an outline crosses itself"),
        loop.where.said(),
        say("draw the outline so that it runs round once"),
    )


def _self_crossing(loop: Loop, polygon: Polygon) -> Finding:
    import shapely

    why = str(shapely.is_valid_reason(polygon))
    x, _, y = why[why.find("[") + 1 : why.find("]")].partition(" ") if "[" in why else ("0", "", "0")
    where = say("{at}; {what}", at=place(float(x), float(y), 3), what=loop.where.said())
    small = False
    if len(polygon.exterior.coords) <= _MEASURED:
        true = float(shapely.area(shapely.make_valid(polygon)))
        u, v = (np.asarray(polygon.exterior.coords) - polygon.exterior.coords[0]).T
        drawn = 0.5 * abs(float(np.sum(u[:-1] * v[1:] - u[1:] * v[:-1])))  # of the same chords
        small = abs(true - drawn) <= 0.01 * 0.01 + 1e-7 * drawn
    if small:
        return Finding(
            "outline-touches-itself",
            "warning",
            say("an outline touches itself or turns back on itself"),
            where,
            say("check the place"),
        )
    return Finding(
        "self-crossing",
        "error",
        say("an outline crosses itself"),
        where,
        say("draw the outline so that it runs round once"),
    )


#: Outlines whose boxes agree within this are one outline drawn twice and moved [mm].
_MOVED_MM = 0.5


def pair_finding(big: Loop, small: Loop, rings: tuple[LinearRing, LinearRing]) -> Finding:
    """Return the finding for two loops whose rings meet: an error where they cross, a warning where they only touch."""
    import shapely

    measured = all(len(r.coords) <= _MEASURED for r in rings)
    crossing = True
    where = say("{one}; {other}", one=big.where.said(), other=small.where.said())
    if measured:
        a, b = (shapely.make_valid(shapely.Polygon(r)) for r in rings)
        common = float(shapely.area(shapely.intersection(a, b)))
        slack = 0.003 * float(shapely.length(rings[1])) + 1e-6
        crossing = slack < common < float(shapely.area(b)) - slack
        point = shapely.point_on_surface(shapely.intersection(*rings))
        if not shapely.is_empty(point):
            where = say("{at}; {what}", at=place(point.x, point.y, 3), what=where)
    apart = max(abs(p - q) for p, q in zip(big.box, small.box, strict=True))
    if apart < _MOVED_MM and big.area - small.area < _MOVED_MM * big.length:
        return Finding(
            "drawn-twice-apart",
            "error",
            say("an outline is drawn twice, {apart} apart, so which one is cut is not told", apart=mm(apart, 3)),
            where,
            say("delete one of the two"),
        )
    if crossing:
        return Finding(
            "contours-cross",
            "error",
            say("two closed outlines cross, so what is plate and what is hole is not told"),
            where,
            say("join them into one outline or move one"),
        )
    return Finding(
        "contours-touch",
        "warning",
        say("two closed outlines touch: no material is left between them"),
        where,
        say("check the distance meant"),
    )


def _listed(findings: list[Finding]) -> list[Finding]:
    """Return the first findings, and one for the rest with the worst severity among them."""
    if len(findings) <= MAX_LISTED:
        return findings
    rest = findings[MAX_LISTED:]
    worst = min(rest, key=lambda f: ("error", "warning", "note").index(f.severity))
    more = Finding(
        worst.code,
        worst.severity,
        plural(
            "{count} more outline has faults of this kind", "{count} more outlines have faults of this kind", len(rest)
        ),
    )
    return [*findings[:MAX_LISTED], more]
