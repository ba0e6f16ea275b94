"""A traced plate laid over the card it was rendered from, and how far it is off."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cutplan.geometry.region import Region
from cutplan.geometry.segment import Arc, Segment
from rig.render import Shape, _distance


@dataclass(frozen=True)
class Verdict:
    """Errors [mm] after the best turn and shift: outline, then holes (diameter, place), then pieces."""

    rms: float
    bias: float
    largest: float
    hole_diameter: np.ndarray
    hole_place: np.ndarray
    place_errors: np.ndarray
    pieces: int
    same_kinds: bool
    line_off: np.ndarray
    radius_off: np.ndarray
    line_told: np.ndarray
    radius_told: np.ndarray


def points_on(segments: list[Segment], step: float = 0.5) -> np.ndarray:
    out = []
    for s in segments:
        n = max(3, int(s.length / step))
        out += [tuple(s.point_at((i + 0.5) / n)) for i in range(n)]
    return np.array(out)


def signed_off(truth: Region, p: np.ndarray) -> np.ndarray:
    """Distance of points from the outline of the truth [mm], negative inside."""
    shape = Shape(Region(truth.outer))
    gap = np.full(len(p), np.inf)
    for s in truth.outer.segments:
        gap = np.minimum(gap, _distance(s, p[:, 0], p[:, 1]))
    from shapely import contains_xy

    return np.where(contains_xy(shape.polygon, p[:, 0], p[:, 1]), -gap, gap)


def laid_over(found: Region, truth: Region) -> tuple[Region, Region]:
    """Turn and shift the found plate onto the truth: rough by the holes' centres, then by the outline (least squares)."""
    a = np.array([(h.centroid.x, h.centroid.y) for h in found.holes])
    b = np.array([(h.centroid.x, h.centroid.y) for h in truth.holes])
    best = None
    for angle in np.linspace(0, 2 * np.pi, 720, endpoint=False):
        t = found.outer.turned(angle)
        c = t.centroid
        ca, sa = np.cos(angle), np.sin(angle)
        q = a @ np.array([[ca, sa], [-sa, ca]])
        q = q - [c.x, c.y] + [truth.outer.centroid.x, truth.outer.centroid.y]
        if len(q) and len(b):
            cost = float(np.hypot(*(q[:, None] - b[None]).transpose(2, 0, 1)).min(axis=1).sum())
        else:
            p = points_on(list(t.segments), 8.0) - [c.x, c.y] + [truth.outer.centroid.x, truth.outer.centroid.y]
            cost = float(np.abs(signed_off(truth, p)).sum())
        if best is None or cost < best[0]:
            best = (cost, angle)
    assert best is not None
    out = _turned(found, best[1])
    c, d = out.outer.centroid, truth.outer.centroid
    out = _moved(out, d.x - c.x, d.y - c.y)
    for _ in range(6):
        p = points_on(list(out.outer.segments), 2.0)
        e = signed_off(truth, p)
        h = 1e-4
        gx = (signed_off(truth, p + np.array([h, 0])) - e) / h
        gy = (signed_off(truth, p + np.array([0, h])) - e) / h
        a_ = np.column_stack([gx, gy, -gx * p[:, 1] + gy * p[:, 0]])
        good = np.abs(e) < 3 * max(0.02, np.median(np.abs(e)))
        step, *_ = np.linalg.lstsq(a_[good], -e[good], rcond=None)
        out = _moved(_turned(out, step[2]), step[0], step[1])
    return out, truth


def _turned(r: Region, a: float) -> Region:
    return Region(r.outer.turned(a), tuple(h.turned(a) for h in r.holes))


def _moved(r: Region, x: float, y: float) -> Region:
    return Region(r.outer.moved(x, y), tuple(h.moved(x, y) for h in r.holes))


def judge(found: Region, truth: Region, errors: tuple = (), hole_errors: tuple = ()) -> Verdict:  # type: ignore[type-arg]
    """Return how far a plate is off; ``errors`` are the told ones of its outline's pieces, in its order."""
    out, truth = laid_over(found, truth)
    p = points_on(list(out.outer.segments))
    off = signed_off(truth, p)
    diameter, place, told = [], [], []
    for h in out.holes:
        circle = h.as_circle()
        if circle is None:
            diameter.append(np.inf)
            continue
        near = min((c for t in truth.holes if (c := t.as_circle())), key=lambda t: t[0].distance(circle[0]))
        diameter.append(2 * (circle[1] - near[1]))
        place.append(circle[0].distance(near[0]))
        told.append((circle[0].x - near[0].x, circle[0].y - near[0].y))
    lines, radii, lines_told, radii_told = [], [], [], []
    kinds = len(out.outer.segments) == len(truth.outer.segments)
    for i, s in enumerate(out.outer.segments):
        mid = s.point_at(0.5)
        t = min(truth.outer.segments, key=lambda t: t.nearest(mid)[1] + 0.2 * t.point_at(0.5).distance(mid))
        if isinstance(t, Arc) != isinstance(s, Arc):
            kinds = False
            continue
        if isinstance(s, Arc) and isinstance(t, Arc):
            radii.append(s.radius - t.radius)
            radii_told.append(errors[i].radius_mm if errors else 0.0)
        else:
            lines.append(float(signed_off(truth, np.array([tuple(mid)]))[0]))
            lines_told.append(errors[i].place_mm if errors else 0.0)
    inner = np.abs(off) < 5
    return Verdict(
        float(np.sqrt(np.mean(off[inner] ** 2))),
        float(np.mean(off[inner])),
        float(np.abs(off).max()),
        np.array(diameter),
        np.array(place),
        np.array(told).reshape(-1, 2),
        len(out.outer.segments),
        kinds,
        np.array(lines),
        np.array(radii),
        np.array(lines_told),
        np.array(radii_told),
    )
