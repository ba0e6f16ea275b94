"""Mesh generator: boundary nodes, hexagonal inner points to a graded size, Delaunay, smoothing.

Our own, so that no licence binds the shop. Edges along boundaries and inner lines are made to appear by splitting those
that Delaunay leaves out.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from scipy.spatial import Delaunay, cKDTree

from cutplan.errors import GeometryError
from cutplan.fem.mesh import Chain, Floats, Ints, Mesh, make_mesh
from cutplan.fem.outline import inside, resample
from cutplan.texts import say

#: How fast the size may grow with the distance from finely spaced nodes [mm/mm].
GROWTH = 0.35
_ROUNDS = 30
#: Height of a row of a hexagonal grid over its step; rows and columns of a finer grid round a fine node.
_RISE, _REACH = 0.8660254037844386, 5
_SMOOTHINGS = 6


def mesh_region(
    outer: Floats,
    holes: Sequence[Floats] = (),
    lines: Sequence[Floats] = (),
    size_mm: float = 10.0,
    places: Floats | None = None,
    closed_lines: Sequence[bool] | None = None,
    line_size_mm: float | None = None,
    outer_size_mm: float | None = None,
) -> Mesh:
    """Return a triangle mesh of a region.

    Parameters
    ----------
    outer : ndarray (n, 2)
        Outer boundary [mm].
    holes, lines : sequence of ndarray (n, 2)
        Holes, and inner lines along which edges must run [mm].
    size_mm : float
        Wanted edge length [mm].
    places : ndarray (n, 2) or None
        Points that become vertices [mm].
    closed_lines : sequence of bool or None
        Which inner lines close on themselves; None for none.
    line_size_mm : float or None
        Spacing along holes and lines where it should be finer than `size_mm` [mm].
    outer_size_mm : float or None
        Spacing along the outer boundary where it should be finer [mm].

    Raises
    ------
    GeometryError
        When no triangles are left or the outlines cross.
    """
    closed = [True] * (1 + len(holes)) + list(closed_lines or [False] * len(lines))
    outlines = [np.asarray(o, dtype=float) for o in (outer, *holes, *lines)]
    fine = line_size_mm or size_mm
    sizes = [outer_size_mm or size_mm] + [fine] * (len(outlines) - 1)
    nodes = [resample(o, c, s) for o, c, s in zip(outlines, closed, sizes, strict=True)]
    loops = nodes[: 1 + len(holes)]
    extra = np.empty((0, 2)) if places is None or not len(places) else np.atleast_2d(places)
    seeds, spacing = _seeds(nodes, closed)
    extra = _clear_of(extra[inside(extra, loops)], seeds, 0.35 * fine)
    inner = _inner_points(loops, np.vstack([seeds, extra]), np.append(spacing, np.full(len(extra), size_mm)), size_mm)
    points, pairs, loops = _conforming(nodes, closed, np.vstack([extra, inner]), len(holes) + 1)
    fixed = len(points) - len(inner)
    edges = np.vstack(pairs)
    triangles = _triangles(points, loops)
    for _ in range(_SMOOTHINGS):
        moved = _smoothed(points, triangles, fixed)
        anew = _triangles(moved, loops)
        # a point may slip past an outline edge between sparse nodes: keep the mesh before it did
        if _missing(anew, edges, len(points)).any():
            break
        points, triangles = moved, anew
    if not len(triangles) or _missing(triangles, edges, len(points)).any():
        raise GeometryError(say("the region could not be meshed"), hint=say("look for outlines that cross or touch"))
    chains = tuple(Chain(p[:, 0] if c else np.append(p[:, 0], p[-1, 1]), c) for p, c in zip(pairs, closed, strict=True))
    return _compacted(points, triangles, chains)


def _seeds(nodes: list[Floats], closed: list[bool]) -> tuple[Floats, Floats]:
    """Nodes of all outlines and the spacing at each [mm]."""
    spacing = []
    for line, ring in zip(nodes, closed, strict=True):
        step = np.hypot(*np.diff(np.vstack([line, line[:1]]) if ring else line, axis=0).T)
        before = np.roll(step, 1) if ring else np.concatenate([step[:1], step])
        after = step if ring else np.concatenate([step, step[-1:]])
        spacing.append(0.5 * (before + after))
    return np.vstack(nodes), np.concatenate(spacing)


def _size_at(places: Floats, seeds: Floats, spacing: Floats, size_mm: float) -> Floats:
    """Wanted edge length at each place [mm]: grows from the spacing of the nodes nearby."""
    size = np.full(len(places), size_mm)
    level = np.round(np.log2(np.maximum(spacing, 1e-9)) * 2.0).astype(int)
    for value in np.unique(level):
        group = level == value
        distance = cKDTree(seeds[group]).query(places)[0]
        size = np.minimum(size, spacing[group].mean() + GROWTH * distance)
    return size


def _clear_of(places: Floats, others: Floats, distance_mm: float) -> Floats:
    """Places that keep a distance from others [mm]."""
    if not len(places) or not len(others):
        return places
    return np.asarray(places[cKDTree(others).query(places)[0] > distance_mm])


def _inner_points(loops: list[Floats], seeds: Floats, spacing: Floats, size_mm: float) -> Floats:
    """Hexagonal points, halved in spacing where the wanted size is smaller."""
    low, high = loops[0].min(axis=0), loops[0].max(axis=0)
    finest = max(float(spacing.min()), size_mm / 32.0)
    taken = seeds
    kept = np.empty((0, 2))
    step = size_mm
    while step > 0.6 * finest or step == size_mm:
        fine = seeds[spacing < 1.42 * step]
        grid = _hexagons(low, high, step) if step == size_mm else _hexagons_near(fine, low, step)
        if len(grid):
            size = _size_at(grid, seeds, spacing, size_mm)
            grid = grid[(size < 1.42 * step) & (size >= 0.71 * step)] if step < size_mm else grid[size >= 0.71 * step]
            grid = _clear_of(grid[inside(grid, loops)], taken, 0.62 * step)
            kept = np.vstack([kept, grid])
            taken = np.vstack([taken, grid])
        step *= 0.5
    return kept


def _hexagons(low: Floats, high: Floats, step_mm: float) -> Floats:
    """Points of a hexagonal grid over a box [mm]."""
    rows, columns = np.ceil((high[1] - low[1]) / (step_mm * _RISE)), np.ceil((high[0] - low[0]) / step_mm)
    row, column = np.meshgrid(np.arange(int(rows) + 1), np.arange(int(columns) + 1), indexing="ij")
    return _placed(row.ravel(), column.ravel(), low, step_mm)


def _hexagons_near(seeds: Floats, low: Floats, step_mm: float) -> Floats:
    """Points of the grid within reach of some places, so that fine grids stay where they are needed [mm]."""
    if not len(seeds):
        return np.empty((0, 2))
    row = np.round((seeds[:, 1] - low[1]) / (step_mm * _RISE)).astype(np.int64)
    column = np.round((seeds[:, 0] - low[0]) / step_mm).astype(np.int64)
    cells = np.unique(np.column_stack([row, column]), axis=0)
    around = np.arange(-_REACH, _REACH + 1)
    beside = np.stack(np.meshgrid(around, around, indexing="ij"), axis=-1).reshape(-1, 2)
    near = np.unique((cells[:, None, :] + beside[None, :, :]).reshape(-1, 2), axis=0)
    return _placed(near[:, 0], near[:, 1], low, step_mm)


def _placed(row: Ints, column: Ints, low: Floats, step_mm: float) -> Floats:
    """Places of grid points by row and column [mm]."""
    x = low[0] + step_mm * (column + 0.25 + 0.5 * (row % 2))
    return np.column_stack([x, low[1] + step_mm * _RISE * (row + 0.5)])


def _conforming(
    nodes: list[Floats], closed: list[bool], free: Floats, loop_count: int
) -> tuple[Floats, list[Ints], list[Floats]]:
    """Split outline edges until Delaunay shows all of them; points come back outlines first, then the free ones."""
    for _ in range(_ROUNDS):
        points, pairs = _numbered(nodes, closed, free)
        simplices = Delaunay(points).simplices.astype(np.int64)
        split = False
        for place, (line, pair) in enumerate(zip(nodes, pairs, strict=True)):
            lost = _missing(simplices, pair, len(points))
            if lost.any():
                split = True
                middle = 0.5 * (points[pair[lost, 0]] + points[pair[lost, 1]])
                nodes = [*nodes[:place], np.insert(line, np.flatnonzero(lost) + 1, middle, axis=0), *nodes[place + 1 :]]
                free = _clear_of(free, middle, 0.25 * float(np.hypot(*(line[1] - line[0]))))
        if not split:
            return points, pairs, nodes[:loop_count]
    raise GeometryError(say("outlines could not be meshed"), hint=say("look for outlines that cross or touch"))


def _numbered(nodes: list[Floats], closed: list[bool], free: Floats) -> tuple[Floats, list[Ints]]:
    """Number all nodes once (shared places are one node); return points and the edges of each outline."""
    stacked = np.vstack([*nodes, free])
    _, first, number = np.unique(np.round(stacked, 6), axis=0, return_index=True, return_inverse=True)
    order = np.argsort(np.argsort(first))
    number = order[number.ravel()]
    points = stacked[np.sort(first)]
    pairs, start = [], 0
    for line, ring in zip(nodes, closed, strict=True):
        own = number[start : start + len(line)]
        start += len(line)
        pair = np.column_stack([own, np.roll(own, -1)])
        pairs.append(pair if ring else pair[:-1])
    return points, pairs


def _missing(simplices: Ints, pairs: Ints, count: int) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
    sides = np.vstack([simplices[:, [0, 1]], simplices[:, [1, 2]], simplices[:, [2, 0]]])
    have = np.sort(sides, axis=1) @ np.array([count, 1])
    want = np.sort(pairs, axis=1) @ np.array([count, 1])
    return ~np.isin(want, have)


def _triangles(points: Floats, loops: list[Floats]) -> Ints:
    simplices = Delaunay(points).simplices.astype(np.int64)
    a, b, c = (points[simplices[:, i]] for i in range(3))
    twice = np.abs((b[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (b[:, 1] - a[:, 1]) * (c[:, 0] - a[:, 0]))
    longest = np.max([((p - q) ** 2).sum(axis=1) for p, q in ((a, b), (b, c), (c, a))], axis=0)
    sound = twice > 1e-6 * longest
    return np.asarray(simplices[sound & inside((a + b + c) / 3.0, loops)])


def _smoothed(points: Floats, triangles: Ints, fixed: int) -> Floats:
    """Move each inner point to the area-weighted middle of the triangles around it; the first `fixed` points stay."""
    corner = points[triangles]
    middle = corner.mean(axis=1)
    edge = corner[:, 1:] - corner[:, :1]
    area = np.abs(edge[:, 0, 0] * edge[:, 1, 1] - edge[:, 0, 1] * edge[:, 1, 0])
    count = len(points)
    weight = np.bincount(triangles.ravel(), np.repeat(area, 3), count)
    target = np.column_stack(
        [np.bincount(triangles.ravel(), np.repeat(area * middle[:, axis], 3), count) for axis in (0, 1)]
    )
    result = points.copy()
    move = (np.arange(count) >= fixed) & (weight > 0.0)
    result[move] = target[move] / weight[move, None]
    return result


def _compacted(points: Floats, triangles: Ints, chains: tuple[Chain, ...]) -> Mesh:
    """Drop vertices that no triangle uses."""
    used = np.unique(triangles)
    new = np.full(len(points), -1, dtype=np.int64)
    new[used] = np.arange(len(used))
    moved = tuple(Chain(new[c.nodes], c.closed) for c in chains)
    return make_mesh(points[used], new[triangles], moved)
