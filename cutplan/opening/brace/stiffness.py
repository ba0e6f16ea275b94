"""How much softer the skin gets across the pads while the opening is open, with and without the brace."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from cutplan.fem.brace import BraceStiffness, brace_stiffness
from cutplan.fem.mesh import Floats
from cutplan.geometry.contour import Contour
from cutplan.geometry.flatten import flatten_array
from cutplan.geometry.vector import Point
from cutplan.opening.brace.model import Stiffness
from cutplan.opening.brace.skin_model import VERTICES, Mask, SkinModel, skin_model
from cutplan.pattern.brace import FittedBrace
from cutplan.pattern.brace_designs import brace_axis, skin_box
from cutplan.pattern.job import Job
from cutplan.tables.band import Band
from cutplan.texts import say

#: Share of the closed stiffness below which the plan wants the brace on. Common practice, no source.
LIMIT = 0.7
METHOD = say(
    "skin between its walls as a thin plate of triangles, pulled apart in its plane and folded out of it on either side of "
    "the opening; walls held (one end of the band) and walls that give way (the other); brace as a frame of beams at its "
    "own height above the skin; ribs and the box's own twist left out: a ranking, not a measurement"
)
#: Share of the opening's extent that counts as one of its ends, where movement is read [1].
_END = 0.15
_STAGES = 4


@dataclass(frozen=True, slots=True)
class Kept:
    """Stiffness over that of the closed skin [1]: pulled apart in the plane, and folded out of it."""

    pull: float
    fold: float

    @property
    def least(self) -> float:
        """The softer of both [1]."""
        return min(self.pull, self.fold)


class Across:
    """The skin read at the two ends of the opening's rim, on the line that the brace is to keep straight."""

    def __init__(self, job: Job, line: Contour, vertices: int | None = None) -> None:
        self.job, self.line = job, line
        self.u = brace_axis(job, line)[1]
        self.model: SkinModel = skin_model(skin_box(job, line), line, vertices=vertices or VERTICES)
        self.ends = self.model.rim(self.u, _END)
        self.skin: Mask = self.model.held_on(~self.model.in_line)
        self.closed = {held: self._bare(np.ones(len(self.skin), dtype=bool), held) for held in (True, False)}

    def _loads(self, rows: int, step: int, axes: tuple[int, int]) -> Floats:
        load = np.zeros(rows)
        for place, sign in ((0, -1.0), (1, 1.0)):
            load[step * place + axes[0]] = sign * self.u.x
            load[step * place + axes[1]] = sign * self.u.y
        return load

    def _bare(self, keep: Mask, held: bool) -> tuple[float, float]:
        rows = self.model.rows(self.ends)
        flat, bent = self.model.give(rows, keep, self.job.skin.thickness_mm, held=held)
        pull, fold = self._loads(4, 2, (0, 1)), self._loads(6, 3, (1, 2))
        return float(pull @ flat @ pull), float(fold @ bent @ fold)

    def kept(self, keep: Mask, held: bool, braces: Sequence[FittedBrace]) -> list[Kept]:
        """Return the stiffness kept without a brace, then with each of some braces.

        Parameters
        ----------
        keep : ndarray of bool
            Triangles of the skin that are there.
        held : bool
            Walls that hold the skin fast.
        braces : sequence of FittedBrace
            Each tried alone.
        """
        made = [brace_stiffness(b, self.job.skin.thickness_mm) for b in braces]
        feet = [self.model.near(Point(*map(float, p)), self.skin) for m in made for p in m.places]
        rows = self.model.rows([*self.ends, *feet])
        flat, bent = self.model.give(rows, keep, self.job.skin.thickness_mm, held=held)
        n = 2 + len(feet)
        pull, fold = self._loads(2 * n, 2, (0, 1)), self._loads(3 * n, 3, (1, 2))
        whole = self.closed[held]
        out = [Kept(whole[0] / float(pull @ flat @ pull), whole[1] / float(fold @ bent @ fold))]
        first = 2
        for m in made:
            at = np.arange(first, first + len(m.places))
            first += len(m.places)
            moved = _with_brace(flat, bent, pull, fold, at, m)
            out.append(Kept(whole[0] / moved[0], whole[1] / moved[1]))
        return out


@lru_cache(maxsize=4)
def across_of(job: Job, line: Contour, vertices: int | None = None) -> Across:
    """Return the skin of a job read across its opening; made once for choosing a brace and for the stages."""
    return Across(job, line, vertices)


def _with_brace(
    flat: Floats, bent: Floats, pull: Floats, fold: Floats, at: np.ndarray, brace: BraceStiffness
) -> tuple[float, float]:
    """Movement under pull and under fold with a brace fixed at some places: one small system over its freedoms."""
    n = len(at)
    f = (2 * at[:, None] + np.arange(2)).ravel()
    b = (3 * at[:, None] + np.arange(3)).ravel()
    to_flat = (5 * np.arange(n)[:, None] + np.arange(2)).ravel()
    to_bent = (5 * np.arange(n)[:, None] + 2 + np.arange(3)).ravel()
    own = np.zeros((5 * n, 5 * n))
    own[np.ix_(to_flat, to_flat)] = flat[np.ix_(f, f)]
    own[np.ix_(to_bent, to_bent)] = bent[np.ix_(b, b)]
    out = []
    for load, table, rows, to in ((pull, flat, f, to_flat), (fold, bent, b, to_bent)):
        reach = np.zeros(5 * n)
        reach[to] = table[rows] @ load
        held = brace.matrix @ np.linalg.solve(np.eye(5 * n) + own @ brace.matrix, reach)
        out.append(float(load @ table @ load) - float(reach @ held))
    return out[0], out[1]


def open_stiffness(
    job: Job, line: Contour, gone: Sequence[Contour], brace: FittedBrace | None, vertices: int | None = None
) -> Stiffness:
    """Return the stiffness across the pads over that of the closed skin, closed and after each section in order.

    Parameters
    ----------
    job : Job
        Skin, walls, pads.
    line : Contour
        Net line [mm].
    gone : sequence of Contour
        Sections in the order they fall [mm].
    brace : FittedBrace or None
        What is on meanwhile.
    vertices : int or None
        About how many vertices the mesh has [1].

    Notes
    -----
    Two loads act between the two ends of the opening's rim, spread along them: a pull in the skin's plane (the pads'
    pitch) and moments that fold the skin across it (the pads' flatness). Stiffness is load over mean relative movement. Of each stage the softer of the two ratios counts; the band spans held walls and walls that give way. The
    brace is joined at its own feet, at its own height: its eccentricity couples both. Where there are more than four
    sections, stages between are taken from the next one computed.
    """
    across = across_of(
        replace(job, planned=replace(job.planned, braces=None), origin=replace(job.origin, findings=())), line, vertices
    )
    model, count = across.model, len(gone)
    owner = _owners(model, line, gone)
    stages = sorted({0, count, *(round(count * k / _STAGES) for k in range(_STAGES + 1))})
    braces = [brace] if brace is not None else []
    bare: dict[int, list[float]] = {s: [] for s in stages}
    braced: dict[int, list[float]] = {s: [] for s in stages}
    for held in (True, False):
        for stage in stages:
            keep = across.skin if stage == count else model.held_on((owner < 0) | (owner >= stage))
            found = across.kept(keep, held, braces)
            bare[stage].append(found[0].least)
            braced[stage].append(found[-1].least)
    after, with_brace = _bands(bare, stages, count), _bands(braced, stages, count)
    needed = next((k for k, band in enumerate(after) if band.mid < LIMIT), None)
    return Stiffness(after, with_brace, LIMIT, needed, METHOD)


def _owners(model: SkinModel, line: Contour, gone: Sequence[Contour]) -> np.ndarray:
    """Index of the section that each triangle belongs to; -1 outside the line."""
    from shapely import Polygon, distance, points

    owner = np.full(len(model.in_line), -1)
    if not gone:
        return owner
    spots = points(model.centres[model.in_line])
    far = np.array([distance(Polygon(flatten_array(c, 0.1)), spots) for c in gone])
    owner[model.in_line] = np.argmin(np.round(far, 6), axis=0)
    return owner


def _bands(values: dict[int, list[float]], stages: list[int], count: int) -> tuple[Band, ...]:
    out = []
    for k in range(count + 1):
        pair = values[next(s for s in stages if s >= k)]
        out.append(Band(min(pair), 0.5 * sum(pair), max(pair), "1", METHOD))
    return tuple(out)
