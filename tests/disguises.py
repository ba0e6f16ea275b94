"""Random plates drawn as other hands draw them: shuffled, with gaps, tilted, as double lines, without a unit, framed."""

from __future__ import annotations

from collections.abc import Callable
from math import cos, pi, sin
from random import Random

from drawing_help import box, dxf, entity, loose

from cutplan.files.dxf.space import own_axes
from cutplan.geometry.contour import Contour
from cutplan.geometry.offset.regions import offset_contour
from cutplan.geometry.region import Region
from cutplan.geometry.segment import Arc, Segment

#: Widths of the gaps that are drawn [mm].
GAPS = (0.06, 0.1, 0.3, 1.0)


def shuffled(plate: Region, chance: Random) -> str:
    """The plate's entities turned round, cut in two, some repeated, in any order."""
    drawn = []
    for contour in plate.contours:
        for s in contour.segments:
            drawn += _pieces(s, chance)
    drawn += [chance.choice(drawn) for _ in range(3)]
    chance.shuffle(drawn)
    return dxf(*drawn)


def _pieces(s: Segment, chance: Random) -> list[str]:
    s = s.reversed() if chance.random() < 0.5 else s
    if s.length > 1.0 and chance.random() < 0.3:
        cut = chance.uniform(0.2, 0.8)
        return [loose(s.part(0.0, cut)), loose(s.part(cut, 1.0))]
    return [loose(s)]


def with_gaps(plate: Region, chance: Random) -> str:
    """One contour with two to four gaps in places where its pieces are long enough."""
    chosen = chance.choice(plate.contours)
    gap = chance.choice(GAPS)
    drawn = [e for c in plate.contours if c is not chosen for s in c.segments for e in _pieces(s, chance)]
    segments: list[Segment] = []
    for s in chosen.segments:
        segments += [s.part(0.0, 0.5), s.part(0.5, 1.0)] if s.length > 8.0 * gap else [s]
    long = [k for k, s in enumerate(segments) if s.length > 3.0 * gap]
    cut = set(chance.sample(long, min(len(long), chance.randint(2, 4))))
    for k, s in enumerate(segments):
        drawn.append(loose(s.part(0.0, 1.0 - gap / s.length) if k in cut else s))
    chance.shuffle(drawn)
    return dxf(*drawn)


def with_a_piece_missing(plate: Region, chance: Random) -> str:
    """One piece of one contour is not drawn at all."""
    drawn = []
    contours = [c for c in plate.contours if len(c.segments) > 2] or list(plate.contours)
    chosen = chance.choice(contours)
    for contour in plate.contours:
        segments = list(contour.segments)
        if contour is chosen:
            if len(segments) == 1:
                segments = [segments[0].part(0.0, 0.4), segments[0].part(0.4, 1.0)]
            del segments[chance.randrange(len(segments))]
        drawn += [loose(s) for s in segments]
    return dxf(*drawn)


def tilted(plate: Region, chance: Random) -> str:
    """The plate in a plane that leans by a few degrees up to upright."""
    lean, turn = chance.uniform(0.1, 0.5 * pi), chance.uniform(0.0, 2.0 * pi)
    normal = (sin(lean) * cos(turn), sin(lean) * sin(turn), cos(lean))
    axes = own_axes(normal)
    drawn = []
    for contour in plate.contours:
        for s in contour.segments:
            if isinstance(s, Arc):
                drawn.append(_in_plane(s, normal))
            else:
                a, b = (p.x * axes[0] + p.y * axes[1] for p in (s.start, s.end))
                pairs = zip((10, 20, 30, 11, 21, 31), (*a.tolist(), *b.tolist()), strict=True)
                drawn.append(entity("LINE", *pairs))
    return dxf(*drawn)


def _in_plane(s: Arc, normal: tuple[float, float, float]) -> str:
    up = [(210 + 10 * k, v) for k, v in enumerate(normal)]
    if s.is_circle:
        return entity("CIRCLE", (10, s.centre.x), (20, s.centre.y), (30, 0.0), (40, s.radius), *up)
    ends = [(10, s.start.x), (20, s.start.y), (42, s.bulge), (10, s.end.x), (20, s.end.y)]
    return entity("LWPOLYLINE", (90, 2), (70, 0), *ends, *up)


def double_lines(plate: Region, chance: Random) -> str:
    """Every contour drawn as the two edges of a line 0.1 to 0.15 mm wide."""
    half = 0.5 * chance.uniform(0.1, 0.15)
    drawn = []
    for contour in plate.contours:
        for side in (half, -half):
            for c in _moved_out(contour, side):
                drawn += [loose(s) for s in c.segments]
    return dxf(*drawn)


def _moved_out(contour: Contour, distance: float) -> list[Contour]:
    return list(offset_contour(contour.oriented(ccw=True), distance))


def without_unit(plate: Region, chance: Random) -> str:
    """No header: the numbers are all there is."""
    return shuffled(plate, chance).replace("9\n$INSUNITS\n70\n4\n", "")


def framed(plate: Region, chance: Random) -> str:
    """A sheet's border around the plate, with or without a second line, a title block and texts."""
    b = plate.outer.box
    m = chance.uniform(10.0, 60.0)
    x, y, w, h = b.xmin - m, b.ymin - 2.0 * m, b.width + 2.0 * m, b.height + 3.0 * m
    drawn = box(x, y, w, h)
    if chance.random() < 0.5:
        drawn += box(x + 0.2 * m, y + 0.2 * m, w - 0.4 * m, h - 0.4 * m)
    if chance.random() < 0.5:
        drawn += box(x + 0.6 * w, y + 0.3 * m, 0.3 * w, 0.6 * m)
    for k in range(chance.randint(0, 3)):
        drawn += entity("TEXT", (10, x + 0.65 * w), (20, y + (0.35 + 0.1 * k) * m), (40, 3), (1, "x"))
    return dxf(drawn, *[e for c in plate.contours for s in c.segments for e in _pieces(s, chance)])


#: Disguises by name, with whether the plate must be read through it (else it may be refused).
DISGUISES: dict[str, tuple[Callable[[Region, Random], str], bool]] = {
    "shuffled": (shuffled, True),
    "gaps": (with_gaps, False),
    "a piece missing": (with_a_piece_missing, False),
    "tilted plane": (tilted, False),
    "double lines": (double_lines, False),
    "no unit": (without_unit, False),
    "a sheet's border": (framed, False),
}


def same_plate(found: Region, plate: Region, share: float = 1e-8) -> bool:
    """Return whether a plate that was read is the plate that was drawn: areas, length and holes agree."""
    pairs = [(found.outer.area, plate.outer.area), (found.perimeter, plate.perimeter)]
    holes = sorted(h.area for h in found.holes), sorted(h.area for h in plate.holes)
    pairs += list(zip(*holes, strict=False))
    return len(holes[0]) == len(holes[1]) and all(abs(a - b) <= share * abs(b) for a, b in pairs)
