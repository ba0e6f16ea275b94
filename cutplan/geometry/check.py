"""What is wrong with a region before anything is made from it."""

from __future__ import annotations

from cutplan.findings import Finding
from cutplan.geometry.contour import Contour
from cutplan.geometry.distance import contour_distance
from cutplan.geometry.intersect import contours_cross, self_crossings
from cutplan.geometry.pairs import near_pairs
from cutplan.geometry.region import Region
from cutplan.geometry.vector import Point
from cutplan.texts import Message, mm, place, plural, say, size
from cutplan.texts.values import Place
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
    names = [say("the outline"), *(say("hole at {at}", at=_at(h.box.centre)) for h in region.holes)]
    contours = region.contours
    for name, contour in zip(names, contours, strict=True):
        errors.extend(_alone(name, contour))
        warnings.extend(_tiny(name, contour))
    box = region.outer.box
    touching: set[tuple[int, int]] = set()
    near: dict[int, list[int]] = {}
    for i, j in near_pairs([c.box for c in contours], narrow_mm):
        near.setdefault(i, []).append(j)
        near.setdefault(j, []).append(i)
        found = contours_cross(contours[i], contours[j])
        if found:
            touching.add((i, j))
            code = "holes-cross" if i else "hole-crosses-outline"
            message = say("{one} crosses or touches {other}", one=names[j], other=names[i])
            where, fix = say("{at}", at=_at(found[0].point)), say("move or shrink one of them")
            errors.append(Finding(code, "error", message, where, fix))
            continue
        gap = contour_distance(contours[i], contours[j], narrow_mm)
        if gap.distance < narrow_mm:
            message = say(
                "web of {width} between {one} and {other}", width=mm(gap.distance, 2), one=names[i], other=names[j]
            )
            where, fix = say("{at}", at=_at(gap.first)), say("leave more material")
            warnings.append(Finding("web-narrow", "warning", message, where, fix))
    for j, hole in enumerate(region.holes, start=1):
        start = hole.segments[0].start
        if (0, j) not in touching and not region.outer.contains(start):
            errors.append(
                Finding(
                    "hole-outside",
                    "error",
                    say("{hole} lies outside the outline", hole=names[j]),
                    say(
                        "the outline is {size}, from {corner}",
                        size=size(box.width, box.height),
                        corner=place(box.xmin, box.ymin),
                    ),
                    say("move the hole inside, or enlarge the plate"),
                )
            )
        for i in sorted(near.get(j, ())):
            if i and (min(i, j), max(i, j)) not in touching and contours[i].contains(start):
                message = say("{one} lies within {other}", one=names[j], other=names[i])
                errors.append(
                    Finding("hole-in-hole", "error", message, say("{at}", at=_at(start)), say("leave one out"))
                )
    return (*errors, *warnings)


def _tiny(name: Message, contour: Contour) -> list[Finding]:
    tiny = [s for s in contour.segments if s.length < SHORTEST_CUT_MM]
    if not tiny:
        return []
    message = plural(
        "{contour} has {count} segment shorter than {least}",
        "{contour} has {count} segments shorter than {least}",
        len(tiny),
        contour=name,
        least=mm(SHORTEST_CUT_MM, None),
    )
    fix = say("join them with their neighbours before cutting")
    return [Finding("segment-tiny", "warning", message, say("{at}", at=_at(tiny[0].start)), fix)]


def _alone(name: Message, contour: Contour) -> list[Finding]:
    if contour.area <= EMPTY_MM * contour.length:
        message, where = say("{contour} encloses no area", contour=name), say("{at}", at=_at(contour.segments[0].start))
        return [Finding("contour-empty", "error", message, where, say("leave it out or redraw it"))]
    crossings = self_crossings(contour)
    if not crossings:
        return []
    message = plural(
        "{contour} crosses or touches itself at one place",
        "{contour} crosses or touches itself at {count} places",
        len(crossings),
        contour=name,
    )
    where = say("{at}", at=_at(crossings[0].point))
    return [Finding("contour-crosses-itself", "error", message, where, say("redraw it there"))]


def _at(point: Point) -> Place:
    return place(point.x, point.y, 3)
