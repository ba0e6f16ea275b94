"""How much softer the skin gets across the pads while the opening is open, with and without the brace."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil, sqrt

import numpy as np

from cutplan.geometry.contour import Contour
from cutplan.geometry.flatten import flatten_array
from cutplan.geometry.vector import Point
from cutplan.opening.brace.plate_grid import Grid, cell_stiffness, compliance, membrane_stiffness
from cutplan.opening.model import Stiffness
from cutplan.pattern.job import Job
from cutplan.tables.band import Band
from cutplan.tables.brace_sections import USUAL, section_values
from cutplan.tables.hand_tools import BESIDE_MM
from cutplan.tables.steel import CARBON_STEEL

#: Share of the closed stiffness below which the plan wants the brace on. Common practice, no source.
LIMIT = 0.7
METHOD = (
    "skin between its walls as a thin plate on a grid of cells, pulled apart in its plane and folded out of it "
    "between the two places where the brace is tacked; walls held (one end of the band) and walls that give way "
    "(the other); brace as a straight beam, its feet taken as stiff; ribs and the box's own twist left out: a "
    "ranking, not a measurement"
)
_CELLS = 300
_STAGES = 5


def open_stiffness(job: Job, line: Contour, gone: Sequence[Contour], cells: int = _CELLS) -> Stiffness:
    """Return the stiffness across the pads over that of the closed skin, closed and after each section in order.

    Parameters
    ----------
    job : Job
        Skin, walls, pads, brace.
    line : Contour
        Net line [mm].
    gone : sequence of Contour
        Sections in the order they fall [mm].
    cells : int
        About how many cells the skin has.

    Notes
    -----
    Two loads act between the ends of the brace line, beside the mounting face: a pull along it in the skin's plane
    (the pads' pitch) and a pair of moments that fold the skin across it (the pads' flatness). Stiffness is load over
    relative movement. Of each stage the softer of the two ratios counts; the band spans held walls and walls that give
    way. Where there are more than five sections, stages between are taken from the next one computed.
    """
    grid = _grid(job, line, cells)
    whole = _held_off(grid, _inside(line, grid.centres))
    masks = [_inside(section, grid.centres) & whole for section in gone]
    a, b = brace_ends(job, line)
    ends = _end_nodes(grid, ~whole, a, b)
    models = (_pull(job, grid, ends), _fold(job, grid, ends))
    count = len(gone)
    stages = sorted({0, count, *(round(count * k / _STAGES) for k in range(_STAGES + 1))})
    bare: dict[int, list[float]] = {s: [] for s in stages}
    held: dict[int, list[float]] = {s: [] for s in stages}
    for walls in (0, 1):
        closed = [1.0, 1.0]
        for stage in stages:
            keep = ~np.any(masks[:stage], axis=0) if stage else np.ones(len(whole), dtype=bool)
            keep = ~whole if stage == count else ~_held_off(grid, ~keep)
            free: list[float] = []
            braced: list[float] = []
            for m, model in enumerate(models):
                soft = _movement(model, grid, keep, walls)
                if stage == 0:
                    closed[m] = soft
                free.append(closed[m] / soft)
                # a spring beside the skin: their stiffnesses add
                braced.append(closed[m] * (1.0 / soft + model.brace))
            bare[stage].append(min(free))
            held[stage].append(min(braced))
    after, with_brace = _bands(bare, stages, count), _bands(held, stages, count)
    needed = next((k for k, band in enumerate(after) if band.mid < LIMIT), None)
    return Stiffness(after, with_brace, LIMIT, needed, tuple(Point(*map(float, grid.nodes[n])) for n in ends), METHOD)


def _held_off(grid: Grid, whole: np.ndarray) -> np.ndarray:
    """Cells of the opening, with those of the skin that a neck finer than the cells joins to the rest: these carry
    nothing there."""
    from scipy.ndimage import label

    stays = ~whole.reshape(grid.ny, grid.nx)
    marks, _ = label(stays)
    rim = np.concatenate((marks[0], marks[-1], marks[:, 0], marks[:, -1]))
    result: np.ndarray = ~np.isin(marks, np.setdiff1d(rim, [0])).ravel()
    return result


class _Model:
    """One way of loading: cell stiffness, the load's degrees of freedom and factors, what the walls hold, the brace."""

    def __init__(
        self, cell: np.ndarray, dofs: list[int], factors: list[float], held: list[int], loose: list[int], brace: float
    ) -> None:
        self.cell, self.dofs, self.factors = cell, np.array(dofs), np.array(factors)
        self.fixed = (np.array(held), np.array(loose))
        self.brace = brace


def _movement(model: _Model, grid: Grid, keep: np.ndarray, walls: int) -> float:
    c = compliance(grid, keep, model.cell, model.fixed[walls], model.dofs)
    return float(model.factors @ c @ model.factors)


def _pull(job: Job, grid: Grid, ends: tuple[int, int]) -> _Model:
    """Unit forces that pull the two ends apart in the plane; the brace is a bar of stiffness E A / L."""
    steel, t = CARBON_STEEL, job.skin.thickness_mm
    cell = membrane_stiffness(grid.dx_mm, grid.dy_mm, steel.modulus_N_per_mm2, steel.poisson, t)
    u, length = _run(grid, ends)
    dofs = [2 * ends[0], 2 * ends[0] + 1, 2 * ends[1], 2 * ends[1] + 1]
    factors = [-u.x, -u.y, u.x, u.y]
    border = grid.border.tolist()
    corner = (grid.nx + 1) * (grid.ny + 1) - 1
    loose = [0, 1, 2 * grid.nx + 1] if corner else []  # three supports against rigid movement only
    area = section_values(*_section(job))[0]
    return _Model(
        cell, dofs, factors, [2 * n + k for n in border for k in (0, 1)], loose, steel.modulus_N_per_mm2 * area / length
    )


def _fold(job: Job, grid: Grid, ends: tuple[int, int]) -> _Model:
    """Unit moments that fold the skin across the line of the ends; the brace resists with E I / L."""
    steel, t = CARBON_STEEL, job.skin.thickness_mm
    rigidity = steel.modulus_N_per_mm2 * t**3 / (12.0 * (1.0 - steel.poisson**2))
    cell = cell_stiffness(grid.dx_mm, grid.dy_mm, rigidity, steel.poisson)
    u, length = _run(grid, ends)
    dofs = [3 * ends[0] + 1, 3 * ends[0] + 2, 3 * ends[1] + 1, 3 * ends[1] + 2]
    border = grid.border.tolist()
    inertia = section_values(*_section(job))[1]
    return _Model(
        cell,
        dofs,
        [-u.x, -u.y, u.x, u.y],
        [3 * n + k for n in border for k in range(3)],
        [3 * n for n in border],
        steel.modulus_N_per_mm2 * inertia / length,
    )


def _run(grid: Grid, ends: tuple[int, int]) -> tuple[Point, float]:
    a, b = (Point(*map(float, grid.nodes[n])) for n in ends)
    return b.minus(a).unit(), a.distance(b)


def _section(job: Job) -> tuple[str, float, float]:
    brace = job.brace
    return (brace.kind, brace.size_mm, brace.wall_mm) if brace else (USUAL.kind, USUAL.size_mm, USUAL.wall_mm)


def _bands(values: dict[int, list[float]], stages: list[int], count: int) -> tuple[Band, ...]:
    out = []
    for k in range(count + 1):
        pair = values[next(s for s in stages if s >= k)]
        out.append(Band(min(pair), 0.5 * sum(pair), max(pair), "1", METHOD))
    return tuple(out)


def _grid(job: Job, line: Contour, cells: int) -> Grid:
    box, walls = line.box, job.skin.walls
    x0, y0 = box.xmin - max(walls.left_mm, 5.0), box.ymin - max(walls.bottom_mm, 5.0)
    width = box.xmax + max(walls.right_mm, 5.0) - x0
    height = box.ymax + max(walls.top_mm, 5.0) - y0
    size = sqrt(width * height / cells)
    # at least two cells between opening and wall where that is affordable, so that the rim can bend
    rim = max(5.0, min(walls.left_mm, walls.right_mm, walls.bottom_mm, walls.top_mm))
    size = max(min(size, 0.5 * rim), sqrt(width * height / (1.5 * cells)))
    nx, ny = max(6, ceil(width / size)), max(6, ceil(height / size))
    return Grid(x0, y0, nx, ny, width / nx, height / ny)


def _inside(contour: Contour, spots: np.ndarray) -> np.ndarray:
    from shapely import Polygon, contains_xy

    result: np.ndarray = contains_xy(Polygon(flatten_array(contour, 0.1)), spots[:, 0], spots[:, 1])
    return result


def _end_nodes(grid: Grid, keep: np.ndarray, a: Point, b: Point) -> tuple[int, int]:
    """Nodes of the skin that stays, off the walls, nearest to the two ends."""
    stays = np.zeros((grid.nx + 1) * (grid.ny + 1), dtype=bool)
    stays[grid.cells[keep].ravel()] = True
    stays[grid.border] = False
    spots = grid.nodes
    able = np.flatnonzero(stays)

    def nearest(p: Point, but: int = -1) -> int:
        far = np.hypot(spots[able, 0] - p.x, spots[able, 1] - p.y)
        return int(able[int(np.argmin(np.round(np.where(able == but, np.inf, far), 6)))])

    first = nearest(a)
    return first, nearest(b, first)


def brace_ends(job: Job, line: Contour) -> tuple[Point, Point]:
    """Return where the brace is tacked [mm].

    The job's ends, moved out until a foot there leaves the tool its room beside the line; without a brace in the job, a
    line through the pads' middle along the opening's longer side.
    """
    box = line.box
    if job.brace is not None and job.brace.start.distance(job.brace.end) > 1.0:
        a, b = job.brace.start, job.brace.end
    else:
        n = max(1, len(job.pads))
        mid = Point(sum(p.centre.x for p in job.pads) / n, sum(p.centre.y for p in job.pads) / n)
        mid = mid if job.pads else box.centre
        a, b = (
            (Point(box.xmin, mid.y), Point(box.xmax, mid.y))
            if box.width >= box.height
            else (Point(mid.x, box.ymin), Point(mid.x, box.ymax))
        )
    u = b.minus(a).unit()
    half = 0.5 * foot_mm(job)
    return _moved_out(a, u.times(-1.0), line, half), _moved_out(b, u, line, half)


def foot_mm(job: Job) -> float:
    """Return the width of the brace and of its feet [mm]."""
    return job.brace.size_mm if job.brace is not None else USUAL.size_mm


def _moved_out(p: Point, step: Point, line: Contour, half_mm: float) -> Point:
    """The first place along a unit step where a square foot leaves the tool its room beside the line."""
    u, v = step.times(half_mm), step.left().times(half_mm)
    rim = [u.times(i).plus(v.times(k)) for i in (-1.0, 0.0, 1.0) for k in (-1.0, 0.0, 1.0)]

    def stands_clear(at: Point) -> bool:
        spots = [at.plus(off) for off in rim]
        return all(not line.contains(q) and line.nearest(q)[1] >= BESIDE_MM + 2.0 for q in spots)

    far, most = 0.0, line.box.diagonal + 4.0 * half_mm
    while far < most and not stands_clear(p):
        # no nearer than the middle of the foot is to the line, less what half of it takes up
        gap = line.nearest(p)[1]
        jump = 2.0 if not line.contains(p) else max(2.0, gap)
        p, far = p.plus(step.times(jump)), far + jump
    return p
