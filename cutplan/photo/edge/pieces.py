"""The fewest lines and arcs that stand for an edge: by dynamic programming over all places where a piece may end."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

#: Most points of a ring that are gone through; a longer ring is thinned to even distances.
_MOST = 640
#: Least distance between the points gone through [mm].
_LEAST_STEP_MM = 1.0
#: Largest radius that is told from a straight line [mm].
LARGEST_RADIUS_MM = 3000.0
#: Price of a piece in squared standard errors: of a line, of an arc (one number more to tell).
_LINE, _ARC = 36.0, 48.0


@dataclass(frozen=True)
class Piece:
    """One line or arc of a ring: which of the ring's points it stands for, ``first`` to ``last`` going round."""

    round: bool
    first: int
    last: int


def split(points: np.ndarray, sigma_mm: float) -> list[Piece]:
    """Return the pieces of a closed edge.

    Parameters
    ----------
    points : (n, 2) array
        Points along the edge at even distances [mm], the first not repeated.
    sigma_mm : float
        How far the edge may stray from its pieces, as a standard error [mm].

    Returns
    -------
    list of Piece
        In order, indices into ``points``; a single round piece over all points is a full circle.

    Notes
    -----
    Every piece costs a fixed price and the squares of what it leaves over; the least total is found exactly for the
    ring cut open at one place, then once more cut open where a piece ended. A circle is fitted by its equation (Kasa's
    method, exact sums), the places where pieces meet count for neither of them, because blur rounds corners.
    """
    p = points - points.mean(axis=0)
    if len(p) < 8:
        return [Piece(True, 0, len(p) - 1)]
    stride = max(1, int(np.ceil(len(p) / _MOST)), round(_LEAST_STEP_MM / max(_step(p), 1e-9)))
    chosen = np.arange(0, len(p), stride)
    if len(chosen) < 24:
        chosen = np.arange(len(p))
    q = p[chosen]
    ends = _cut_open(q, sigma_mm)
    if len(ends) > 2:
        turn = ends[len(ends) // 2]
        ends = [(e + turn) % len(q) for e in _cut_open(np.roll(q, -turn, axis=0), sigma_mm)[:-1]]
        ends.append(ends[0])
    total = _total(q, ends, sigma_mm)
    if _circle_cost(q, sigma_mm) <= total or (len(ends) < 4 and _circle_cost(q, 3.0 * sigma_mm) < 2.0 * len(q)):
        return [Piece(True, 0, len(p) - 1)]
    out = []
    for a, b in pairwise(ends):
        round_ = _is_round(_run(q, a, b), sigma_mm)
        out.append(Piece(round_, int(chosen[a % len(q)]), int(chosen[b % len(q)])))
    return out


def _step(p: np.ndarray) -> float:
    return float(np.hypot(*(np.roll(p, -1, axis=0) - p).T).mean())


def _run(q: np.ndarray, a: int, b: int) -> np.ndarray:
    n = len(q)
    many = (b - a) % n or n
    return q[(a + np.arange(many + 1)) % n]


def _cut_open(q: np.ndarray, sigma: float) -> list[int]:
    """Ends of the pieces of a ring cut open at its first point: 0, ..., n."""
    closed = np.vstack([q, q[:1]])
    n = len(q)
    sums = _sums(closed)
    best = np.full(n + 1, np.inf)
    came = np.zeros(n + 1, dtype=int)
    best[0] = 0.0
    for i in range(n):
        if not np.isfinite(best[i]):
            continue
        j = np.arange(i + 1, n + 1)
        line, arc = _costs(sums, i, j, sigma)
        total = best[i] + np.minimum(line, arc)
        better = total < best[j]
        best[j[better]] = total[better]
        came[j[better]] = i
    ends = [n]
    while ends[-1] > 0:
        ends.append(int(came[ends[-1]]))
    return ends[::-1]


def _sums(p: np.ndarray) -> np.ndarray:
    x, y = p[:, 0], p[:, 1]
    z = x * x + y * y
    parts = np.stack([np.ones(len(p)), x, y, x * x, x * y, y * y, z * x, z * y, z * z])
    return np.concatenate([np.zeros((9, 1)), np.cumsum(parts, axis=1)], axis=1)


def _costs(sums: np.ndarray, i: int, j: np.ndarray, sigma: float) -> tuple[np.ndarray, np.ndarray]:
    """Cost of a line and of an arc from point i to each point j; ends count only where the piece is very short."""
    short = j - i < 5
    low = np.where(short, i, i + 1)
    high = np.where(short, j, j - 1)
    n, sx, sy, sxx, sxy, syy, szx, szy, szz = sums[:, high + 1] - sums[:, low]
    mx, my = sx / n, sy / n
    a, b, c = sxx - n * mx * mx, sxy - n * mx * my, syy - n * my * my
    root = np.sqrt(np.maximum((a - c) ** 2 + 4 * b * b, 0.0))
    line = np.maximum(0.5 * (a + c - root), 0.0) / sigma**2 + _LINE
    # centred third moments of z = u^2 + v^2 with u = x - mx, v = y - my
    sz = sxx + syy
    m2 = mx * mx + my * my
    zu = szx - mx * sz - 2 * mx * sxx - 2 * my * sxy + 2 * mx * (mx * sx + my * sy) + m2 * sx - n * m2 * mx
    zv = szy - my * sz - 2 * mx * sxy - 2 * my * syy + 2 * my * (mx * sx + my * sy) + m2 * sy - n * m2 * my
    zm = sz - n * m2
    zz = (
        szz
        - 4 * mx * szx
        - 4 * my * szy
        + 2 * m2 * sz
        + 4 * (mx * mx * sxx + 2 * mx * my * sxy + my * my * syy)
        - 4 * m2 * (mx * sx + my * sy)
        + n * m2 * m2
    )
    det = a * c - b * b
    with np.errstate(divide="ignore", invalid="ignore"):
        uc, vc = 0.5 * (c * zu - b * zv) / det, 0.5 * (a * zv - b * zu) / det
        r2 = uc * uc + vc * vc + zm / n
        left = np.maximum(zz - zm * zm / n - 2 * (uc * zu + vc * zv), 0.0) / (4.0 * r2)
        arc = left / sigma**2 + _ARC
    bad = ~np.isfinite(arc) | (r2 > LARGEST_RADIUS_MM**2) | (n < 4) | (r2 < 0.25)
    return line, np.where(bad, np.inf, arc)


def _total(q: np.ndarray, ends: list[int], sigma: float) -> float:
    out = 0.0
    for a, b in pairwise(ends):
        run = _run(q, a, b)
        line, arc = _costs(_sums(run), 0, np.array([len(run) - 1]), sigma)
        out += float(min(line[0], arc[0]))
    return out


def _is_round(run: np.ndarray, sigma: float) -> bool:
    line, arc = _costs(_sums(run), 0, np.array([len(run) - 1]), sigma)
    return bool(arc[0] < line[0])


def _circle_cost(q: np.ndarray, sigma: float) -> float:
    z = np.hypot(*(q - q.mean(axis=0)).T)
    if z.std() > 0.2 * z.mean():
        return np.inf
    _, arc = _costs(_sums(np.vstack([q, q[:1]])), 0, np.array([len(q)]), sigma)
    return float(arc[0])
