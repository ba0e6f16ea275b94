"""After the weld: what the modified skin is worth against the unmodified, as ratios of stiffness at the pads."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from cutplan.fem.mesh import Floats
from cutplan.geometry.contour import Contour
from cutplan.geometry.flatten import flatten_array
from cutplan.geometry.vector import Point
from cutplan.opening.brace.model import PadWorth
from cutplan.opening.datum import held_places
from cutplan.pattern.brace_designs import skin_box
from cutplan.pattern.job import Job
from cutplan.tables.band import Band, spread
from cutplan.texts import Message, say

if TYPE_CHECKING:
    from cutplan.opening.brace.skin_model import Mask, SkinModel

#: About how many vertices the mesh has: the ratios of a stepped plate are then within 3 % of the formula.
_VERTICES = 700
#: The skin goes on beyond a lapped plate by so much at least [mm].
_BEYOND_MM = 6.0
METHOD = say(
    "skin between its walls and plate as a thin plate of triangles, pushed at each pad in its plane and out of it, before "
    "and after; the band spans walls that hold and walls that give way, and of a lap layers that work together or apart; "
    "holes, ribs, the step between the middle planes and the box's twist are left out"
)


@dataclass(frozen=True, slots=True, eq=False)
class Layers:
    """Thickness of each triangle [mm], in the plane and for bending, and which are there: one way to take the joint."""

    keep: Mask
    flat_mm: Floats
    bent_mm: Floats


def skin_worth(job: Job, line: Contour, vertices: int = _VERTICES) -> tuple[PadWorth, ...]:
    """Return the stiffness of the modified skin over that of the unmodified at each pad; empty without pads and holes.

    Parameters
    ----------
    job : Job
        Skin, plate, joint, pads.
    line : Contour
        Net line of the opening [mm].
    vertices : int
        About how many vertices the mesh has [1].

    Notes
    -----
    The plate's own thickness stands inside the line (butt) or inside its outline (lap). Where both lie on one another the
    layers bend as one piece at best, each for itself at worst. Along edges without weld the strip of triangles beside the
    line is taken as gone at worst. Steel is as stiff whatever its grade, so the grade does not matter here: it does for
    strength, which this is not.
    """
    places = held_places(job)
    if not places:
        return ()
    from cutplan.opening.brace.skin_model import skin_model  # the solver: only where it is computed

    lap = job.joint.kind == "lap" and job.joint.overlap_mm > 0.0
    box = skin_box(job, line)
    if lap:  # a lapped plate may reach the walls
        box = box.joined(job.plate.outline.box.grown(_BEYOND_MM))
    model = skin_model(box, line, [job.plate.outline] if lap else [], vertices)
    ways = joints(job, model, line)
    return worth_at(model, job.skin.thickness_mm, ways, places)


def worth_at(
    model: SkinModel, skin_mm: float, ways: Sequence[Layers], places: Sequence[tuple[str, Point]]
) -> tuple[PadWorth, ...]:
    """Return the ratios at some places for several ways to take the joint.

    Parameters
    ----------
    model : SkinModel
        The meshed skin.
    skin_mm : float
        Thickness of the unmodified skin [mm].
    ways : sequence of Layers
        Each a modified skin.
    places : sequence of (str, Point)
        Names and places [mm].

    Notes
    -----
    In the plane the softest direction of a push counts, out of it the softer of a push and of a tilt about the softest
    axis: the least ratio of all directions is the least eigenvalue of the one compliance measured by the other.
    """
    whole: Mask = np.ones(len(model.in_line), dtype=bool)
    flat: dict[str, list[float]] = {n: [] for n, _ in places}
    bent: dict[str, list[float]] = {n: [] for n, _ in places}
    for held in (True, False):
        rows = model.rows([model.near(p, whole) for _, p in places])
        before = model.give(rows, whole, skin_mm, held=held)
        for way in ways:
            keep = model.held_on(way.keep)
            now = model.rows([model.near(p, keep) for _, p in places])
            after = model.give(now, keep, way.flat_mm, held=held, bent_mm=way.bent_mm)
            for k, (name, _) in enumerate(places):
                two, push = slice(2 * k, 2 * k + 2), slice(3 * k, 3 * k + 1)
                tilt = slice(3 * k + 1, 3 * k + 3)
                flat[name].append(least_ratio(before[0][two, two], after[0][two, two]))
                bent[name].append(min(least_ratio(before[1][s, s], after[1][s, s]) for s in (push, tilt)))
    return tuple(PadWorth(n, _band(flat[n]), _band(bent[n])) for n, _ in places)


def least_ratio(before: Floats, after: Floats) -> float:
    """Return the least ratio of stiffness after over before, over all directions of the load [1].

    Parameters
    ----------
    before, after : ndarray (k, k)
        Compliance between the loads [mm/N or rad/(N mm)].
    """
    from scipy.linalg import eigh

    return float(eigh(before, after, eigvals_only=True)[0])


def _band(values: Sequence[float]) -> Band:
    return spread(tuple(values), "1", METHOD, 0.5 * (min(values) + max(values)))


def joints(job: Job, model: SkinModel, line: Contour) -> tuple[Layers, ...]:
    """Return the ways to take the joint: as good as it can be, and as bad.

    Parameters
    ----------
    job : Job
        Plate, skin, joint.
    model : SkinModel
        Meshed along the line and, for a lap, along the plate's outline.
    line : Contour
        Net line of the opening [mm].
    """
    skin, plate = job.skin.thickness_mm, job.plate.thickness_mm
    whole: Mask = np.ones(len(model.in_line), dtype=bool)
    one = np.where(model.in_line, plate, skin)
    loose = _beside_unwelded(job, model, line)
    if job.joint.kind != "lap" or job.joint.overlap_mm <= 0.0:
        good = Layers(whole, one, one)
        return (good,) if not loose.any() else (good, Layers(~loose, one, one))
    from cutplan.fem.outline import inside

    both = inside(model.centres, [flatten_array(job.plate.outline, 0.1)]) & ~model.in_line
    flat = np.where(both, skin + plate, one)
    apart = np.where(both, (skin**3 + plate**3) ** (1.0 / 3.0), one)
    # at worst an edge without weld carries nothing across: the plate's strip on the skin there counts for nothing
    flat_loose, apart_loose = np.where(loose & both, skin, flat), np.where(loose & both, skin, apart)
    return Layers(whole, flat, flat), Layers(~(loose & model.in_line), flat_loose, apart_loose)


def _beside_unwelded(job: Job, model: SkinModel, line: Contour) -> Mask:
    """Triangles on the plate's side that touch the line, or a lapped plate's outline, along edges without weld."""
    from shapely import LineString, distance, points, union_all

    from cutplan.opening.cuts.edges import sub_path

    gone: Mask = np.zeros(len(model.in_line), dtype=bool)
    outline = job.plate.outline
    spans = [(s.start_mm, s.end_mm if s.end_mm > s.start_mm else s.end_mm + outline.length) for s in job.joint.unwelded]
    runs = [[q for s, _ in sub_path(outline, a, b) for q in (s.start, s.point_at(0.5), s.end)] for a, b in spans]
    lines = [LineString([tuple(q) for q in run]) for run in runs if len(run) > 1]
    if not lines:
        return gone
    reach = job.joint.gap_mm if job.joint.kind == "butt" else job.joint.overlap_mm
    near = distance(points(model.mesh.points), union_all(lines)) <= reach + 1.0
    rim = np.zeros(len(model.mesh.points), dtype=bool)
    for chain in model.mesh.chains[1:]:
        rim[chain.nodes] = True
    touching = (near & rim)[model.mesh.triangles].sum(axis=1) >= 2
    inner = model.in_line if job.joint.kind == "butt" else np.ones(len(gone), dtype=bool)
    return np.asarray(touching & inner)


def caution_said() -> Message:
    """Return what the figures are not."""
    return say(
        "Stiffness by a model, not strength: it says nothing of cracks, of fatigue or of what the weld carries. Ribs that were "
        "parted count for nothing on either side: what they carried is lost unless they are joined to the plate again."
    )
