"""What is wrong with a region before anything is made from it."""

from __future__ import annotations

from cutplan.findings import Finding
from cutplan.geometry.contour import Contour
from cutplan.geometry.distance import contour_distance
from cutplan.geometry.intersect import contours_cross, self_crossings
from cutplan.geometry.pairs import near_pairs
from cutplan.geometry.region import Region
from cutplan.geometry.vector import Point
from cutplan.tolerance import SHORTEST_CUT_MM

#: Webs narrower than this are told by default [mm]; common practice: half the thinnest usual plate.
NARROW_MM = 1.0
#: Enclosed area per length of contour at or below which a contour is empty [mm].
EMPTY_MM = 1e-6


def check_region(region: Region, narrow_mm: float = NARROW_MM) -> tuple[Finding, ...]:
    """Return everything that keeps a region from being a plate, and what is doubtful about it.

    Errors: ``contour-empty``, ``contour-crosses-itself``, ``hole-crosses-outline``, ``hole-outside``,
    ``holes-cross``, ``hole-in-hole``. Warnings: ``web-narrow``, ``segment-tiny``.

    Parameters
    ----------
    region : Region
        Outer contour with holes.
    narrow_mm : float
        Webs between two contours below this width are told [mm].

    Returns
    -------
    tuple[Finding, ...]
        Errors first; empty for a sound region.
    """
    errors: list[Finding] = []
    warnings: list[Finding] = []
    names = ["outline", *(f"hole {_place(h)}" for h in region.holes)]
    contours = region.contours
    for name, contour in zip(names, contours, strict=True):
        errors.extend(_alone(name, contour))
        tiny = [s for s in contour.segments if s.length < SHORTEST_CUT_MM]
        if tiny:
            warnings.append(
                Finding(
                    "segment-tiny",
                    "warning",
                    f"{name} has {len(tiny)} segments shorter than {SHORTEST_CUT_MM:g} mm",
                    _at(tiny[0].start),
                    "join them with their neighbours before cutting",
                )
            )
    touching: set[tuple[int, int]] = set()
    near: dict[int, list[int]] = {}
    for i, j in near_pairs([c.box for c in contours], narrow_mm):
        near.setdefault(i, []).append(j)
        near.setdefault(j, []).append(i)
        found = contours_cross(contours[i], contours[j])
        if found:
            touching.add((i, j))
            code = "holes-cross" if i else "hole-crosses-outline"
            message = f"{names[j]} crosses or touches {names[i] if i else 'the outline'}"
            errors.append(Finding(code, "error", message, _at(found[0].point), "move or shrink one of them"))
            continue
        gap = contour_distance(contours[i], contours[j], narrow_mm)
        if gap.distance < narrow_mm:
            message = f"web of {gap.distance:.3f} mm between {names[i]} and {names[j]}"
            warnings.append(Finding("web-narrow", "warning", message, _at(gap.first), "leave more material"))
    for j, hole in enumerate(region.holes, start=1):
        start = hole.segments[0].start
        if (0, j) not in touching and not region.outer.contains(start):
            errors.append(
                Finding(
                    "hole-outside",
                    "error",
                    f"{names[j]} lies outside the outline",
                    f"outline spans {region.outer.box.span}",
                    "move the hole inside, or enlarge the plate",
                )
            )
        for i in sorted(near.get(j, ())):
            if i and (min(i, j), max(i, j)) not in touching and contours[i].contains(start):
                errors.append(
                    Finding("hole-in-hole", "error", f"{names[j]} lies within {names[i]}", _at(start), "leave one out")
                )
    return (*errors, *warnings)


def _alone(name: str, contour: Contour) -> list[Finding]:
    if contour.area <= EMPTY_MM * contour.length:
        where = _at(contour.segments[0].start)
        return [Finding("contour-empty", "error", f"{name} encloses no area", where, "leave it out or redraw it")]
    crossings = self_crossings(contour)
    if not crossings:
        return []
    message = f"{name} crosses or touches itself at {len(crossings)} places"
    return [Finding("contour-crosses-itself", "error", message, _at(crossings[0].point), "redraw it there")]


def _at(point: Point) -> str:
    return f"({point.x:.3f}, {point.y:.3f}) mm"


def _place(contour: Contour) -> str:
    centre = contour.box.centre
    return f"at ({centre.x:.3f}, {centre.y:.3f})"
