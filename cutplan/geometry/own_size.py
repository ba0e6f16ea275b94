"""Length and width of an outline along its own axes: what a fabricator would measure on a slot at an angle."""

from __future__ import annotations

from dataclasses import dataclass
from math import atan2, degrees, pi

from cutplan.geometry.contour import Contour
from cutplan.geometry.segment import Line


@dataclass(frozen=True, slots=True)
class OwnSize:
    """Length and width [mm], length >= width, and the direction of the length from x, 0 to below 180 [deg]."""

    length_mm: float
    width_mm: float
    angle_deg: float


def own_size(contour: Contour) -> OwnSize:
    """Return the smallest box of an outline with a side along one of its straight lines, or along x.

    Parameters
    ----------
    contour : Contour
        Lines and arcs [mm].

    Returns
    -------
    OwnSize
        Exact for outlines with at least one straight side along their length, such as slots and rectangles; for others
        the box along x and y.
    """
    angles = {0.0}
    for s in contour.segments:
        if isinstance(s, Line):
            d = s.end.minus(s.start)
            angles.add(round(atan2(d.y, d.x) % (0.5 * pi), 12))
    best: OwnSize | None = None
    for angle in sorted(angles)[:200]:
        box = contour.turned(-angle).box if angle else contour.box
        along = angle if box.width >= box.height else angle + 0.5 * pi
        size = OwnSize(max(box.width, box.height), min(box.width, box.height), degrees(along) % 180.0)
        if best is None or size.length_mm * size.width_mm < best.length_mm * best.width_mm * (1.0 - 1e-9):
            best = size
    assert best is not None, "there is always the box along x"
    return best
