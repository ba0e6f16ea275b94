"""Places from distances as built: only points that readings link to one another have places to one another."""

from __future__ import annotations

from collections.abc import Sequence

from cutplan.geometry.vector import Point
from cutplan.inspection.readings import Reading
from cutplan.survey.network import Adjusted, Distance, adjust
from cutplan.texts.by_id import told

#: A distance, its misfit [mm], and which others could as well be the wrong one.
Odd = tuple[Reading, float, str]


def linked_places(
    plan: dict[str, Point], distances: Sequence[Reading], lang: str
) -> tuple[list[tuple[str, Point]], dict[str, float], list[Odd]]:
    """Return the places of the largest group of points that are linked by readings, their errors, and what does not fit.

    Parameters
    ----------
    plan : dict of str to Point
        Planned places [mm].
    distances : sequence of Reading
        Distances read.
    lang : str
        Language of what could as well be wrong.

    Notes
    -----
    A group that no reading ties to another could stand anywhere beside it: its distances are judged, its points have no
    place in the picture, and the best fit does not rest on them.
    """
    groups = _groups(plan, distances)
    found: list[tuple[str, Point]] = []
    errors: dict[str, float] = {}
    odd: list[Odd] = []
    for k, group in enumerate(groups):
        own = [r for r in distances if r.name in group]
        net = _adjusted(plan, group, own)
        for i, rivals in zip(net.left_out, net.rivals, strict=True):
            names = ", ".join(own[j].label for j in rivals[:6])
            others = " " + told("inspect.rivals", lang, which=names) if rivals else ""
            odd.append((own[i], net.residuals_mm[i], others))
        if k == 0:
            found = list(zip(group, net.points, strict=True))
            errors = {n: net.error_mm(j) for j, n in enumerate(group)}
    return found, errors, odd


def _groups(plan: dict[str, Point], distances: Sequence[Reading]) -> list[list[str]]:
    """Names linked by readings, each group in the order of the plan, the largest group first."""
    groups: list[set[str]] = []
    for r in distances:
        both = {r.name, r.to}
        joined = [g for g in groups if g & both]
        groups = [g for g in groups if not g & both] + [both.union(*joined)]
    ordered = [[n for n in plan if n in g] for g in groups]
    return sorted(ordered, key=lambda g: (-len(g), list(plan).index(g[0])))


def _adjusted(plan: dict[str, Point], involved: Sequence[str], distances: Sequence[Reading]) -> Adjusted:
    """The points that distances name, moved as little as possible from the plan."""
    index = {n: k for k, n in enumerate(involved)}
    rows = [Distance(index[r.name], index[r.to], float(r.measured_mm or 0.0)) for r in distances]
    return adjust([plan[n] for n in involved], rows, range(len(involved)), planned=True)
