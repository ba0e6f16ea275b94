"""Corner rules of an opening: radii that limit cracking, depths, bridges; each with where it comes from."""

from __future__ import annotations

#: Smallest re-entrant corner radius, execution class 2 and 3 [mm]: EN 1090-2, 6.7 (from memory).
EN1090_RADIUS_MM = 5.0
#: Corner radius of a drilled corner: the larger of 3 t and 8 mm. From memory: a default, no source read.
CORNER_T_FACTOR = 3.0
CORNER_LEAST_MM = 8.0
#: How far the tool may break through below the skin where the space behind was measured and holds no rib [mm].
#: Deeper shortens the disc's run-out on the face; our default; common practice goes no deeper than needed.
BREAKTHROUGH_MM = 8.0
#: The same over a rib, or where the depth behind the skin was not measured [mm]. Common practice.
TOUCH_MM = 1.0
#: Room to keep between the tool and the next wall, pipe or cable behind the skin [mm]. Common practice.
CLEAR_BEHIND_MM = 5.0
#: How far past a rib's far edge the tool goes when the rib is parted [mm]. Common practice.
PAST_RIB_MM = 2.0
#: Metal left as a bridge, measured on the face [mm]: 10 to 20 mm is usual (from memory).
BRIDGE_MM = 12.0
#: Distance from a rib within which the touching depth holds [mm]. Common practice.
RIB_ZONE_MM = 15.0


def corner_radius_mm(skin_thickness_mm: float) -> float:
    """Return the least corner radius of an opening in skin of a thickness [mm]: max(3 t, 8 mm), from memory."""
    return max(CORNER_T_FACTOR * skin_thickness_mm, CORNER_LEAST_MM)
