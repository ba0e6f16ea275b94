"""The photographs of a scene: one ray for each pixel, edges covered by area, then blur, noise and JPEG."""

from __future__ import annotations

import io
from math import pi

import numpy as np
from PIL import Image
from scipy.ndimage import gaussian_filter
from shapely import Polygon, contains_xy, prepare

from cutplan.geometry.region import Region
from cutplan.geometry.segment import Arc, Line
from cutplan.photo.marking import marks
from rig.scene import Scene, Strip, View, camera, contours

TILE = 128


class Shape:
    """Signed distance to a region's edge [mm], negative inside."""

    def __init__(self, region: Region) -> None:
        self.segments = [s for c in contours(region) for s in c.segments]
        self.polygon = Polygon(_dense(region.outer), [_dense(h) for h in region.holes])
        prepare(self.polygon)

    def near(self, x: np.ndarray, y: np.ndarray) -> list[object]:
        """Segments whose boxes come near a tile."""
        x0, x1, y0, y1 = x.min() - 3.0, x.max() + 3.0, y.min() - 3.0, y.max() + 3.0
        return [s for s in self.segments if s.box.xmin < x1 and s.box.xmax > x0 and s.box.ymin < y1 and s.box.ymax > y0]

    def distance(self, x: np.ndarray, y: np.ndarray) -> np.ndarray:
        near = self.near(x, y)
        if not near:
            inside = bool(contains_xy(self.polygon, x.flat[0], y.flat[0]))
            return np.full(x.shape, -9.0 if inside else 9.0)
        gap = np.full(x.shape, 9.0)
        for s in near:
            np.minimum(gap, _distance(s, x, y), out=gap)
        return np.where(contains_xy(self.polygon, x, y), -gap, gap)


def _distance(s: object, x: np.ndarray, y: np.ndarray) -> np.ndarray:
    if isinstance(s, Line):
        dx, dy = s.end.x - s.start.x, s.end.y - s.start.y
        t = np.clip(((x - s.start.x) * dx + (y - s.start.y) * dy) / (dx * dx + dy * dy), 0.0, 1.0)
        return np.hypot(x - s.start.x - t * dx, y - s.start.y - t * dy)
    assert isinstance(s, Arc)
    away = np.abs(np.hypot(x - s.centre.x, y - s.centre.y) - s.radius)
    if s.is_circle:
        return away
    turn = np.arctan2(y - s.centre.y, x - s.centre.x) - s.start_angle
    along = np.mod(turn if s.sweep > 0 else -turn, 2 * pi)
    ends = np.minimum(np.hypot(x - s.start.x, y - s.start.y), np.hypot(x - s.end.x, y - s.end.y))
    return np.where(along <= abs(s.sweep), away, ends)


def _dense(contour) -> list[tuple[float, float]]:  # type: ignore[no-untyped-def]
    out = []
    for s in contour.segments:
        n = 1 if isinstance(s, Line) else max(8, int(abs(s.sweep) * (s.radius / 0.002) ** 0.5))
        out += [tuple(s.point_at(i / n)) for i in range(n)]
    return out


def render(scene: Scene, view: View, index: int = 0) -> np.ndarray:
    """Return one photograph, (height, width, 3) bytes."""
    lens = scene.lens
    rng = np.random.default_rng(1000 * scene.seed + index)
    grain = np.random.default_rng(5).standard_normal((1024, 1024)).astype(np.float32)
    grain = gaussian_filter(grain, 1.0, mode="wrap")
    grain /= grain.std()
    rough = gaussian_filter(grain, 4.0, mode="wrap")
    rough /= rough.std()
    rotation, eye = camera(view)
    shape = Shape(scene.card)
    light = np.empty((lens.height, lens.width, 3), dtype=np.float32)
    for top in range(0, lens.height, TILE):
        for left in range(0, lens.width, TILE):
            v, u = np.mgrid[top : min(top + TILE, lens.height), left : min(left + TILE, lens.width)].astype(float)
            ray = _rays(lens, view, u, v, rotation)
            light[top : top + TILE, left : left + TILE] = _tile(scene, shape, ray, eye, grain, rough)
    for band in range(3):
        light[..., band] = gaussian_filter(light[..., band], scene.blur_px)
    sigma = scene.noise * np.sqrt(0.1 + light)
    light += sigma * rng.standard_normal(light.shape, dtype=np.float32)
    np.clip(light, 0.0, 1.0, out=light)
    if scene.tone_srgb:
        light = np.where(light <= 0.0031308, 12.92 * light, 1.055 * np.power(light, 1 / 2.4) - 0.055)
    return (255.0 * light + 0.5).astype(np.uint8)


def _rays(lens, view: View, u, v, rotation):  # type: ignore[no-untyped-def]
    x = (u - lens.cx - view.shift_px[0]) / lens.f
    y = (v - lens.cy - view.shift_px[1]) / lens.f
    r2 = x * x + y * y
    grow = 1.0 + lens.a1 * r2 + lens.a2 * r2 * r2
    xu = x * grow + lens.b1 * (r2 + 2 * x * x) + 2 * lens.b2 * x * y
    yu = y * grow + lens.b2 * (r2 + 2 * y * y) + 2 * lens.b1 * x * y
    return np.stack([xu, yu, np.ones_like(xu)], axis=-1) @ rotation


def _meet(ray, eye, z):  # type: ignore[no-untyped-def]
    s = (z - eye[2]) / ray[..., 2]
    return eye[0] + s * ray[..., 0], eye[1] + s * ray[..., 1], s


def _bow(scene: Scene, x):  # type: ignore[no-untyped-def]
    half = 0.5 * scene.card.box.width
    return scene.bow_mm * (1.0 - (x / half) ** 2)


def _cover(gap, pixel):  # type: ignore[no-untyped-def]
    return np.clip(0.5 - gap / pixel, 0.0, 1.0)


def _tile(scene: Scene, shape: Shape, ray, eye, grain, rough):  # type: ignore[no-untyped-def]
    x, y, far = _meet(ray, eye, 0.0)
    pixel = float(np.median(far)) / scene.lens.f  # about, square to the ray; along the tilt a few per cent more
    cell = (np.floor(x * 4).astype(int) & 1023, np.floor(y * 4).astype(int) & 1023)
    base = 1.0 + scene.backing_texture * 0.5 * (grain[cell] + rough[cell])
    colour = np.clip(base, 0.1, 3.0)[..., None] * np.array(scene.backing)
    box = scene.card.box.grown(12.0)
    if scene.sun and x.max() > box.xmin and x.min() < box.xmax and y.max() > box.ymin and y.min() < box.ymax:
        shade = np.zeros(x.shape)
        for part in (0.25, 0.5, 0.75, 1.0):
            h = part * scene.thickness_mm
            shade = np.maximum(shade, _cover(shape.distance(x + scene.sun[0] * h, y + scene.sun[1] * h), 0.4))
        colour *= (1.0 - 0.65 * shade)[..., None]
    for strip in scene.strips:
        _paint_strip(scene, strip, colour, ray, eye, pixel, grain)
    if x.max() > box.xmin and x.min() < box.xmax and y.max() > box.ymin and y.min() < box.ymax:
        _paint_card(scene, shape, colour, ray, eye, pixel, grain, rough)
    if scene.hard_shadow:
        edge = 0.8 * x + 0.6 * y - 40.0
        colour *= (1.0 - 0.55 * np.clip(0.5 + edge / 3.0, 0.0, 1.0))[..., None]
    centre = ray @ np.array([0.0, 0.0, -1.0]) / np.linalg.norm(ray, axis=-1)
    return colour * (1.0 - scene.vignette * (1.0 - centre**4))[..., None]


def _paint_card(scene, shape, colour, ray, eye, pixel, grain, rough):  # type: ignore[no-untyped-def]
    xt, yt, _ = _meet(ray, eye, scene.thickness_mm + max(scene.bow_mm, 0.0) * 0.5)
    xb, yb, _ = _meet(ray, eye, 0.0)
    for _ in range(4 if scene.bow_mm else 1):
        xt, yt, _ = _meet(ray, eye, scene.thickness_mm + _bow(scene, xt))
        xb, yb, _ = _meet(ray, eye, _bow(scene, xb))
    face = _cover(shape.distance(xt, yt), pixel)
    wall = np.maximum(_cover(shape.distance(xb, yb), pixel) - face, 0.0)
    cell = (np.floor(xt * 4).astype(int) & 1023, np.floor(yt * 4).astype(int) & 1023)
    fibre = 1.0 + scene.texture * 0.5 * (grain[cell] + rough[cell])
    top = fibre[..., None] * np.array(scene.face)
    side = scene.wall * top
    colour *= (1.0 - face - wall)[..., None]
    colour += face[..., None] * top + wall[..., None] * side


def _paint_strip(scene: Scene, strip: Strip, colour, ray, eye, pixel, grain):  # type: ignore[no-untyped-def]
    c, s = np.cos(np.radians(strip.angle_deg)), np.sin(np.radians(strip.angle_deg))
    flat = marks.PAPER_MM + strip.raised_mm
    z: float | np.ndarray = flat
    x, y, _ = _meet(ray, eye, z)
    if np.hypot(x.mean() - strip.x, y.mean() - strip.y) > 0.5 * marks.LENGTH_MM + 80.0 + (x.max() - x.min()):
        return
    for _ in range(4 if strip.curl_mm else 1):
        x, y, _ = _meet(ray, eye, z)
        p = c * (x - strip.x) + s * (y - strip.y)
        q = -s * (x - strip.x) + c * (y - strip.y)
        z = flat + strip.curl_mm * np.clip(np.abs(p) / (0.5 * marks.LENGTH_MM), 0, 1.2) ** 2
    p, q = p / scene.print_scale[0], q / scene.print_scale[1]
    sheet = _cover(np.maximum(np.abs(p) - 0.5 * marks.LENGTH_MM, np.abs(q) - 0.5 * marks.WIDTH_MM), pixel)
    if not sheet.any():
        return
    column = np.clip(np.rint(p / marks.PITCH_MM + 0.5 * (marks.COLUMNS - 1)), 0, marks.COLUMNS - 1).astype(int)
    row = np.clip(np.rint(0.5 * (marks.ROWS - 1) - q / marks.PITCH_MM), 0, marks.ROWS - 1).astype(int)
    places = marks.dot_places()[row, column]
    radius = np.hypot(p - places[..., 0], q - places[..., 1])
    dot = _cover(radius - 0.5 * marks.DOT_MM, pixel)
    hollow = _cover(radius - 0.5 * marks.HOLLOW_MM, pixel) * ~marks.words()[strip.number][row, column]
    dark = dot - hollow
    for cx, cy in marks.cross_places():
        for a, b in ((p - cx, q - cy), (q - cy, p - cx)):
            dark = np.maximum(dark, _cover(np.maximum(np.abs(a) - 4.0, np.abs(b) - 0.1), pixel))
    tone = scene.paper + (scene.ink - scene.paper) * dark
    colour *= (1.0 - sheet)[..., None]
    colour += (sheet * tone)[..., None]


def jpeg(picture: np.ndarray, quality: int = 92, focal_35mm: int | None = None) -> bytes:
    """Return a picture as JPEG, with a focal length in its facts if asked."""
    image = Image.fromarray(picture)
    exif = Image.Exif()
    if focal_35mm:
        exif.get_ifd(0x8769)[0xA405] = focal_35mm
    out = io.BytesIO()
    image.save(out, "JPEG", quality=quality, subsampling=2, exif=exif)
    return out.getvalue()


def photographs(scene: Scene) -> list[bytes]:
    """Return all photographs of a scene as JPEG."""
    return [jpeg(render(scene, view, i), scene.quality) for i, view in enumerate(scene.views)]
