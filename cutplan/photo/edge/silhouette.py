"""Card told from backing: a rough outline and rough holes, good to a millimetre, for the edges to start from."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from inspect import signature
from typing import Any

import numpy as np

from cutplan.errors import DrawingError
from cutplan.photo.adjustment.camera import Views
from cutplan.photo.marking.marks import LENGTH_MM, WIDTH_MM
from cutplan.photo.picture import Picture, light_near
from cutplan.texts import say

#: Least size of a hole that is looked for [mm].
LEAST_HOLE_MM = 4.0
#: Kinds of colour that backing and card are sorted into.
_KINDS = 8
#: Weights of red, green and blue in grey; source: ITU-R BT.601.
_GREY = np.array([0.299, 0.587, 0.114])


@dataclass(frozen=True)
class Silhouette:
    """Rough outline and holes [mm], closed polygons (n, 2), outline first; how clearly card and backing differ.

    ``colour`` is 1 for grey where that tells card from backing well, else it (3,) weighs red, green and blue so that card and backing differ most; ``other_mm2`` is the area of other
    things of the card's colours lying about; ``touches`` tells whether the card reaches the edge of what is seen.
    """

    rings: tuple[np.ndarray, ...]
    colour: np.ndarray
    contrast: float
    other_mm2: float
    touches: bool


@dataclass(frozen=True)
class _Plan:
    """The picture looked at from straight above: light (rows, columns, 3), origin [mm], size of a cell [mm]."""

    light: np.ndarray
    origin: np.ndarray
    cell_mm: float
    seen: np.ndarray


def silhouette(
    pictures: Sequence[Picture], views: Views, strips: np.ndarray, scale: np.ndarray, height_mm: float
) -> Silhouette:
    """Return the rough shape of the card.

    Parameters
    ----------
    pictures : sequence of Picture
        The pictures.
    views : Views
        Where they were taken.
    strips : (strips, 3) array
        Places of the strips [mm, rad].
    scale : (2,) array
        Print scale [1].
    height_mm : float
        Height of the card's face over the marks [mm].

    Raises
    ------
    DrawingError
        If nothing but one colour is seen between the strips.
    """
    plan = _seen_from_above(pictures, views, strips, height_mm)
    paper, band = _near_strips(plan, strips, scale)
    card = _card_cells(plan, paper, band, views.scan)
    return _shape(plan, card, paper, band, views.scan)


def _seen_from_above(pictures: Sequence[Picture], views: Views, strips: np.ndarray, height_mm: float) -> _Plan:
    reach = LENGTH_MM * (1.2 if views.scan else 0.5) + 15.0
    low, high = strips[:, :2].min(axis=0) - reach, strips[:, :2].max(axis=0) + reach
    if views.scan:  # the card may reach anywhere on the glass
        corners = [_scan_corners(p, views.poses[i]) for i, p in enumerate(pictures)]
        low, high = np.min(corners, axis=(0, 1)), np.max(corners, axis=(0, 1))
    cell = max(0.5, float(np.sqrt(np.prod(high - low) / 1.6e6)))
    nx, ny = np.ceil((high - low) / cell).astype(int)
    x, y = low[0] + cell * np.arange(nx), low[1] + cell * np.arange(ny)
    total = np.zeros((ny, nx, 3), dtype=np.float32)
    count = np.zeros((ny, nx), dtype=np.float32)
    for start in range(0, ny, 200):
        yy, xx = np.meshgrid(y[start : start + 200], x, indexing="ij")
        xyz = np.stack([xx, yy, np.full(xx.shape, height_mm)], axis=-1)
        for i, picture in enumerate(pictures):
            light = light_near(picture.rgb, views.pixels(i, xyz), picture.tone)
            good = np.isfinite(light[..., 0])
            total[start : start + 200] += np.where(good[..., None], light, 0.0)
            count[start : start + 200] += good
    return _Plan(total / np.maximum(count, 1.0)[..., None], low, cell, count > 0)


def _scan_corners(picture: Picture, pose: np.ndarray) -> np.ndarray:
    a = pose[:6].reshape(2, 3)
    w, h = picture.width - 1.0, picture.height - 1.0
    px = np.array([[0.0, 0.0], [w, 0.0], [w, h], [0.0, h]])
    return np.asarray((px - a[:, 2]) @ np.linalg.inv(a[:, :2]).T)


def _near_strips(plan: _Plan, strips: np.ndarray, scale: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Cells of the strips' paper, and of a band close round it that shows what the strips lie on."""
    ny, nx = plan.seen.shape
    yy, xx = np.meshgrid(
        plan.origin[1] + plan.cell_mm * np.arange(ny), plan.origin[0] + plan.cell_mm * np.arange(nx), indexing="ij"
    )
    away = np.full(plan.seen.shape, np.inf)
    for x, y, angle in strips:
        c, s = np.cos(angle), np.sin(angle)
        p = np.abs(c * (xx - x) + s * (yy - y)) - 0.5 * LENGTH_MM * scale[0]
        q = np.abs(-s * (xx - x) + c * (yy - y)) - 0.5 * WIDTH_MM * scale[1]
        np.minimum(away, np.maximum(p, q), out=away)
    return away < 2.5, (away > 4.0) & (away < 12.0) & plan.seen


def _features(light: np.ndarray) -> np.ndarray:
    """Lightness and two colour differences, each in logarithms so that shade moves only the first."""
    q = np.log(light + 0.01)
    return np.stack([q.mean(axis=-1), 1.6 * (q[..., 0] - q[..., 1]), 1.6 * (q[..., 1] - q[..., 2])], axis=-1)


def _card_cells(plan: _Plan, paper: np.ndarray, band: np.ndarray, scan: bool) -> np.ndarray:
    """How likely each cell is card, 0 to 1."""
    from scipy.cluster.vq import kmeans2
    from scipy.ndimage import gaussian_filter

    smooth = np.stack([gaussian_filter(plan.light[..., i], 1.0) for i in range(3)], axis=-1)
    f = _features(smooth)
    usable = plan.seen & ~paper
    if scan:
        band = usable & ~_inside(plan.seen, 12)
    if band.sum() < 200 or (usable & ~band).sum() < 400:
        raise DrawingError(
            say("too little of the backing is seen round the strips"), "", say("leave a hand's width round the strips")
        )
    everything = f[usable]
    some = everything[:: max(1, len(everything) // 30_000)]
    chance = "rng" if "rng" in signature(kmeans2).parameters else "seed"  # its name before scipy 1.15
    cluster: Any = kmeans2
    centres, _ = cluster(some, _KINDS, iter=25, minit="++", **{chance: np.random.default_rng(1)})
    of_all, of_band = _shares(some, centres), _shares(f[band][:: max(1, int(band.sum()) // 20_000)], centres)
    backing = of_band > 0.3 * of_all
    if backing.all() or not backing.any():
        raise DrawingError(
            say("card and backing cannot be told apart"),
            say("between the strips"),
            say("lay the card on a sheet that differs clearly: dark under brown cardboard, matte, one colour"),
        )
    near_backing = _distance(f, centres[backing])
    near_card = _distance(f, centres[~backing])
    out: np.ndarray = near_backing / (near_backing + near_card + 1e-9)
    out[~plan.seen] = 0.0
    return out


def _inside(mask: np.ndarray, cells: int) -> np.ndarray:
    from scipy.ndimage import binary_erosion

    return np.asarray(binary_erosion(mask, iterations=cells))


def _shares(f: np.ndarray, centres: np.ndarray) -> np.ndarray:
    which = np.argmin(((f[:, None] - centres[None]) ** 2).sum(axis=-1), axis=1)
    return np.bincount(which, minlength=len(centres)) / len(f)


def _distance(f: np.ndarray, centres: np.ndarray) -> np.ndarray:
    out = np.full(f.shape[:2], np.inf)
    for c in centres:
        np.minimum(out, np.sqrt(((f - c) ** 2).sum(axis=-1)), out=out)
    return out


def _shape(plan: _Plan, card: np.ndarray, paper: np.ndarray, band: np.ndarray, scan: bool) -> Silhouette:
    from scipy import ndimage

    soft = ndimage.gaussian_filter(card, 0.8)
    mask = soft > 0.5
    if scan:
        mask = _with_strips(mask, paper)
    else:
        mask &= ~paper
    rounds = max(1, round(0.6 / plan.cell_mm))
    mask = ndimage.binary_closing(ndimage.binary_opening(mask, iterations=rounds), iterations=rounds)
    labels, count = ndimage.label(mask)
    if count == 0:
        raise DrawingError(
            say("no card is found between the strips"), "", say("lay the card on a sheet of another colour")
        )
    sizes = np.bincount(labels.ravel())[1:] * plan.cell_mm**2
    main = int(np.argmax(sizes)) + 1
    body = labels == main
    others = float(sizes[sizes > 40.0].sum() - sizes[main - 1])
    filled = ndimage.binary_fill_holes(body)
    holes, many = ndimage.label(filled & ~body)
    area = np.bincount(holes.ravel(), minlength=many + 1) * plan.cell_mm**2
    small = np.nonzero(area < 0.25 * np.pi * (LEAST_HOLE_MM - 1.0) ** 2)[0]
    body |= np.isin(holes, small[small > 0])
    edge = ~plan.seen
    edge[[0, -1]] = edge[:, [0, -1]] = True
    touches = bool((body & ndimage.binary_dilation(edge, iterations=3)).any())
    # the soft value places the outline within a cell where it agrees with what was cleaned
    value = np.where(body, np.maximum(soft, 0.55), np.minimum(soft, 0.45))
    rings = _rings(ndimage.gaussian_filter(value, 1.0), plan)
    inner = ndimage.binary_erosion(body, iterations=max(2, round(3.0 / plan.cell_mm)))
    colour, contrast = _best_colour(
        plan, inner, ~ndimage.binary_dilation(body, iterations=rounds + 2) & ~paper & plan.seen
    )
    return Silhouette(rings, colour, contrast, others, touches)


def _with_strips(mask: np.ndarray, paper: np.ndarray) -> np.ndarray:
    """The card with the strips that are stuck on it, told by what lies round each of them."""
    from scipy import ndimage

    labels, count = ndimage.label(paper)
    out = mask.copy()
    for i in range(1, count + 1):
        one = labels == i
        rim = ndimage.binary_dilation(one, iterations=4) & ~paper
        if rim.any() and mask[rim].mean() > 0.5:
            out |= one
    return out


def _rings(value: np.ndarray, plan: _Plan) -> tuple[np.ndarray, ...]:
    from contourpy import contour_generator

    lines = [np.asarray(p) for p in contour_generator(z=value).lines(0.5)]
    lines = [p for p in lines if len(p) > 8 and np.allclose(p[0], p[-1])]
    rings = [plan.origin + plan.cell_mm * p[:-1] for p in lines]
    rings = [r for r in rings if abs(_area(r)) > 0.25 * np.pi * (LEAST_HOLE_MM - 1.0) ** 2]
    if not rings:
        raise DrawingError(
            say("no card is found between the strips"), "", say("lay the card on a sheet of another colour")
        )
    rings.sort(key=lambda r: -abs(_area(r)))
    outer = rings[0] if _area(rings[0]) > 0 else rings[0][::-1]
    holes = [r if _area(r) < 0 else r[::-1] for r in rings[1:]]
    return (outer, *holes)


def _area(p: np.ndarray) -> float:
    q = np.roll(p, -1, axis=0)
    return float(0.5 * (p[:, 0] * q[:, 1] - q[:, 0] * p[:, 1]).sum())


def _best_colour(plan: _Plan, card: np.ndarray, backing: np.ndarray) -> tuple[np.ndarray, float]:
    """Weights of red, green and blue that part card and backing most (Fisher's rule), and the light between them."""
    a, b = plan.light[card].astype(float), plan.light[backing].astype(float)
    if len(a) < 50 or len(b) < 50:
        return np.full(3, 1 / 3), 0.0
    between = np.median(a, axis=0) - np.median(b, axis=0)
    spread = np.cov(a.T) + np.cov(b.T) + 1e-4 * np.eye(3)
    weight = np.maximum(np.linalg.solve(spread, between) * np.sign(between.sum() or 1.0), 0.0)
    if weight.sum() <= 0.0:
        weight = np.abs(between)
    # never only one band: their noise is kept even
    weight = weight / max(weight.sum(), 1e-12) + 0.15
    weight /= weight.sum()
    best, grey = float(abs(weight @ between)), float(abs(_GREY @ between))
    if grey > 0.5 * best:
        return np.ones(1), grey
    return weight, best
