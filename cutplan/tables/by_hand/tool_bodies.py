"""Hand tools as bodies: a few boxes and discs over and under the place that is cut, from sizes that a user may type.

Axes at the place of the cut: x the way it goes, y to its left, z up from the outer face of the skin [mm].
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import cos, radians, sin, sqrt

MEMORY = "workshop sizes, from memory"


@dataclass(frozen=True, slots=True)
class Block:
    """A box: low and high x, y, z [mm]."""

    x0: float
    x1: float
    y0: float
    y1: float
    z0: float
    z1: float

    def reach(self, low_mm: float, high_mm: float) -> tuple[float, float, float, float] | None:
        """Return (x0, x1, y0, y1) that it covers between two heights [mm]; None where it has nothing there."""
        return (self.x0, self.x1, self.y0, self.y1) if self.z0 < high_mm and self.z1 > low_mm else None


@dataclass(frozen=True, slots=True)
class Wheel:
    """A flat cylinder that stands on its rim: axis along y at a height, radius, low and high y [mm]."""

    height: float
    radius: float
    y0: float
    y1: float

    def reach(self, low_mm: float, high_mm: float) -> tuple[float, float, float, float] | None:
        """Return (x0, x1, y0, y1) that it covers between two heights [mm]; exact: its widest chord there."""
        low, high = max(low_mm, self.height - self.radius), min(high_mm, self.height + self.radius)
        if low >= high:
            return None
        off = 0.0 if low <= self.height <= high else min(abs(low - self.height), abs(high - self.height))
        half = sqrt(max(0.0, self.radius**2 - off**2))
        return (-half, half, self.y0, self.y1)


Part = Block | Wheel


@dataclass(frozen=True, slots=True)
class ToolSize:
    """Sizes of a tool that decide where it fits; a user's own may be typed in the job file.

    Parameters
    ----------
    front_mm, back_mm : float
        How far shoe, hand or head reach ahead of the place that is cut and behind it [mm].
    side_mm : float
        How far they reach to either side, on the skin [mm].
    height_mm : float
        Height of the whole tool above the skin while it cuts [mm].
    blade_mm : float
        How far blade or bit reach below the face at the low end of the stroke [mm]; 0: by its depth setting.
    stroke_mm : float
        Stroke of a blade [mm].
    source : str
        Where the sizes come from.
    """

    front_mm: float
    back_mm: float
    side_mm: float
    height_mm: float
    blade_mm: float = 0.0
    stroke_mm: float = 0.0
    source: str = MEMORY


#: Sizes of middling tools of each kind; an angle grinder's own follow from its disc.
SIZES: dict[str, ToolSize] = {
    "cut-off disc": ToolSize(0.0, 0.0, 10.0, 0.0),
    "jigsaw": ToolSize(45.0, 105.0, 38.0, 200.0, 60.0, 26.0),
    "reciprocating saw": ToolSize(25.0, 25.0, 25.0, 450.0, 110.0, 28.0),
    "hacksaw": ToolSize(20.0, 160.0, 25.0, 90.0, 40.0, 60.0),
    "hand plasma": ToolSize(16.0, 180.0, 16.0, 120.0),
    # a drill with an angle head, its handle to any side
    "drilled row": ToolSize(13.0, 150.0, 13.0, 115.0),
    "drill": ToolSize(22.0, 22.0, 22.0, 300.0),
    "hole saw": ToolSize(45.0, 45.0, 45.0, 330.0),
}
#: Angle grinder: guard beyond the disc's rim, guard to either side, gear head radius and its far end, motor radius and
#: length [mm]. From memory.
_GUARD_MM, _GUARD_SIDE_MM = 6.0, 9.0
_HEAD_RADIUS_MM, _HEAD_MM, _MOTOR_RADIUS_MM, _MOTOR_MM = 28.0, 75.0, 34.0, 260.0


def grinder_size(disc_mm: float) -> ToolSize:
    """Return the sizes of an angle grinder with a disc of a diameter [mm], at the least depth."""
    return replace(SIZES["cut-off disc"], front_mm=0.5 * disc_mm, back_mm=_MOTOR_MM, height_mm=disc_mm + _GUARD_MM)


#: How far the motor of a grinder may be raised over the cut [deg]: the ways to hold it that are tried.
TILTS_DEG = (0.0, 25.0, 50.0)


def tilts(tool: str) -> tuple[float, ...]:
    """Return the ways to hold a tool that are tried [deg]: only a grinder can be raised."""
    return TILTS_DEG if tool == "cut-off disc" else (0.0,)


def body(tool: str, size: ToolSize, depth_mm: float, disc_mm: float = 0.0, tilt_deg: float = 0.0) -> tuple[Part, ...]:
    """Return the parts of a tool at its cut; the motor of a grinder is on the left and behind.

    Parameters
    ----------
    tool : str
        Name of the tool.
    size : ToolSize
        Its sizes.
    depth_mm : float
        How deep it is set below the face [mm].
    disc_mm : float
        Diameter of a cut-off disc [mm].
    tilt_deg : float
        How far the motor of a grinder is raised [deg].
    """
    s = size
    if tool == "cut-off disc":
        r = 0.5 * disc_mm
        axis = r - depth_mm
        return (
            Wheel(axis, r, -1.0, 1.0),
            Block(-r - _GUARD_MM, r + _GUARD_MM, -s.side_mm, _GUARD_SIDE_MM, axis, axis + r + _GUARD_MM),
            Block(-_HEAD_RADIUS_MM, _HEAD_RADIUS_MM, 0.0, _HEAD_MM, axis - _HEAD_RADIUS_MM, axis + _HEAD_RADIUS_MM),
            *_motor(axis, tilt_deg),
        )
    if tool == "hand plasma":
        return (
            Block(-s.front_mm, s.front_mm, -s.side_mm, s.side_mm, 2.0, 45.0),
            Block(-s.back_mm, s.front_mm, -s.side_mm, s.side_mm, 40.0, s.height_mm),
        )
    if tool == "drilled row":
        # the bit stands out by 25 mm, the handle is higher than the head's lower end
        return (
            Block(-s.front_mm, s.front_mm, -s.side_mm, s.side_mm, 25.0, s.height_mm),
            Block(-s.back_mm, 0.0, -25.0, 25.0, 55.0, s.height_mm),
        )
    if tool in ("drill", "hole saw"):
        # bit or cup, then chuck and machine; the bit of a drill stands out by 60 mm
        free = 60.0 if tool != "hole saw" else 40.0
        return (Block(-s.back_mm, s.front_mm, -s.side_mm, s.side_mm, free, s.height_mm),)
    blade = Block(-10.0, 0.0, -0.7, 0.7, -s.blade_mm, 0.0)
    if tool == "jigsaw":
        return (
            blade,
            Block(-s.back_mm, s.front_mm, -s.side_mm, s.side_mm, 0.0, 6.0),
            Block(-s.back_mm - 45.0, s.front_mm - 20.0, -33.0, 33.0, 6.0, s.height_mm),
        )
    # held by hand, the shoe or the fingers near the skin
    return (blade, Block(-s.back_mm, s.front_mm, -s.side_mm, s.side_mm, 5.0, s.height_mm))


def _motor(axis_mm: float, tilt_deg: float) -> tuple[Block, ...]:
    """The motor of a grinder, raised from the cut by an angle: four lengths of it, each in its own box."""
    c, s = cos(radians(tilt_deg)), sin(radians(tilt_deg))
    step, r = 0.25 * _MOTOR_MM, _HEAD_RADIUS_MM
    return tuple(
        Block(
            -(k + 1) * step * c - r * s,
            -k * step * c + r * s,
            12.0,
            12.0 + 2.0 * _MOTOR_RADIUS_MM,
            axis_mm + k * step * s - r * c,
            axis_mm + (k + 1) * step * s + _MOTOR_RADIUS_MM * c,
        )
        for k in range(4)
    )
