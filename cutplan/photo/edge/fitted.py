"""Lines and arcs of one edge fitted together: every point counts, pieces that run smoothly into each other stay tangent."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import acos, atan2, cos, degrees, hypot, sin, tan

import numpy as np

from cutplan.geometry.contour import Contour, circle_contour
from cutplan.geometry.segment import Segment, arc_from_bulge
from cutplan.geometry.vector import Point
from cutplan.photo.edge.pieces import Piece

#: Pieces that meet at a smaller angle [deg], or miss tangency by less [mm], are taken as meant to be tangent.
_TANGENT_DEG, _TANGENT_MM = 4.0, 0.05
#: Points nearer to a corner than this count for no piece [mm]: blur rounds it.
CORNER_MM = 1.5
_TIGHT = 1e5


@dataclass(frozen=True)
class Fit:
    """A ring as pieces with their numbers.

    ``values`` holds for a line (angle of its normal [rad], distance from ``origin`` [mm], 0), for an arc (centre x, y,
    radius [mm]), relative to ``origin``; ``joints`` (pieces, 2) [mm] is where each piece ends; ``tangent`` whether it runs
    smoothly into the next; ``turning`` +1 for an arc travelled counter-clockwise.
    """

    pieces: tuple[Piece, ...]
    values: np.ndarray
    tangent: tuple[bool, ...]
    turning: tuple[int, ...]
    joints: np.ndarray
    origin: np.ndarray

    @property
    def is_circle(self) -> bool:
        return len(self.pieces) == 1

    def contour(self) -> Contour:
        """Return the ring as an exact contour [mm]."""
        if self.is_circle:
            x, y, r = self.values[0]
            return circle_contour(Point(x + self.origin[0], y + self.origin[1]), r, ccw=self.turning[0] > 0)
        segments: list[Segment] = []
        for k in range(len(self.pieces)):
            a, b = self.joints[k - 1], self.joints[k]
            start, end = Point(*(a + self.origin).tolist()), Point(*(b + self.origin).tolist())
            segments.append(arc_from_bulge(start, end, self._bulge(k, a, b)))
        return Contour(tuple(segments))

    def _bulge(self, k: int, a: np.ndarray, b: np.ndarray) -> float:
        if not self.pieces[k].round:
            return 0.0
        x, y, _ = self.values[k]
        turn = atan2(b[1] - y, b[0] - x) - atan2(a[1] - y, a[0] - x)
        sweep = turn % (2 * np.pi) if self.turning[k] > 0 else -((-turn) % (2 * np.pi))
        return tan(0.25 * sweep)


def fit(points: np.ndarray, pieces: Sequence[Piece], weight: np.ndarray) -> Fit:
    """Return pieces fitted to an edge.

    Parameters
    ----------
    points : (n, 2) array
        Points along the edge [mm].
    pieces : sequence of Piece
        Which points each piece stands for.
    weight : (n,) array
        Weight of each point, one over its squared standard error [1/mm2]; 0 leaves it out.
    """
    first = _fit_once(points, pieces, weight)
    if first.is_circle:
        return first
    # where pieces meet is known better now than when the points were dealt out
    ends = [int(np.argmin(((points - first.origin - j) ** 2).sum(axis=1))) for j in first.joints]
    dealt = [Piece(p.round, ends[k - 1], ends[k]) for k, p in enumerate(pieces)]
    if any(
        not 5 <= (p.last - p.first) % len(points) <= 1.5 * _many(q, len(points)) + 20
        for p, q in zip(dealt, pieces, strict=True)
    ):
        return first
    return _fit_once(points, dealt, weight)


def _many(piece: Piece, n: int) -> int:
    return (piece.last - piece.first) % n or n


def _fit_once(points: np.ndarray, pieces: Sequence[Piece], weight: np.ndarray) -> Fit:
    origin = points.mean(axis=0)
    p = points - origin
    area = float((p[:, 0] * np.roll(p[:, 1], -1) - np.roll(p[:, 0], -1) * p[:, 1]).sum())
    if len(pieces) == 1:
        value = _circle(p, weight)
        return Fit(tuple(pieces), value[None], (True,), (1 if area > 0 else -1,), np.zeros((1, 2)), origin)
    runs = [members(len(p), piece) for piece in pieces]
    values = np.zeros((len(pieces), 3))
    turning = []
    for k, (piece, mine) in enumerate(zip(pieces, runs, strict=True)):
        inner = _trimmed(p, mine, CORNER_MM, CORNER_MM)
        q, w = p[inner], weight[inner]
        values[k] = _circle(q, w) if piece.round else _line(q, w)
        turning.append(_turning(p[mine], values[k]) if piece.round else 0)
    breaks = np.array([p[mine[-1]] for mine in runs])
    tangent = tuple(_meant_tangent(pieces, values, k, breaks[k]) for k in range(len(pieces)))
    ends = [0.3 if t else CORNER_MM for t in tangent]
    rows = [_trimmed(p, mine, ends[k - 1], ends[k]) for k, mine in enumerate(runs)]
    values = settled(p, weight, pieces, values, tangent, rows, turning)
    joints = np.array([_joint(pieces, values, tangent, k, breaks[k]) for k in range(len(pieces))])
    return Fit(tuple(pieces), values, tangent, tuple(turning), joints, origin)


def members(n: int, piece: Piece) -> np.ndarray:
    """Return the indices (m,) of the points of a ring of n that a piece stands for."""
    many = (piece.last - piece.first) % n or n
    return np.asarray((piece.first + np.arange(many + 1)) % n)


def _trimmed(p: np.ndarray, mine: np.ndarray, before_mm: float, after_mm: float) -> np.ndarray:
    run = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(p[mine], axis=0).T))])
    keep = (run >= before_mm) & (run <= run[-1] - after_mm)
    if keep.sum() >= 5:
        return np.asarray(mine[keep])
    third = max(0, (len(mine) - 5) // 2)
    return mine[third : len(mine) - third]


def _line(q: np.ndarray, w: np.ndarray) -> np.ndarray:
    w = np.maximum(w, 1e-12)
    middle = (q * w[:, None]).sum(axis=0) / w.sum()
    d = (q - middle) * np.sqrt(w)[:, None]
    _, vectors = np.linalg.eigh(d.T @ d)
    normal = vectors[:, 0]
    return np.array([atan2(normal[1], normal[0]), float(normal @ middle), 0.0])


def _circle(q: np.ndarray, w: np.ndarray) -> np.ndarray:
    w = np.maximum(w, 1e-12)
    middle = (q * w[:, None]).sum(axis=0) / w.sum()
    d = q - middle
    a = np.column_stack([2 * d, np.ones(len(d))]) * np.sqrt(w)[:, None]
    s, *_ = np.linalg.lstsq(a, (d**2).sum(axis=1) * np.sqrt(w), rcond=None)
    value = np.array([s[0], s[1], np.sqrt(max(s[2] + s[0] ** 2 + s[1] ** 2, 1e-6))])
    for _ in range(8):
        away = d - value[:2]
        r = np.hypot(away[:, 0], away[:, 1])
        slope = np.column_stack([-away / r[:, None], -np.ones(len(d))])
        step = np.linalg.lstsq(slope * np.sqrt(w)[:, None], (r - value[2]) * np.sqrt(w), rcond=None)[0]
        value = value - step
        if np.abs(step).max() < 1e-10:
            break
    return np.array([value[0] + middle[0], value[1] + middle[1], abs(value[2])])


def _turning(run: np.ndarray, value: np.ndarray) -> int:
    a = run - value[:2]
    cross = a[:-1, 0] * a[1:, 1] - a[1:, 0] * a[:-1, 1]
    return 1 if cross.sum() > 0 else -1


def _meant_tangent(pieces: Sequence[Piece], values: np.ndarray, k: int, near: np.ndarray) -> bool:
    other = (k + 1) % len(pieces)
    a, b = values[k], values[other]
    if not pieces[k].round and not pieces[other].round:
        return False
    if pieces[k].round and pieces[other].round:
        gap = hypot(a[0] - b[0], a[1] - b[1])
        miss = min(abs(gap - a[2] - b[2]), abs(gap - abs(a[2] - b[2])))
        share = (a[2] ** 2 + b[2] ** 2 - gap**2) / (2 * a[2] * b[2])
        angle = degrees(acos(min(1.0, abs(share))))
        return miss < _TANGENT_MM or angle < _TANGENT_DEG
    line, arc = (b, a) if pieces[k].round else (a, b)
    away = abs(cos(line[0]) * arc[0] + sin(line[0]) * arc[1] - line[1])
    return abs(away - arc[2]) < _TANGENT_MM or degrees(acos(min(1.0, away / arc[2]))) < _TANGENT_DEG


def settled(
    p: np.ndarray,
    weight: np.ndarray,
    pieces: Sequence[Piece],
    values: np.ndarray,
    tangent: Sequence[bool],
    rows: Sequence[np.ndarray],
    turning: Sequence[int],
) -> np.ndarray:
    """Return the values of all pieces that fit all points best under tangency.

    Parameters
    ----------
    p, weight : arrays
        Points (n, 2) [mm] about the origin and their weights (n,).
    pieces, values, tangent, turning : sequences
        As in :class:`Fit`.
    rows : sequence of int arrays
        Points that count for each piece.
    """
    v = values.copy()
    for _ in range(12):
        normal, right = np.zeros((v.size, v.size)), np.zeros(v.size)
        for k, piece in enumerate(pieces):
            left, slope = residuals(piece.round, v[k], p[rows[k]])
            w = weight[rows[k]]
            at = slice(3 * k, 3 * k + 3)
            normal[at, at] += (slope * w[:, None]).T @ slope
            right[at] += (slope * w[:, None]).T @ left
            if not piece.round:
                normal[3 * k + 2, 3 * k + 2] += 1.0
        tight = _TIGHT * max(1.0, float(np.trace(normal)) / v.size)
        for k in range(len(pieces)):
            if tangent[k]:
                miss, slope = tangency(pieces, v, k, turning)
                normal += tight * np.outer(slope, slope)
                right += tight * slope * miss
        step = np.linalg.solve(normal + 1e-9 * np.diag(np.diag(normal)), right).reshape(v.shape)
        v = v - step
        if np.abs(step).max() < 1e-9:
            break
    return v


def residuals(is_round: bool, value: np.ndarray, q: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return how far points lie off a piece [mm] and the slopes by its three values.

    Parameters
    ----------
    is_round : bool
        Whether the piece is an arc.
    value : (3,) array
        Its values, as in :class:`Fit`.
    q : (n, 2) array
        Points [mm].
    """
    if is_round:
        away = q - value[:2]
        r = np.maximum(np.hypot(away[:, 0], away[:, 1]), 1e-9)
        return r - value[2], np.column_stack([-away / r[:, None], -np.ones(len(q))])
    c, s = cos(value[0]), sin(value[0])
    return q @ np.array([c, s]) - value[1], np.column_stack([q @ np.array([-s, c]), -np.ones(len(q)), np.zeros(len(q))])


def tangency(pieces: Sequence[Piece], v: np.ndarray, k: int, turning: Sequence[int]) -> tuple[float, np.ndarray]:
    """Return by how much piece k and the next miss being tangent [mm], and the slope by all values (3 pieces,)."""
    other = (k + 1) % len(pieces)
    slope = np.zeros(v.size)
    if pieces[k].round and pieces[other].round:
        d = v[k, :2] - v[other, :2]
        gap = float(np.hypot(*d))
        unit = d / max(gap, 1e-9)
        slope[3 * k : 3 * k + 2] = unit
        slope[3 * other : 3 * other + 2] = -unit
        if turning[k] != turning[other]:
            slope[3 * k + 2] = slope[3 * other + 2] = -1.0
            return gap - v[k, 2] - v[other, 2], slope
        sign = 1.0 if v[k, 2] > v[other, 2] else -1.0
        slope[3 * k + 2], slope[3 * other + 2] = -sign, sign
        return gap - sign * (v[k, 2] - v[other, 2]), slope
    arc, line = (k, other) if pieces[k].round else (other, k)
    c, s = cos(v[line, 0]), sin(v[line, 0])
    away = c * v[arc, 0] + s * v[arc, 1] - v[line, 1]
    sign = 1.0 if away > 0 else -1.0
    slope[3 * arc : 3 * arc + 3] = c, s, -sign
    slope[3 * line : 3 * line + 2] = -s * v[arc, 0] + c * v[arc, 1], -1.0
    return float(away - sign * v[arc, 2]), slope


def _joint(pieces: Sequence[Piece], v: np.ndarray, tangent: Sequence[bool], k: int, near: np.ndarray) -> np.ndarray:
    """Where piece k ends and the next begins: touching point or crossing, whichever lies near."""
    other = (k + 1) % len(pieces)
    candidates = _meetings(pieces[k].round, v[k], pieces[other].round, v[other], tangent[k])
    return min(candidates, key=lambda q: float(np.hypot(*(q - near))), default=near)


def _meetings(first_round: bool, a: np.ndarray, second_round: bool, b: np.ndarray, touch: bool) -> list[np.ndarray]:
    if not first_round and not second_round:
        m = np.array([[cos(a[0]), sin(a[0])], [cos(b[0]), sin(b[0])]])
        if abs(np.linalg.det(m)) < 1e-9:
            return []
        return [np.linalg.solve(m, np.array([a[1], b[1]]))]
    if first_round and second_round:
        d = b[:2] - a[:2]
        gap = max(float(np.hypot(*d)), 1e-12)
        along = 0.5 * (gap + (a[2] ** 2 - b[2] ** 2) / gap)
        half = 0.0 if touch else float(np.sqrt(max(a[2] ** 2 - along**2, 0.0)))
        unit = d / gap
        foot = a[:2] + (np.sign(along) * a[2] if touch else along) * unit
        side = np.array([-unit[1], unit[0]])
        return [foot + half * side, foot - half * side]
    line, arc = (b, a) if first_round else (a, b)
    n = np.array([cos(line[0]), sin(line[0])])
    foot = arc[:2] - (n @ arc[:2] - line[1]) * n
    away = abs(float(n @ arc[:2] - line[1]))
    half = 0.0 if touch else float(np.sqrt(max(arc[2] ** 2 - away**2, 0.0)))
    side = np.array([-n[1], n[0]])
    return [foot + half * side, foot - half * side]
