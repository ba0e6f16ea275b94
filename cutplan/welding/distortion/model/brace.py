"""A brace as springs: a bar fixed at points of plate or skin, brought to independent stretches with their stiffness."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cutplan.errors import JobError
from cutplan.fem.along import Row
from cutplan.fem.mesh import Floats, Ints
from cutplan.fem.outline import inside
from cutplan.texts import say
from cutplan.welding.distortion.model.bodies import Body
from cutplan.welding.distortion.model.rows import RowTable
from cutplan.welding.distortion.task import BracePath, FixedBrace

#: Stretches softer than this share of the stiffest are left out: movements of the bar as a whole, and rounding.
_SOFTEST = 1e-11
#: Twisting stiffness of the bar as a share of its bending stiffness [1]; a judgement for closed sections.
_TWIST_SHARE = 0.5


@dataclass(frozen=True, slots=True, eq=False)
class BraceSprings:
    """Independent stretches of a brace.

    Parameters
    ----------
    body, vertex : ndarray of int
        Sheet (0 plate, 1 skin) and vertex of each fixing.
    shape : ndarray (k, fixings, 5)
        Stretch as a weighted sum of (x, y, height, slope x, slope y) at the fixings.
    give : ndarray (k,)
        Compliance of each stretch.
    """

    body: Ints
    vertex: Ints
    shape: Floats
    give: Floats

    def add_rows(self, table: RowTable, row: int) -> None:
        """Add one row per stretch from `row` on."""
        for k, shape in enumerate(self.shape):
            for body, vertex, part in zip(self.body, self.vertex, shape, strict=True):
                table.add(row + k, 2 * body, Row(np.array([2 * vertex, 2 * vertex + 1]), part[:2]), 1.0)
                table.add(row + k, 2 * body + 1, Row(3 * vertex + np.arange(3), part[2:]), 1.0)


def make_brace(brace: BracePath | FixedBrace, bodies: tuple[Body, Body]) -> BraceSprings:
    """Return the springs of a brace fixed at the vertices nearest to its points.

    Parameters
    ----------
    brace : BracePath or FixedBrace
        Points and section, or fixings and stiffness.
    bodies : (Body, Body)
        Plate and skin.

    Raises
    ------
    JobError
        With fewer than two different fixings.
    """
    if isinstance(brace, FixedBrace):
        body = np.where(brace.on_plate, 0, 1)
        vertex = _nearest(bodies, body, brace.places)
        return _sprung(body, vertex, brace.places, brace.matrix)
    points = np.array(brace.points, dtype=float)
    body = np.where(inside(points, [bodies[0].sheet.outer]), 0, 1)
    vertex = _nearest(bodies, body, points)
    place = np.array([bodies[b].mesh.points[v] for b, v in zip(body, vertex, strict=True)])
    keep = [0]
    for i in range(1, len(place)):
        if np.hypot(*(place[i] - place[keep[-1]])) > 1e-6:
            keep.append(i)
    if len(keep) < 2:
        raise JobError(say("a brace needs two fixings that are apart"), "brace", say("move its ends apart"))
    return _sprung(body[keep], vertex[keep], place[keep], _bar(place[keep], brace))


def _nearest(bodies: tuple[Body, Body], body: Ints, points: Floats) -> Ints:
    return np.array([int(bodies[b].mesh.nearest(p)[0]) for b, p in zip(body, points, strict=True)])


def _sprung(body: Ints, vertex: Ints, place: Floats, stiffness: Floats) -> BraceSprings:
    """Stiffness at fixings brought to independent stretches."""
    # slopes scaled by a length, so that all freedoms are lengths when the weak stretches are told from the stiff
    scale = np.ones(5 * len(place))
    scale.reshape(-1, 5)[:, 3:] = 1.0 / float(np.hypot(*np.ptp(place, axis=0)))
    value, vector = np.linalg.eigh(stiffness * scale[:, None] * scale[None, :])
    strong = value > _SOFTEST * value[-1]
    shape = (vector[:, strong] / scale[:, None]).T.reshape(-1, len(place), 5)
    return BraceSprings(body, vertex, shape, 1.0 / value[strong])


def make_magnets(plate: Body, stiff_N_per_mm: float) -> BraceSprings:
    """Return what keeps a plate flush while it is welded: springs against lift and tilt of its rim.

    Parameters
    ----------
    plate : Body
        The plate.
    stiff_N_per_mm : float
        Stiffness of all magnets and clamps together, spread evenly along the rim [N/mm].
    """
    rim = plate.mesh.chains[0].nodes
    place = plate.mesh.points[rim]
    step = np.hypot(*(np.roll(place, -1, axis=0) - np.roll(place, 1, axis=0)).T)
    share = step / step.sum()
    off = place - share @ place
    # lift, then tilt about the two main axes of the rim, each scaled to its own spread
    second = (off * share[:, None]).T @ off
    spread, axes = np.linalg.eigh(second)
    modes = np.vstack([np.ones(len(rim)), (off @ axes / np.sqrt(spread)).T])
    shape = np.zeros((3, len(rim), 5))
    shape[:, :, 2] = modes * share
    return BraceSprings(np.zeros(len(rim), dtype=np.int64), rim, shape, np.full(3, 1.0 / stiff_N_per_mm))


def _bar(place: Floats, brace: BracePath) -> Floats:
    """Stiffness of a bar along fixings on (x, y, height, slope x, slope y) of each; hinged about the upright axis."""
    size = 5 * len(place)
    total = np.zeros((size, size))
    bend = brace.modulus_N_per_mm2 * brace.second_moment_mm4
    for i in range(len(place) - 1):
        run = place[i + 1] - place[i]
        length = float(np.hypot(*run))
        c, s = run / length
        along = np.array([[c, s, 0.0, 0.0, 0.0]])
        ends = np.zeros((3, 10))
        ends[0, :5], ends[0, 5:] = -along[0], along[0]
        ends[1, 3:5] = ends[2, 8:10] = (c, s)
        ends[1:, 2], ends[1:, 7] = 1.0 / length, -1.0 / length
        twist = np.zeros((1, 10))
        twist[0, 3:5], twist[0, 8:10] = (s, -c), (-s, c)
        law = np.zeros((3, 3))
        law[0, 0] = brace.modulus_N_per_mm2 * brace.area_mm2 / length
        law[1:, 1:] = bend / length * np.array([[4.0, 2.0], [2.0, 4.0]])
        part = ends.T @ law @ ends + _TWIST_SHARE * bend / length * twist.T @ twist
        at = slice(5 * i, 5 * i + 10)
        total[at, at] += part
    return total
