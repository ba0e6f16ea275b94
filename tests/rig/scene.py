"""What stands before the camera: card, strips, backing, light and lens."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from math import cos, radians, sin, tan

import numpy as np

from cutplan.geometry.contour import Contour, circle_contour, polyline
from cutplan.geometry.region import Region
from cutplan.geometry.vector import Point

QUARTER = tan(radians(22.5))


@dataclass(frozen=True)
class Lens:
    """Pixels, focal length [px], centre [px] and the polynomial from distorted to ideal radius (normalised)."""

    width: int = 4000
    height: int = 3000
    f: float = 3100.0
    cx: float = 2012.0
    cy: float = 1489.0
    a1: float = 0.05
    a2: float = -0.02
    b1: float = 0.0006
    b2: float = -0.0004

    def smaller(self, factor: float) -> Lens:
        """The same camera with fewer pixels."""
        return replace(
            self,
            width=int(self.width * factor),
            height=int(self.height * factor),
            f=self.f * factor,
            cx=(self.cx + 0.5) * factor - 0.5,
            cy=(self.cy + 0.5) * factor - 0.5,
        )


@dataclass(frozen=True)
class Strip:
    """One strip on the backing: its number, middle [mm], angle [deg], height of the whole and curl of its ends [mm]."""

    number: int
    x: float
    y: float
    angle_deg: float
    raised_mm: float = 0.0
    curl_mm: float = 0.0


@dataclass(frozen=True)
class View:
    """Where a photograph is taken from: tilt and direction it comes from [deg], distance [mm], roll [deg], aim [mm]."""

    tilt_deg: float
    from_deg: float
    distance_mm: float
    roll_deg: float = 0.0
    aim: tuple[float, float] = (0.0, 0.0)
    shift_px: tuple[float, float] = (0.0, 0.0)


@dataclass(frozen=True)
class Scene:
    """Everything that a render needs; reflectances are linear, 0 to 1, for red, green and blue."""

    card: Region
    strips: tuple[Strip, ...]
    views: tuple[View, ...]
    thickness_mm: float = 3.0
    bow_mm: float = 0.0
    lens: Lens = field(default_factory=Lens)
    print_scale: tuple[float, float] = (1.0, 1.0)
    face: tuple[float, float, float] = (0.46, 0.33, 0.21)
    wall: float = 0.75
    backing: tuple[float, float, float] = (0.05, 0.055, 0.065)
    ink: float = 0.035
    paper: float = 0.85
    texture: float = 0.05
    backing_texture: float = 0.15
    blur_px: float = 1.0
    noise: float = 0.006
    hard_shadow: bool = False
    sun: tuple[float, float] | None = None
    vignette: float = 0.15
    quality: int = 92
    tone_srgb: bool = True
    seed: int = 1


def plate_of_eleven() -> Region:
    """Return the card of the figures: 330 x 205 mm, 11 lines and arcs outside, 7 round holes, about its middle."""
    b = QUARTER
    corners = [
        (20.0, 0.0, 0.0),
        (305.0, 0.0, b),
        (330.0, 25.0, 0.0),
        (330.0, 100.0, 0.0),
        (322.0, 150.0, 0.0),
        (290.0, 205.0, 0.0),
        (200.0, 205.0, -1.0),
        (140.0, 205.0, 0.0),
        (40.0, 205.0, b),
        (0.0, 165.0, 0.0),
        (0.0, 20.0, b),
    ]
    holes = [
        (40.0, 35.0, 10.5),
        (290.0, 35.0, 10.5),
        (60.0, 160.0, 12.0),
        (165.0, 100.0, 40.0),
        (255.0, 150.0, 22.0),
        (250.0, 70.0, 16.0),
        (100.0, 60.0, 8.5),
    ]
    return moved(
        Region(polyline(corners), tuple(circle_contour(Point(x, y), 0.5 * d, ccw=False) for x, y, d in holes)),
        -165.0,
        -102.5,
    )


def moved(region: Region, dx: float, dy: float) -> Region:
    """Return the region moved [mm]."""
    return Region(region.outer.moved(dx, dy), tuple(h.moved(dx, dy) for h in region.holes))


def large_plate() -> Region:
    """Return a card of 600 x 400 mm of 8 lines and arcs with 4 holes, about its middle."""
    b = QUARTER
    outer = polyline(
        [
            (-270.0, -200.0, 0.0),
            (270.0, -200.0, b),
            (300.0, -170.0, 0.0),
            (300.0, 170.0, b),
            (270.0, 200.0, 0.0),
            (-270.0, 200.0, b),
            (-300.0, 170.0, 0.0),
            (-300.0, -170.0, b),
        ]
    )
    holes = [(-230.0, -140.0, 14.0), (230.0, -140.0, 14.0), (0.0, 40.0, 80.0), (200.0, 120.0, 20.0)]
    return Region(outer, tuple(circle_contour(Point(x, y), 0.5 * d, ccw=False) for x, y, d in holes))


def strips_round(width: float, height: float, seed: int = 3, many: int = 8) -> tuple[Strip, ...]:
    """Return strips laid by hand round a card of a size [mm]: none parallel, none at a round distance."""
    rng = np.random.default_rng(seed)
    u, v = 0.5 * width + 42.0, 0.5 * height + 42.0
    places = [
        (-0.27 * width, v, 0.0),
        (0.27 * width, v, 0.0),
        (u, 0.22 * height + 8, 90.0),
        (0.27 * width, -v, 0.0),
        (-0.27 * width, -v, 0.0),
        (-u, 0.0, 90.0),
        (u, -0.6 * height, 90.0),
        (-u - 30.0, -0.75 * height - 30, 80.0),
    ]
    out = []
    for i, (x, y, a) in enumerate(places[:many]):
        jitter = rng.uniform(-1.0, 1.0, 3)
        out.append(Strip(i, x + 4.0 * jitter[0], y + 4.0 * jitter[1], a + 2.5 * jitter[2]))
    return tuple(out)


def four_views(distance: float = 520.0, tilt: float = 15.0) -> tuple[View, ...]:
    """Return four photographs from four sides."""
    return tuple(
        View(tilt, 90.0 * i + 8.0, distance * (1.0 + 0.02 * i), 3.0 * i - 4.0, (3.0 * i - 5.0, 4.0 - 3.0 * i))
        for i in range(4)
    )


def main_scene() -> Scene:
    """Return the scene of the figures: the plate of eleven pieces, eight strips, four photographs of 12 MP."""
    card = turned(plate_of_eleven(), 4.0)
    return Scene(card, strips_round(345.0, 225.0), four_views())


def turned(region: Region, angle_deg: float) -> Region:
    """Return the region turned about the origin."""
    a = radians(angle_deg)
    return Region(region.outer.turned(a), tuple(h.turned(a) for h in region.holes))


def camera(view: View) -> tuple[np.ndarray, np.ndarray]:
    """Return (rotation from world to camera, place of the camera [mm]) of a view."""
    tilt, way = radians(view.tilt_deg), radians(view.from_deg)
    aim = np.array([*view.aim, 0.0])
    eye = aim + view.distance_mm * np.array([sin(tilt) * cos(way), sin(tilt) * sin(way), cos(tilt)])
    forward = (aim - eye) / np.linalg.norm(aim - eye)
    right = np.cross(forward, [0.0, 1.0, 0.0])
    right /= np.linalg.norm(right)
    down = np.cross(forward, right)
    c, s = cos(radians(view.roll_deg)), sin(radians(view.roll_deg))
    return np.stack([c * right + s * down, -s * right + c * down, forward]), eye


def contours(region: Region) -> list[Contour]:
    """Return the outline and the holes."""
    return [region.outer, *region.holes]
