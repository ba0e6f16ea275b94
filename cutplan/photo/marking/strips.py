"""Strips read from the dots of a picture: grids grown from dot to dot, then their letter by the word they spell."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cutplan.photo.marking.dots import Dots
from cutplan.photo.marking.marks import COLUMNS, DOT_MM, PITCH_MM, ROWS, Reading, read_word

#: Pitch over radius of a dot, as printed.
_STEP = 2.0 * PITCH_MM / DOT_MM
#: How far a dot may lie from where its neighbours say it should [pitches].
_SLACK = 0.22
_STEPS = ((1, 0), (-1, 0), (0, 1), (0, -1))


@dataclass(frozen=True)
class SeenStrip:
    """A strip read in one picture.

    ``dots`` (rows, columns) holds the index of each dot in the picture's :class:`Dots`, -1 where it is not seen; row 0
    is the strip's top, column 0 its left end.
    """

    strip: int
    dots: np.ndarray
    mirrored: bool
    wrong: int


def read_strips(dots: Dots) -> list[SeenStrip]:
    """Return the strips that the dots of one picture make up, by letter; a letter seen twice is left out twice."""
    from scipy.spatial import cKDTree

    if len(dots.px) < 20:
        return []
    tree = cKDTree(dots.px)
    free = np.ones(len(dots.px), dtype=bool)
    found: list[SeenStrip] = []
    for seed in range(len(dots.px)):
        if not free[seed]:
            continue
        best = max((_grown(dots, tree, seed, turn, free) for turn in _frames(dots, tree, seed)), key=len, default={})
        if len(best) < 24:
            continue
        seen = _read(best, dots)
        if seen is not None:
            found.append(seen)
            free[seen.dots[seen.dots >= 0]] = False
    many = {s.strip: sum(o.strip == s.strip for o in found) for s in found}
    return sorted((s for s in found if many[s.strip] == 1), key=lambda s: s.strip)


def _frames(dots: Dots, tree: object, seed: int) -> list[np.ndarray]:
    """Guesses of the two steps of the grid at a dot, from its shape and its nearest neighbours."""
    shape = dots.shape[seed]
    back = np.linalg.inv(shape * _STEP)
    near = tree.query(dots.px[seed], k=min(9, len(dots.px)))[1][1:]  # type: ignore[attr-defined]
    out = []
    for other in near:
        q = back @ (dots.px[other] - dots.px[seed])
        size = float(np.hypot(*q))
        if not 0.72 < size < 1.3:
            continue
        first = dots.px[other] - dots.px[seed]
        second = shape @ (_STEP * np.array([-q[1], q[0]]) / size * 1.0)
        out.append(np.stack([first, second], axis=1))
    return out[:4]


def _grown(dots: Dots, tree: object, seed: int, frame: np.ndarray, free: np.ndarray) -> dict[tuple[int, int], int]:
    """Dots by their place in the grid, grown outward; the steps of the grid are learnt anew at each dot."""
    placed = {(0, 0): seed}
    frames = {(0, 0): frame}
    queue = [(0, 0)]
    used = {seed}
    while queue and len(placed) < 120:
        at = queue.pop(0)
        here, basis = dots.px[placed[at]], frames[at]
        size = float(np.sqrt(abs(np.linalg.det(basis))))
        for step in _STEPS:
            to = (at[0] + step[0], at[1] + step[1])
            if to in placed:
                continue
            guess = here + basis @ np.array(step, dtype=float)
            gap, other = tree.query(guess)  # type: ignore[attr-defined]
            if gap > _SLACK * size or other in used or not free[other]:
                continue
            if not 0.6 < np.linalg.det(dots.shape[other]) / np.linalg.det(dots.shape[placed[at]]) < 1.7:
                continue
            placed[to] = int(other)
            used.add(int(other))
            new = basis.copy()
            axis = 0 if step[0] else 1
            new[:, axis] = (dots.px[other] - here) * (step[0] + step[1])
            new[:, 1 - axis] = 0.5 * (new[:, 1 - axis] + _sideways(placed, dots, to, 1 - axis, new[:, 1 - axis]))
            frames[to] = new
            queue.append(to)
    return placed


def _sideways(
    placed: dict[tuple[int, int], int], dots: Dots, at: tuple[int, int], axis: int, otherwise: np.ndarray
) -> np.ndarray:
    for sign in (1, -1):
        step = (sign, 0) if axis == 0 else (0, sign)
        other = placed.get((at[0] + step[0], at[1] + step[1]))
        if other is not None:
            return np.asarray((dots.px[other] - dots.px[placed[at]]) * sign)
    return otherwise


def _read(placed: dict[tuple[int, int], int], dots: Dots) -> SeenStrip | None:
    """The strip that a grid of dots spells, tried in every place and both ways round that hold enough of it."""
    where = np.array(list(placed))
    low = where.min(axis=0)
    size = where.max(axis=0) - low + 1
    grid = np.full(tuple(size), -1)
    for at, dot in placed.items():
        grid[at[0] - low[0], at[1] - low[1]] = dot
    best: tuple[Reading, np.ndarray] | None = None
    for turned in (grid, grid.T):
        padded = np.pad(turned, 2, constant_values=-1)
        for i in range(padded.shape[0] - ROWS + 1):
            for j in range(padded.shape[1] - COLUMNS + 1):
                part = padded[i : i + ROWS, j : j + COLUMNS]
                seen = part >= 0
                if int(seen.sum()) < 24:
                    continue
                reading = read_word(np.where(seen, dots.solid[part], False), seen)
                if reading and (best is None or seen.sum() > (best[1] >= 0).sum()):
                    best = (reading, part)
    if best is None:
        return None
    reading, part = best
    # handedness: a grid taken with its axes swapped or flipped spells a mirrored word although the picture is not
    if reading.turned:
        part = part[::-1, ::-1]
    if reading.mirrored:
        part = part[::-1]
    return SeenStrip(reading.strip, part.copy(), _is_mirrored(part, dots), reading.wrong)


def _is_mirrored(part: np.ndarray, dots: Dots) -> bool:
    """Whether the strip, read in its own order, appears as seen from behind (rows grow downward, columns rightward)."""
    r, c = np.nonzero(part >= 0)
    a = np.stack([c, r, np.ones(len(r))], axis=1).astype(float)
    fit, *_ = np.linalg.lstsq(a, dots.px[part[r, c]], rcond=None)
    return bool(np.linalg.det(fit[:2]) < 0.0)
