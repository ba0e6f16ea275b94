"""Inside corners of a part: where a round kerf leaves metal."""

from __future__ import annotations

from dataclasses import dataclass
from math import acos, pi, sin

from cutplan.geometry.contour import Contour
from cutplan.geometry.region import Region
from cutplan.geometry.segment import Arc

#: Right turn above which a joint counts as an inside corner [rad] (two degrees).
CORNER_RAD = 0.035


@dataclass(frozen=True, slots=True)
class InsideCorner:
    """An inside corner of the part: place along the contour [mm], its radius [mm] and its angle in the waste [rad]."""

    x_mm: float
    y_mm: float
    radius_mm: float
    angle_rad: float

    def left_over_mm(self, kerf_mm: float) -> float:
        """Return how far the uncut metal stands out of the corner [mm]: (k/2 - r) (1/sin(angle/2) - 1), exact."""
        return max(0.5 * kerf_mm - self.radius_mm, 0.0) * (1.0 / max(sin(0.5 * self.angle_rad), 1e-3) - 1.0)


def inside_corners(region: Region) -> tuple[tuple[InsideCorner, ...], ...]:
    """Return the inside corners of each contour of a region (outer first): sharp ones, and fillets by their radius."""
    return tuple(_corners(c) for c in region.contours)


def _corners(contour: Contour) -> tuple[InsideCorner, ...]:
    found: list[InsideCorner] = []
    segments = contour.segments
    for i, s in enumerate(segments):
        if isinstance(s, Arc) and s.sweep < 0.0 and not s.is_circle:
            middle = s.point_at(0.5)
            found.append(InsideCorner(middle.x, middle.y, s.radius, max(0.0, pi + s.sweep)))
        following = segments[(i + 1) % len(segments)]
        d0, d1 = s.end_direction, following.start_direction
        turn = acos(max(-1.0, min(1.0, d0.dot(d1))))
        if d0.cross(d1) < 0.0 and turn > CORNER_RAD:
            found.append(InsideCorner(s.end.x, s.end.y, 0.0, pi - turn))
    return tuple(found)
