"""Plates of lines and arcs drawn at random from a seed: the same plate for the same seed, everywhere."""

from __future__ import annotations

from math import cos, hypot, pi, sin, tan
from random import Random

from cutplan.findings import errors
from cutplan.geometry.check import check_region
from cutplan.geometry.contour import Contour, circle_contour, polyline, rectangle
from cutplan.geometry.distance import contour_distance
from cutplan.geometry.region import Region
from cutplan.geometry.segment import Arc, Segment
from cutplan.geometry.vector import Point

Corner = tuple[float, float]
Vertex = tuple[float, float, float]


def random_plate(seed: int, holes: int = 6) -> Region:
    """Return a sound plate: star-shaped outline with fillets, bulges, notches, and up to ``holes`` holes."""
    rng = Random(seed)
    while True:
        outer = _outline(rng)
        if errors(check_region(Region(outer))):
            continue
        placed: list[Contour] = []
        for _ in range(rng.randint(0, holes)):
            hole = _hole(rng, outer)
            if _fits(outer, placed, hole, web_mm=0.5):
                placed.append(hole)
        region = Region(outer, tuple(placed))
        if not errors(check_region(region)):
            return region


def tidy_plate(seed: int) -> Region:
    """Return a plate of whole and half millimetres only, where offsets meet, touch and coincide exactly."""
    rng = Random(seed)
    width, height = rng.randint(8, 30), rng.randint(8, 30)
    outer = rectangle(0.0, 0.0, width, height, rng.choice([0, 1, 2, 4]))
    holes: list[Contour] = []
    for _ in range(rng.randint(1, 10)):
        x, y, kind = rng.randint(1, width - 1), rng.randint(1, height - 1), rng.random()
        if kind < 0.5:
            hole = circle_contour(Point(x, y), rng.choice([0.5, 0.75, 1.0, 1.5, 2.0]))
        elif kind < 0.8:
            hole = rectangle(x, y, rng.randint(2, 6), 2, rng.choice([0, 0.5, 1]))
        else:
            hole = rectangle(x, y, rng.randint(1, 5), rng.randint(1, 5))
        if not errors(check_region(Region(outer, (*holes, hole)))):
            holes.append(hole)
    region = Region(outer, tuple(holes))
    return region.turned(rng.uniform(0.0, pi), Point(1.0, 2.0)) if rng.random() < 0.3 else region


def rough_plate(seed: int) -> Region:
    """Return a plate as drawings give it: coordinates rounded, sides split, some pieces a thousandth long."""
    while True:
        plate, rng = random_plate(seed), Random(seed)
        digits = rng.choice([2, 3, 4, 6])
        region = Region(_rough(plate.outer, rng, digits), tuple(_rough(h, rng, digits) for h in plate.holes))
        if not errors(check_region(region)):
            return region
        seed += 1_000_000


def _rough(contour: Contour, rng: Random, digits: int) -> Contour:
    if contour.as_circle() and rng.random() < 0.5:
        return contour
    vertices: list[Vertex] = []
    for s in contour.segments:
        parts: list[Segment] = [s.part(0.0, 0.5), s.part(0.5, 1.0)] if isinstance(s, Arc) and s.is_circle else [s]
        if rng.random() < 0.3:
            cut = rng.choice([0.5, 0.1, 0.0007 / s.length, 0.003 / s.length])
            parts = [q for p in parts for q in (p.part(0.0, min(cut, 0.9)), p.part(min(cut, 0.9), 1.0))]
        for p in parts:
            bulge = round(p.bulge, 6) if isinstance(p, Arc) else 0.0
            vertices.append((round(p.start.x, digits), round(p.start.y, digits), bulge))
    return polyline(vertices)


def filleted(corners: list[Corner], radii: list[float]) -> list[Vertex]:
    """Return the vertices of a polygon whose corners are rounded where there is room (radius 0: left sharp)."""
    n = len(corners)
    result: list[Vertex] = []
    for k in range(n):
        (ax, ay), (bx, by), (cx, cy) = corners[k - 1], corners[k], corners[(k + 1) % n]
        u = (bx - ax, by - ay)
        v = (cx - bx, cy - by)
        lu, lv = hypot(*u), hypot(*v)
        u, v = (u[0] / lu, u[1] / lu), (v[0] / lv, v[1] / lv)
        cross, dot = u[0] * v[1] - u[1] * v[0], u[0] * v[0] + u[1] * v[1]
        # half of the turn: tan(turn / 2) = sin / (1 + cos)
        half = cross / (1.0 + dot) if dot > -0.95 else 0.0
        back = radii[k] * abs(half)
        if radii[k] <= 0.0 or abs(half) < 0.05 or back > 0.45 * min(lu, lv):
            result.append((bx, by, 0.0))
            continue
        # bulge = tan(turn / 4)
        quarter = half / (1.0 + (1.0 + half * half) ** 0.5)
        result.append((bx - u[0] * back, by - u[1] * back, quarter))
        result.append((bx + v[0] * back, by + v[1] * back, 0.0))
    return result


def _outline(rng: Random) -> Contour:
    size = rng.uniform(30.0, 300.0)
    x, y = rng.uniform(-500.0, 500.0), rng.uniform(-500.0, 500.0)
    kind = rng.random()
    if kind < 0.15:
        w, h = size, size * rng.uniform(0.3, 1.0)
        return rectangle(x, y, w, h, rng.choice([0.0, 0.05, 0.2, 0.5]) * h)
    if kind < 0.2:
        return circle_contour(Point(x, y), 0.5 * size)
    n = rng.randint(3, 14)
    base = rng.uniform(0.0, 2.0 * pi)
    corners: list[Corner] = []
    for k in range(n):
        angle = base + 2.0 * pi * (k + rng.uniform(-0.3, 0.3)) / n
        reach = 0.5 * size * rng.uniform(0.45, 1.0)
        corners.append((x + reach * cos(angle), y + reach * sin(angle)))
    if rng.random() < 0.6:
        corners = _notched(rng, corners)
    radii = [rng.choice([0.0, rng.uniform(0.5, 4.0), rng.uniform(2.0, 20.0)]) for _ in corners]
    vertices = filleted(corners, radii)
    if rng.random() < 0.4:
        for _ in range(rng.randint(1, 3)):
            k = rng.randrange(len(vertices))
            if vertices[k][2] == 0.0:
                vertices[k] = (vertices[k][0], vertices[k][1], tan(rng.uniform(-0.35, 0.35)))
    return polyline(vertices)


def _notched(rng: Random, corners: list[Corner]) -> list[Corner]:
    """Cut a narrow notch into the middle of one or two sides."""
    result = list(corners)
    for _ in range(rng.randint(1, 2)):
        k = rng.randrange(len(result))
        (ax, ay), (bx, by) = result[k], result[(k + 1) % len(result)]
        length = hypot(bx - ax, by - ay)
        width, depth = rng.uniform(0.8, 8.0), rng.uniform(2.0, 12.0)
        if length < 3.0 * width + 6.0:
            continue
        ux, uy = (bx - ax) / length, (by - ay) / length
        s = rng.uniform(0.3, 0.6) * length
        lean = rng.uniform(-0.3, 0.3) * width

        def at(along: float, inward: float, ax: float = ax, ay: float = ay, ux: float = ux, uy: float = uy) -> Corner:
            return (ax + along * ux - inward * uy, ay + along * uy + inward * ux)

        notch = [at(s, 0.0), at(s + lean, depth), at(s + width + lean, depth), at(s + width, 0.0)]
        result[k + 1 : k + 1] = notch
    return result


def _hole(rng: Random, outer: Contour) -> Contour:
    box = outer.box
    x, y = rng.uniform(box.xmin, box.xmax), rng.uniform(box.ymin, box.ymax)
    kind = rng.random()
    if kind < 0.5:
        return circle_contour(Point(x, y), rng.uniform(0.4, 0.1 * box.diagonal))
    if kind < 0.75:
        w, h = rng.uniform(4.0, 40.0), rng.uniform(1.0, 12.0)
        hole = rectangle(x, y, w + h, h, 0.5 * h)
    elif kind < 0.9:
        w, h = rng.uniform(4.0, 30.0), rng.uniform(4.0, 30.0)
        hole = rectangle(x, y, w, h, rng.choice([0.0, 0.5, 0.1 * min(w, h)]))
    else:
        n = rng.randint(3, 8)
        r = rng.uniform(2.0, 12.0)
        hole = polyline([(x + r * cos(2 * pi * k / n), y + r * sin(2 * pi * k / n), 0.0) for k in range(n)])
    return hole.turned(rng.uniform(0.0, pi), Point(x, y))


def _fits(outer: Contour, placed: list[Contour], hole: Contour, web_mm: float) -> bool:
    start = hole.segments[0].start
    if not outer.contains(start) or contour_distance(outer, hole, web_mm).distance < web_mm:
        return False
    for other in placed:
        if other.contains(start) or hole.contains(other.segments[0].start):
            return False
        if contour_distance(other, hole, web_mm).distance < web_mm:
            return False
    return True


def micro_plate(seed: int) -> Region:
    """Return a plate whose edges hold what drawings bring along: edges of nanometres to tenths, nicks, cusps, creases.

    Sides get split where nothing is, with the new corners a hair off the side; arcs meet lines almost but not quite
    tangent.
    """
    rng = Random(seed)
    while True:
        plate = random_plate(rng.randrange(10**9), holes=3)
        region = Region(_nicked(plate.outer, rng), tuple(_nicked(h, rng) for h in plate.holes))
        if not errors(check_region(region)):
            return region


def _nicked(contour: Contour, rng: Random) -> Contour:
    if contour.as_circle() and rng.random() < 0.7:
        return contour
    vertices: list[Vertex] = []
    for s in contour.segments:
        if isinstance(s, Arc):
            parts: list[Segment] = [s.part(0.0, 0.5), s.part(0.5, 1.0)] if abs(s.sweep) > 3.0 else [s]
            crease = 10.0 ** rng.uniform(-7.0, -3.0) if rng.random() < 0.4 else 0.0  # not quite tangent [rad]
            for p in parts:
                bulge = tan(0.25 * (p.sweep + crease)) if isinstance(p, Arc) else 0.0
                vertices.append((p.start.x, p.start.y, bulge))
            continue
        vertices.append((s.start.x, s.start.y, 0.0))
        if rng.random() < 0.5:
            vertices.extend(_nick(s, rng))
    return polyline(vertices)


def _nick(s: Segment, rng: Random) -> list[Vertex]:
    """A few corners on or a hair off a line: a nick, a step, a sliver or a doubled corner."""
    small = 10.0 ** rng.uniform(-5.5, -0.7)  # a few nanometres to two tenths of a millimetre
    u = s.start_direction
    along = rng.choice([small, 0.5 * s.length, s.length - 3.0 * small, rng.uniform(0.1, 0.9) * s.length])
    if s.length < 8.0 * small or not small < along < s.length - 2.5 * small:
        return []
    kind, off = rng.random(), small * rng.choice([-1.0, 1.0, 0.3, -0.3])

    def at(a: float, n: float) -> Vertex:
        return (s.start.x + a * u.x - n * u.y, s.start.y + a * u.y + n * u.x, 0.0)

    if kind < 0.4:  # nick with a point
        return [at(along, 0.0), at(along + small * rng.uniform(0.2, 1.0), off), at(along + 1.2 * small, 0.0)]
    if kind < 0.6:  # cusp: a sliver in and out
        return [at(along, 0.0), at(along + 0.05 * small, 2.0 * off), at(along + 0.1 * small, 0.0)]
    if kind < 0.8:  # a little round on the side
        return [(*at(along, 0.0)[:2], rng.choice([-1.0, 1.0, 0.2, -0.2])), at(along + small, 0.0)]
    return [at(along, 0.0), at(along + small, 0.0)]
