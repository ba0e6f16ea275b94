"""First places of the points of a tape survey: circles crossed one after the other, mirror images told apart."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import hypot, sqrt
from typing import Literal

from cutplan.errors import DrawingError
from cutplan.geometry.vector import Point
from cutplan.texts import code, every, say
from cutplan.texts import name as named

#: Readings may miss a point by this much and still pick the right one of two mirror images [mm, share of distance].
_MISS = (3.0, 0.003)


@dataclass(frozen=True, slots=True)
class Side:
    """Point ``point`` lies on the left or right of the line when looking from ``start`` to ``end``."""

    point: str
    start: str
    end: str
    side: Literal["left", "right"]


def starting_points(
    fixed: Mapping[str, Point],
    distances: Sequence[tuple[str, str, float]],
    sides: Sequence[Side],
    base: tuple[str, str] | None,
) -> dict[str, Point]:
    """Return a first place for every point [mm], known ones as they are.

    Of the two places where two distances cross, a stated side decides, else further distances to points already placed.

    Raises
    ------
    DrawingError
        If a point cannot be placed, or its mirror image would do as well.
    """
    near: dict[str, dict[str, float]] = {}
    for a, b, d in distances:
        near.setdefault(a, {})[b] = d
        near.setdefault(b, {})[a] = d
    placed = dict(fixed)
    if base is not None:
        if base[1] not in near.get(base[0], {}):
            raise DrawingError(
                say("the base line itself must be taped"),
                say("{base} - {base2}", base=named(base[0]), base2=named(base[1])),
                say("add the distance of the two base points"),
            )
        placed[base[1]] = Point(near[base[0]][base[1]], 0.0)
    waiting = [name for name in near if name not in placed]
    while waiting:
        order = sorted(waiting, key=lambda name: (_strength(name, near, placed), -waiting.index(name)), reverse=True)
        if _strength(order[0], near, placed)[0] < 2:
            raise DrawingError(
                say("the point '{order}' has fewer than two distances to points that are known", order=named(order[0])),
                order[0],
                say("tape it from at least two known points"),
            )
        mirrored: str | None = None
        for name in order:
            if _strength(name, near, placed)[0] < 2:
                continue
            at, twin = _place(name, near[name], placed, sides)
            if twin is None:
                placed[name] = at
                waiting.remove(name)
                break
            mirrored = mirrored or name
        else:
            assert mirrored is not None
            raise _two_figures(mirrored, order, placed)
    return placed


def _two_figures(point: str, waiting: Sequence[str], placed: Mapping[str, Point]) -> DrawingError:
    """Return the refusal for readings that fit a figure and its mirror image, with the line that decides."""
    line = list(placed)[:2]
    others = [name for name in waiting if name != point]
    message = say("the readings fit two figures, each the mirror image of the other: {point}", point=named(point))
    if others:
        message = say(
            "the readings fit two figures, each the mirror image of the other: {point}, and with it {others}",
            point=named(point),
            others=every(others[:12]),
        )
    of = ", ".join(f'"{name}"' for name in line)
    hint = say(
        "look from {a} to {b}: on which side lies {point}? write {line}, or right; or tape a distance that only one "
        "of the two figures fits",
        a=named(line[0]),
        b=named(line[1]),
        point=named(point),
        line=code(f'side = [{{ point = "{point}", of = [{of}], side = "left" }}]'),
    )
    return DrawingError(message, point, hint)


def _strength(name: str, near: Mapping[str, Mapping[str, float]], placed: Mapping[str, Point]) -> tuple[int, float]:
    """Return the number of distances to placed points and how squarely the best two of them cross."""
    known = [n for n in near[name] if n in placed]
    best = 0.0
    for i, a in enumerate(known):
        for b in known[i + 1 :]:
            best = max(best, _squareness(placed[a], near[name][a], placed[b], near[name][b]))
    return len(known), best


def _squareness(p: Point, rp: float, q: Point, rq: float) -> float:
    """Return the sine of the angle at which two circles cross (0 where they only touch or miss)."""
    d = p.distance(q)
    if rp <= 0.0 or rq <= 0.0 or d == 0.0:
        return 0.0
    cosine = (rp * rp + rq * rq - d * d) / (2.0 * rp * rq)
    return sqrt(max(0.0, 1.0 - min(1.0, cosine * cosine)))


def _crossing(p: Point, rp: float, q: Point, rq: float) -> tuple[Point, Point]:
    """Return where two circles cross, left and right of the line from p to q; the nearest place where they miss."""
    dx, dy = q.x - p.x, q.y - p.y
    d = hypot(dx, dy)
    along = (rp * rp - rq * rq + d * d) / (2.0 * d)
    across = sqrt(max(0.0, rp * rp - along * along))
    fx, fy = p.x + along * dx / d, p.y + along * dy / d
    return Point(fx - across * dy / d, fy + across * dx / d), Point(fx + across * dy / d, fy - across * dx / d)


def _place(
    name: str, near: Mapping[str, float], placed: Mapping[str, Point], sides: Sequence[Side]
) -> tuple[Point, Point | None]:
    """Return the place of a point, and its mirror image when nothing tells the two apart."""
    known = [n for n in near if n in placed]
    pairs = [(a, b) for i, a in enumerate(known) for b in known[i + 1 :] if placed[a].distance(placed[b]) > 0.0]
    if not pairs:
        raise DrawingError(
            say("the point '{point}' is taped from one place only", point=named(name)),
            name,
            say("tape it from a second point"),
        )
    a, b = max(pairs, key=lambda pair: _squareness(placed[pair[0]], near[pair[0]], placed[pair[1]], near[pair[1]]))
    left, right = _crossing(placed[a], near[a], placed[b], near[b])
    for side in sides:
        if side.point == name and side.start in placed and side.end in placed:
            p, q = placed[side.start], placed[side.end]
            turn = q.minus(p)
            values = [turn.cross(c.minus(p)) * (1.0 if side.side == "left" else -1.0) for c in (left, right)]
            if (values[0] > 0.0) != (values[1] > 0.0):
                return (left if values[0] > 0.0 else right), None
    misses = []
    for candidate in (left, right):
        misses.append(sum(abs(candidate.distance(placed[n]) - near[n]) for n in known if n not in (a, b)))
    spread = left.distance(right)
    slack = _MISS[0] + _MISS[1] * max(near[n] for n in known)
    if spread <= slack:
        return left, None
    if abs(misses[0] - misses[1]) > min(slack, 0.25 * spread):
        return (left if misses[0] < misses[1] else right), None
    return left, right
