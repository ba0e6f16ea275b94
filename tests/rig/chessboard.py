"""Inner corners of a chessboard in a photograph: for judging the adjustment on photographs that others took."""

from __future__ import annotations

import numpy as np
from scipy.ndimage import gaussian_filter, maximum_filter
from scipy.spatial import cKDTree


def inner_corners(grey: np.ndarray, columns: int, rows: int) -> np.ndarray | None:
    """Return the corners, (rows, columns, 2) [px], or None where the board is not found whole."""
    g = grey.astype(float)
    found = _saddles(g)
    tree = cKDTree(found)
    order = np.argsort(np.hypot(*(found - np.median(found, axis=0)).T))
    boards = []
    for seed in order[:12]:
        for frame in _frames(found, tree, int(seed)):
            board = _board(_grown(found, tree, int(seed), frame), columns, rows)
            if board is not None:
                boards.append(board)
    if not boards:
        return None
    best = min(boards, key=lambda b: int(b.sum()))
    px = np.array([_sharpened(g, found[i]) for i in best.ravel()]).reshape(rows, columns, 2)
    return _right_handed(px)


def _saddles(g: np.ndarray) -> np.ndarray:
    """Places where the light is a saddle, strongest first."""
    xx, yy, xy = (gaussian_filter(g, 2.0, order=o) for o in ((0, 2), (2, 0), (1, 1)))
    strength = xy * xy - xx * yy
    peak = (strength == maximum_filter(strength, 9)) & (strength > 0.02 * strength.max())
    y, x = np.nonzero(peak)
    keep = np.argsort(-strength[y, x])[:220]
    return np.stack([x[keep], y[keep]], axis=1).astype(float)


def _frames(p: np.ndarray, tree: cKDTree, seed: int) -> list[np.ndarray]:
    near = [int(i) for i in tree.query(p[seed], k=9)[1][1:]]
    steps = [p[i] - p[seed] for i in near]
    out = []
    for a in steps:
        for b in steps:
            size = np.hypot(*a) * np.hypot(*b)
            if a[0] * b[1] - a[1] * b[0] > 0.7 * size and 0.5 < np.hypot(*a) / np.hypot(*b) < 2.0:
                out.append(np.stack([a, b], axis=1))
    return sorted(out, key=lambda m: abs(np.linalg.det(m)))[:6]


def _grown(p: np.ndarray, tree: cKDTree, seed: int, frame: np.ndarray) -> dict[tuple[int, int], int]:
    placed = {(0, 0): seed}
    frames = {(0, 0): frame}
    queue = [(0, 0)]
    while queue and len(placed) < 140:
        at = queue.pop(0)
        for step in ((1, 0), (-1, 0), (0, 1), (0, -1)):
            to = (at[0] + step[0], at[1] + step[1])
            if to in placed:
                continue
            basis = frames[at]
            guess = p[placed[at]] + basis @ np.array(step, dtype=float)
            gap, other = tree.query(guess)
            if gap > 0.25 * np.sqrt(abs(np.linalg.det(basis))) or int(other) in placed.values():
                continue
            placed[to] = int(other)
            axis = 0 if step[0] else 1
            new = basis.copy()
            new[:, axis] = (p[int(other)] - p[placed[at]]) * (step[0] + step[1])
            frames[to] = new
            queue.append(to)
    return placed


def _board(placed: dict[tuple[int, int], int], columns: int, rows: int) -> np.ndarray | None:
    """The part of a grid that is full and whose saddles are the strongest (they come sorted by strength)."""
    where = np.array(list(placed))
    low = where.min(axis=0)
    grid = np.full(tuple(where.max(axis=0) - low + 1), -1)
    for at, i in placed.items():
        grid[at[0] - low[0], at[1] - low[1]] = i
    best, least = None, np.inf
    for turned in (grid, grid.T):
        for i in range(turned.shape[0] - rows + 1):
            for j in range(turned.shape[1] - columns + 1):
                part = turned[i : i + rows, j : j + columns]
                if (part >= 0).all() and part.sum() < least:
                    best, least = part, float(part.sum())
    return best


def _sharpened(g: np.ndarray, at: np.ndarray, half: int = 5) -> np.ndarray:
    """The place that all gradients round it point past at right angles (least squares, a few rounds)."""
    q = at.copy()
    gy, gx = np.gradient(g)
    for _ in range(20):
        x0, y0 = round(q[0]), round(q[1])
        if min(x0, y0) < half + 1 or y0 + half + 1 >= g.shape[0] or x0 + half + 1 >= g.shape[1]:
            return q
        v, u = np.mgrid[y0 - half : y0 + half + 1, x0 - half : x0 + half + 1]
        w = np.exp(-((u - q[0]) ** 2 + (v - q[1]) ** 2) / (2 * (0.5 * half) ** 2))
        a, b = gx[v, u], gy[v, u]
        m = np.array([[(w * a * a).sum(), (w * a * b).sum()], [(w * a * b).sum(), (w * b * b).sum()]])
        r = np.array([(w * (a * a * u + a * b * v)).sum(), (w * (a * b * u + b * b * v)).sum()])
        new = np.linalg.solve(m, r)
        if np.hypot(*(new - q)) < 1e-3:
            return new
        q = q + np.clip(new - q, -1.0, 1.0)
    return q


def _right_handed(px: np.ndarray) -> np.ndarray:
    across, down = px[0, -1] - px[0, 0], px[-1, 0] - px[0, 0]
    return px if across[0] * down[1] - across[1] * down[0] > 0 else px[::-1]
