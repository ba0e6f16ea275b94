"""Reads printed sheets as a picture: finds registration marks, joins sheets by them, and traces lines.

Knows how a mark looks and how wide a line is, not where anything was meant to be printed.
"""

from __future__ import annotations

import subprocess
from dataclasses import dataclass
from math import atan2, cos, pi, sin
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy.signal import fftconvolve

from cutplan.templates.tiling.registration import CORE_MM, RING_INNER_MM, RING_OUTER_MM, RINGS, SECTORS

Array = NDArray[np.float64]
#: 254 dots per inch are exactly 10 pixels per millimetre.
DPI, PER_MM = 254, 10


@dataclass(frozen=True)
class Picture:
    """A printed sheet: darkness 0..1 with row 0 at the top, its resolution [px/mm] and its height [mm].

    Renderers round the page up to whole pixels: one pads it at the lower and right edge, the other stretches it.
    """

    dark: Array
    per_mm: tuple[float, float]
    height_mm: float

    def to_mm(self, x: float, y: float) -> tuple[float, float]:
        """Sheet coordinates, from the lower left corner, of a place in pixels from the upper left [mm]."""
        return x / self.per_mm[0], self.height_mm - y / self.per_mm[1]

    def to_px(self, points: Array) -> Array:
        return np.column_stack((points[:, 0] * self.per_mm[0], (self.height_mm - points[:, 1]) * self.per_mm[1]))


def by_poppler(pdf: bytes, folder: Path) -> list[Picture]:
    """Return the pages as poppler draws them."""
    (folder / "sheets.pdf").write_bytes(pdf)
    subprocess.run(["pdftoppm", "-r", str(DPI), "-gray", str(folder / "sheets.pdf"), str(folder / "sheet")], check=True)
    pages = []
    for path in sorted(folder.glob("sheet*.pgm")):
        pages.append(_dark(_read_pgm(path.read_bytes())))
        path.unlink()
    sizes = _sizes_mm(pdf)
    return [Picture(p, (PER_MM, PER_MM), h) for p, (_, h) in zip(pages, sizes, strict=True)]


def by_pdfium(pdf: bytes) -> list[Picture]:
    """Return the pages as pdfium draws them."""
    import pypdfium2

    document = pypdfium2.PdfDocument(pdf)
    pages = [_dark(np.asarray(page.render(scale=DPI / 72.0, grayscale=True).to_numpy())) for page in document]
    return [Picture(p, (p.shape[1] / w, p.shape[0] / h), h) for p, (w, h) in zip(pages, _sizes_mm(pdf), strict=True)]


def _sizes_mm(pdf: bytes) -> list[tuple[float, float]]:
    import pypdfium2

    return [(w * 25.4 / 72.0, h * 25.4 / 72.0) for w, h in (p.get_size() for p in pypdfium2.PdfDocument(pdf))]


def _read_pgm(data: bytes) -> NDArray[np.uint8]:
    head, rest = data.split(b"\n255\n", 1)
    width, height = (int(v) for v in head.split()[-2:])
    return np.frombuffer(rest, dtype=np.uint8).reshape(height, width)


def _dark(grey: NDArray[np.uint8]) -> Array:
    return 1.0 - grey.reshape(grey.shape[0], grey.shape[1]).astype(np.float32) / 255.0


@dataclass(frozen=True)
class Seen:
    """A mark found in a picture: its ring and centre in millimetres from the lower left corner of the sheet."""

    ring: int
    x: float
    y: float


def find_marks(picture: Picture) -> list[Seen]:
    """Return every registration mark in a picture."""
    page = picture.dark
    coarse_step = 4
    h, w = (page.shape[0] // coarse_step) * coarse_step, (page.shape[1] // coarse_step) * coarse_step
    coarse = page[:h, :w].reshape(h // coarse_step, coarse_step, w // coarse_step, coarse_step).mean(axis=(1, 3))
    n = int(CORE_MM * PER_MM / coarse_step)
    yy, xx = np.mgrid[-n : n + 1, -n : n + 1]
    inside = np.hypot(xx, yy) <= n + 0.3
    kernel = np.where(inside, np.sign(-yy) * np.sign(xx), 0.0)  # rows run downward
    score = fftconvolve(coarse, kernel[::-1, ::-1], mode="same") / np.abs(kernel).sum()
    found: list[Seen] = []
    order = np.argsort(score, axis=None)[::-1]
    taken = np.zeros(score.shape, dtype=bool)
    for flat in order:
        r, c = divmod(int(flat), score.shape[1])
        if score[r, c] < 0.36:
            break
        if taken[r, c]:
            continue
        taken[max(0, r - 8) : r + 9, max(0, c - 8) : c + 9] = True
        centre = _centre(page, (c + 0.5) * coarse_step, (r + 0.5) * coarse_step)
        if centre is None:
            continue
        ring = _ring(page, *centre)
        if ring in RINGS:
            found.append(Seen(ring, *picture.to_mm(*centre)))
    return found


def _centre(page: Array, x: float, y: float) -> tuple[float, float] | None:
    """Refine a centre [px]: the edges between black and white quarters, left-right and up-down, averaged."""
    reach, skip = 11, 3
    for _ in range(3):
        cx, cy = round(x), round(y)
        if not (reach + 2 < cx < page.shape[1] - reach - 2 and reach + 2 < cy < page.shape[0] - reach - 2):
            return None
        upper = page[cy - reach : cy - skip, cx - reach : cx + reach]  # white left, black right
        lower = page[cy + skip : cy + reach, cx - reach : cx + reach]  # black left, white right
        left = page[cy - reach : cy + reach, cx - reach : cx - skip]  # white above, black below
        right = page[cy - reach : cy + reach, cx + skip : cx + reach]  # black above, white below
        x1, x2 = reach - upper.sum(axis=1).mean(), lower.sum(axis=1).mean() - reach
        y1, y2 = reach - left.sum(axis=0).mean(), right.sum(axis=0).mean() - reach
        x, y = cx + 0.5 * (x1 + x2), cy + 0.5 * (y1 + y2)
        if max(abs(x1 - x2), abs(y1 - y2)) > 1.5 or abs(x - cx) > reach or abs(y - cy) > reach:
            return None
    return x, y


def _ring(page: Array, x: float, y: float) -> int:
    """Read the ring's sectors; -1 where one is neither black nor white."""
    code = 0
    for k in range(SECTORS):
        values = []
        for part in np.linspace(0.25, 0.75, 5):
            angle = (k + part) * 2.0 * pi / SECTORS
            for r in np.linspace(RING_INNER_MM + 0.3, RING_OUTER_MM - 0.3, 3):
                px, py = int(x + r * PER_MM * cos(angle)), int(y - r * PER_MM * sin(angle))
                if not (0 <= px < page.shape[1] and 0 <= py < page.shape[0]):
                    return -1
                values.append(page[py, px])
        mean = float(np.mean(values))
        if 0.35 < mean < 0.65:
            return -1
        code |= (mean > 0.5) << k
    return code


@dataclass(frozen=True)
class Pose:
    """A sheet's place in the joined picture: turned by an angle [rad], then moved [mm]."""

    angle: float
    dx: float
    dy: float

    def apply(self, points: Array) -> Array:
        c, s = cos(self.angle), sin(self.angle)
        return points @ np.array([[c, s], [-s, c]]) + (self.dx, self.dy)

    def undo(self, points: Array) -> Array:
        c, s = cos(self.angle), sin(self.angle)
        return (points - (self.dx, self.dy)) @ np.array([[c, -s], [s, c]])


def best_pose(source: Array, target: Array) -> Pose:
    """Return the rigid motion that carries source points to target points with the least squares."""
    a, b = source - source.mean(axis=0), target - target.mean(axis=0)
    angle = atan2(float((a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]).sum()), float((a * b).sum()))
    turned = Pose(angle, 0.0, 0.0).apply(source)
    shift = target.mean(axis=0) - turned.mean(axis=0)
    return Pose(angle, float(shift[0]), float(shift[1]))


def join(marks: list[list[Seen]]) -> list[Pose | None]:
    """Return the pose of each sheet, the first at home; sheets are joined by marks with the same ring only."""
    rings = [{m.ring: (m.x, m.y) for m in sheet} for sheet in marks]
    poses: list[Pose | None] = [None] * len(marks)
    poses[0] = Pose(0.0, 0.0, 0.0)
    while True:
        best: tuple[int, int, list[tuple[Array, tuple[float, float]]]] | None = None
        for k, pose in enumerate(poses):
            if pose is not None:
                continue
            pairs = []
            for j, home in enumerate(poses):
                if home is not None:
                    common = sorted(set(rings[k]) & set(rings[j]))
                    pairs += [(home.apply(np.array([rings[j][r]]))[0], rings[k][r]) for r in common]
            if len(pairs) >= 2 and (best is None or len(pairs) > best[0]):
                best = (len(pairs), k, pairs)
        if best is None:
            return _settled(poses, rings)
        _, k, pairs = best
        poses[k] = best_pose(np.array([p[1] for p in pairs]), np.array([p[0] for p in pairs]))


def _settled(poses: list[Pose | None], rings: list[dict[int, tuple[float, float]]]) -> list[Pose | None]:
    """Shift and turn each sheet once more, again and again, to the mean of its neighbours' marks."""
    for _ in range(60):
        for k in range(1, len(poses)):
            if poses[k] is None:
                continue
            source, target = [], []
            for j, home in enumerate(poses):
                if j != k and home is not None:
                    for r in sorted(set(rings[k]) & set(rings[j])):
                        source.append(rings[k][r])
                        target.append(home.apply(np.array([rings[j][r]]))[0])
            if len(source) >= 2:
                poses[k] = best_pose(np.array(source), np.array(target))
    return poses


def line_offsets(picture: Picture, points: Array, normals: Array, width_mm: float, reach_mm: float = 1.2) -> Array:
    """Return how far along the normal a line's middle lies from each point [mm]; NaN where no lone line is seen."""
    steps = np.arange(-reach_mm, reach_mm + 1e-9, 0.05)
    page = picture.dark
    places = (points[:, None, :] + normals[:, None, :] * steps[None, :, None]).reshape(-1, 2)
    px = picture.to_px(places).reshape(len(points), len(steps), 2) - 0.5
    x, y = px[:, :, 0], px[:, :, 1]
    inside = ((x > 1) & (x < page.shape[1] - 2) & (y > 1) & (y < page.shape[0] - 2)).all(axis=1)
    result = np.full(len(points), np.nan)
    x, y = x[inside], y[inside]
    x0, y0 = np.floor(x).astype(int), np.floor(y).astype(int)
    fx, fy = x - x0, y - y0
    dark = (
        page[y0, x0] * (1 - fx) * (1 - fy)
        + page[y0, x0 + 1] * fx * (1 - fy)
        + page[y0 + 1, x0] * (1 - fx) * fy
        + page[y0 + 1, x0 + 1] * fx * fy
    )
    total = dark.sum(axis=1) * 0.05
    edges = np.maximum(dark[:, :3].max(axis=1), dark[:, -3:].max(axis=1))
    lone = (np.abs(total - width_mm) < 0.3 * width_mm) & (edges < 0.1)
    offset = (dark * steps).sum(axis=1) * 0.05 / np.maximum(total, 1e-9)
    result[np.flatnonzero(inside)[lone]] = offset[lone]
    return result
