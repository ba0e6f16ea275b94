"""Flatbed scans of a card with strips stuck on its face: no perspective, but a scanner that stretches and skews a little."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from scipy.ndimage import gaussian_filter

from cutplan.geometry.contour import circle_contour, rectangle
from cutplan.geometry.region import Region
from cutplan.geometry.vector import Point
from rig.render import Shape, _cover, _paint_strip
from rig.scene import Scene, Strip, main_scene

TILE = 128


@dataclass(frozen=True)
class Glass:
    """What one scan covers: middle [mm], size [mm], turn of the card on the glass [deg], its own stretch and skew."""

    x: float
    y: float
    width: float = 310.0
    height: float = 220.0
    turn_deg: float = 0.0
    stretch: tuple[float, float] = (1.0, 1.0)
    skew: float = 0.0


def long_card() -> Scene:
    """Return a card of 400 x 190 mm, longer than the glass, with four strips stuck on it and three holes."""
    outer = rectangle(-200.0, -95.0, 400.0, 190.0, 15.0)
    holes = [circle_contour(Point(x, y), 0.5 * d, ccw=False) for x, y, d in
             ((-175.0, 60.0, 11.0), (175.0, -60.0, 11.0), (-70.0, 5.0, 30.0))]  # fmt: skip
    strips = (
        Strip(0, -28.0, 0.0, 90.5),
        Strip(1, 26.0, 1.0, 88.0),
        Strip(2, -128.0, -2.0, 91.0),
        Strip(3, 128.0, 0.0, 270.0),
    )
    return replace(
        main_scene(),
        card=Region(outer, tuple(holes)),
        strips=strips,
        print_scale=(1.002, 0.9985),
        backing=(0.86, 0.86, 0.86),
        backing_texture=0.01,
        blur_px=0.8,
        noise=0.004,
    )


def scan(scene: Scene, glass: Glass, dpi: float = 150.0, seed: int = 0) -> np.ndarray:
    """Return a scan, (rows, columns, 3) bytes."""
    pixel = 25.4 / dpi
    rng = np.random.default_rng(seed)
    grain = gaussian_filter(np.random.default_rng(5).standard_normal((1024, 1024)), 1.0, mode="wrap")
    grain /= grain.std()
    shape = Shape(scene.card)
    wide, high = int(glass.width / pixel), int(glass.height / pixel)
    out = np.empty((high, wide, 3), dtype=np.float32)
    flat = replace(scene, strips=tuple(replace(s, raised_mm=-0.1) for s in scene.strips))  # pressed on the glass
    c, s = np.cos(np.radians(glass.turn_deg)), np.sin(np.radians(glass.turn_deg))
    for top in range(0, high, TILE):
        for left in range(0, wide, TILE):
            v, u = np.mgrid[top : min(top + TILE, high), left : min(left + TILE, wide)].astype(float)
            p = (u - 0.5 * wide) * pixel / glass.stretch[0]
            q = -(v - 0.5 * high) * pixel / glass.stretch[1] + glass.skew * p
            x, y = glass.x + c * p - s * q, glass.y + s * p + c * q
            face = _cover(shape.distance(x, y), pixel)
            cell = (np.floor(x * 4).astype(int) & 1023, np.floor(y * 4).astype(int) & 1023)
            top_colour = (1.0 + scene.texture * 0.5 * grain[cell])[..., None] * np.array(scene.face)
            colour = face[..., None] * top_colour + (1.0 - face)[..., None] * np.array(scene.backing)
            ray = np.stack([x, y, np.full(x.shape, -1.0)], axis=-1)
            for strip in flat.strips:
                _paint_strip(flat, strip, colour, ray, np.array([0.0, 0.0, 1.0]), pixel, grain)
            out[top : top + TILE, left : left + TILE] = colour
    for band in range(3):
        out[..., band] = gaussian_filter(out[..., band], scene.blur_px)
    out += scene.noise * rng.standard_normal(out.shape, dtype=np.float32)
    out = np.clip(out, 0.0, 1.0)
    return (255.0 * np.where(out <= 0.0031308, 12.92 * out, 1.055 * out ** (1 / 2.4) - 0.055) + 0.5).astype(np.uint8)
