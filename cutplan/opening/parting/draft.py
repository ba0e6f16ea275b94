"""Where the waste is cut across: several ways drafted, and the shortest that keeps every section within its limits."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from math import hypot, sqrt
from typing import TYPE_CHECKING

from cutplan.geometry.vector import Point
from cutplan.opening.cuts.across import prolonged, tee_nodes
from cutplan.opening.cuts.entries import entry_nodes
from cutplan.opening.cuts.nodes import Node, corner_nodes, sawn
from cutplan.opening.cuts.toolset import Toolset
from cutplan.opening.cuts.waste import Waste
from cutplan.opening.model import Drill
from cutplan.opening.parting.bound import Forced, forced_cuts
from cutplan.opening.parting.forcing import HAIR_MM, Forcing
from cutplan.opening.parting.places import Chord, Limits
from cutplan.opening.parting.search import shorter_cuts
from cutplan.opening.parting.split import (
    LEAST_MM,
    LEAST_MM2,
    axes_rad,
    parted,
    piece_mass_kg,
    splits,
    turned_chords,
    turned_limits,
    turned_poly,
)
from cutplan.pattern.job import Job
from cutplan.tables.by_hand.hand_tools import BESIDE_MM

if TYPE_CHECKING:
    from shapely import Polygon

#: Cut length over its lower bound above which a shorter way is searched, and above which nearer to corners and ribs [1].
FAR, STILL_FAR = 1.13, 1.14
#: What clear corners and ribs are worth in the searches, one after the other, over what they usually are [1].
_WORTH = (1.0, 0.3, 0.05)
#: A sliver between two cuts smaller than this is a chip, not a section [mm2]. Our own.
CHIP_MM2 = 60.0
#: By how much the limits are taken smaller when holes at the ends of cuts have made a section too large [mm], [1].
_TIGHTER = ((0.0, 1.0), (4.0, 0.96), (10.0, 0.9), (25.0, 0.8))
#: Longest sides tried where the mass is what limits a section, over the side of a square of that mass [1].
_SIDES = (0.9, 1.0, 1.12, 1.25)


@dataclass(frozen=True, slots=True)
class Draft:
    """One way to cut the waste across.

    Parameters
    ----------
    angle_rad : float
        The opening's axis [rad].
    chords, moved, longer : list of Chord
        Cuts from border to border, the same between hole centres, and prolonged to the path [mm].
    nodes, taken : list
        Holes on the path, and all holes so far.
    sections : list of shapely.Polygon
        What the waste falls into.
    excess : float
        How far the worst section is above its limit [1]; 0: none is.
    forced : Forced
        What no cuts can go below.
    """

    angle_rad: float
    chords: list[Chord]
    moved: list[Chord]
    longer: list[Chord]
    nodes: list[Node]
    taken: list[Drill]
    sections: list[Polygon]
    excess: float
    forced: Forced = Forced(0.0, 0.0)

    @property
    def cut_mm(self) -> float:
        """Length of the cuts across [mm]."""
        return sum(a.distance(b) for a, b in self.chords)


def drafted(job: Job, waste: Waste, kit: Toolset, limits: Limits, attempt: int = 0) -> Draft:
    """Return the shortest way found to part a piece of waste within its limits.

    Parameters
    ----------
    job : Job
        Skin and wishes.
    waste : Waste
        The piece.
    kit : Toolset
        Tools.
    limits : Limits
        Largest section.
    attempt : int
        How often the plan could not be proved: first cuts are kept clearer of corners and ribs, then none is searched
        for, then another of the ways that keep the limits is taken.

    Notes
    -----
    Where the cut length lies far above its lower bound a shorter way is searched. When every way leaves a section above its limit, because cuts were moved to holes, the limits are taken
    a little smaller; what is then still above is named in a finding.
    """
    by_saw = sawn(waste.path, kit.slot_mm, kit.least_line_mm)
    base = corner_nodes(waste, job.skin.thickness_mm, kit.run_out_mm, job.opening.corner_drill_mm, by_saw)
    avoid = tuple((n.drill.centre, n.drill.radius_mm) for n in base[0] if n.drill)
    # a cut that runs out towards a foot of the brace leaves the disc no room
    avoid += tuple((spot, _foot_room_mm(waste, spot, kit)) for spot in kit.around.posts)
    limits = replace(limits, avoid=avoid, avoid_mm=kit.tee_mm + 4.0)
    found: list[Draft] = []
    for draft in _ways(waste, kit, limits, base):
        found.append(draft)
        if sum(d.excess == 0.0 for d in found) >= max(1, attempt - len(_WORTH) + 1):
            break
    kept = [d for d in found if d.excess == 0.0]
    best = kept[min(max(0, attempt - len(_WORTH)), len(kept) - 1)] if kept else min(found, key=lambda d: d.excess)
    a = best.angle_rad
    forced = forced_cuts(waste.path_poly, limits, a)
    best = replace(best, forced=forced)
    if best.cut_mm <= 0.0 or _ratio(waste, best) <= FAR:
        return best
    turned = turned_poly(waste.path_poly, -a)
    forcing = Forcing.of(turned, limits, a)
    # first as clear of corner holes and ribs as a bench plan wants it, then, where that is still far off, less so
    for worth in _WORTH[: max(0, len(_WORTH) - attempt)]:
        if _ratio(waste, best) > (FAR if worth == 1.0 else STILL_FAR):
            local = turned_limits(replace(limits, worth=worth), -a)
            chords = shorter_cuts(forcing, local, best.cut_mm)
            if chords is not None:
                chords = [_to_path(waste, c) for c in turned_chords(chords, a)]
                other = _draft(waste, kit, limits, base, a, chords)
                best = replace(other, forced=best.forced) if other.excess <= best.excess else best
    return best


def _to_path(waste: Waste, chord: Chord) -> Chord:
    """A cut found on a thinned outline, its ends that lie beside the path brought onto it."""
    from shapely import LineString, get_coordinates

    ends = []
    for end, other in (chord, chord[::-1]):
        if waste.path.nearest(end)[1] < 2.0 * HAIR_MM:
            u = end.minus(other).unit()
            feeler = LineString([end.minus(u.times(4.0 * HAIR_MM)), end.plus(u.times(4.0 * HAIR_MM))])
            hits = [Point(x, y) for x, y in get_coordinates(feeler.intersection(waste.path_poly.exterior)).tolist()]
            end = min(hits, key=lambda p: round(p.distance(end), 9), default=end)
        ends.append(end)
    return ends[0], ends[1]


def _foot_room_mm(waste: Waste, foot: Point, kit: Toolset) -> float:
    """The radius round the middle of a foot within which no cut across may end [mm]."""
    return hypot(waste.path.nearest(foot)[1], 25.0 + BESIDE_MM) - kit.tee_mm - 4.0


def _ways(waste: Waste, kit: Toolset, limits: Limits, base: tuple[list[Node], list[Drill]]) -> Iterator[Draft]:
    """Drafts with the limits as they are, shortest first, then with smaller limits."""
    angles = axes_rad(waste.path_poly, limits.longest_mm)
    for less_mm, share in _TIGHTER:
        tight = replace(
            limits,
            longest_mm=limits.longest_mm - min(less_mm, 0.2 * limits.longest_mm),
            heaviest_kg=limits.heaviest_kg * share,
        )
        ways = [(a, c) for a in angles for size in _sizes_mm(waste, tight) for c in splits(waste.path_poly, size, a)]
        ways.sort(key=lambda w: round(sum(p.distance(q) + 4.0 for p, q in w[1]), 6))
        for a, chords in ways:
            yield _draft(waste, kit, limits, base, a, chords)


def _sizes_mm(waste: Waste, limits: Limits) -> list[Limits]:
    """The limits, and where the mass forbids sections as long as wide, others nearer to squares of that mass."""
    mass = piece_mass_kg(waste.path_poly, limits)
    side = sqrt(waste.path_poly.area * limits.heaviest_kg / mass)
    if mass <= limits.heaviest_kg or side >= limits.longest_mm:
        return [limits]
    return [limits, *(replace(limits, longest_mm=share * side) for share in _SIDES if share * side < limits.longest_mm)]


def _draft(
    waste: Waste,
    kit: Toolset,
    limits: Limits,
    base: tuple[list[Node], list[Drill]],
    angle_rad: float,
    chords: list[Chord],
) -> Draft:
    taken = list(base[1])
    chords = [*waste.necks, *chords]
    nodes, moved = tee_nodes(waste, chords, base[0], taken, kit)
    nodes = entry_nodes(waste, nodes, taken, kit)
    longer = prolonged(waste, moved, nodes)
    cells = parted(waste.path_poly, longer)
    sections = [c for c in cells if c.area >= CHIP_MM2] or cells
    return Draft(angle_rad, chords, moved, longer, nodes, taken, sections, _excess(waste, limits, angle_rad, sections))


def _excess(waste: Waste, limits: Limits, angle_rad: float, sections: list[Polygon]) -> float:
    """How far the worst section is above a limit [1]; a sliver counts as just above."""
    worst = 0.0
    for s in sections:
        x0, y0, x1, y1 = turned_poly(s, -angle_rad).bounds
        worst = max(
            worst, max(x1 - x0, y1 - y0) / limits.longest_mm - 1.0, piece_mass_kg(s, limits) / limits.heaviest_kg - 1.0
        )
        if (
            len(sections) > 1
            and (min(x1 - x0, y1 - y0) < 0.5 * LEAST_MM or s.area < 0.5 * LEAST_MM2)
            and (waste.path_poly.area > 4.0 * LEAST_MM2)
        ):
            worst = max(worst, 2e-6)
    return worst if worst > 1e-6 else 0.0


def _ratio(waste: Waste, draft: Draft) -> float:
    around = waste.path.length
    return (around + draft.cut_mm) / (around + draft.forced.straight_mm)
