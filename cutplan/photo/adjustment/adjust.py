"""One adjustment of everything at once: lens, poses, places of the strips, print scale and measured lengths."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from cutplan.photo.adjustment import start
from cutplan.photo.adjustment.camera import LENS, POSE, Views, project
from cutplan.photo.adjustment.observed import Distance, Observed, circle_shift
from cutplan.photo.marking.marks import DOT_MM, HOLLOW_MM, cross_places

#: Standard error that a dot's place is taken to have before the adjustment tells [px].
DOT_PX = 0.03
#: Residuals beyond this many standard errors count less (Huber's rule).
_HUBER = 2.5
#: How far the centre of the lens may be expected from the middle, and to move from picture to picture [picture widths].
_CENTRE, _STABILISER = 0.03, 0.0015
#: Expected size of the lens terms k1, k2, k3, p1, p2.
_TERMS = np.array([0.3, 0.6, 1.0, 0.005, 0.005])
_RING = np.stack([np.cos(np.arange(24) * np.pi / 12), np.sin(np.arange(24) * np.pi / 12)], axis=1)


@dataclass(frozen=True)
class Scale:
    """What is known of the print before: scale along and across the strips [1] and their standard errors [1].

    ``common`` is the error that both axes share, ``apart`` that of each alone.
    """

    along: float = 1.0
    across: float = 1.0
    common: float = 0.003
    apart: float = 0.003


@dataclass(frozen=True)
class Adjusted:
    """The answer: views, places of the strips, print scale; residuals [px]; covariance of all unknowns.

    ``vector`` and ``covariance`` are in the order of :func:`unpacked`; ``residual_px`` (n, 2) are of the dots, ``weight``
    (n,) 1 for a dot believed in full. ``rms_px`` is over the dots believed.
    """

    views: Views
    strips: np.ndarray
    scale: np.ndarray
    vector: np.ndarray
    covariance: np.ndarray
    residual_px: np.ndarray
    weight: np.ndarray
    rms_px: float
    scale_error: float


@dataclass(frozen=True)
class _Task:
    obs: Observed
    distances: tuple[Distance, ...]
    scale: Scale
    focal: tuple[float, float]  # expected focal length and its standard error [px]
    scan: bool


def adjust(
    obs: Observed,
    distances: Sequence[Distance],
    scale: Scale,
    focal_px: float | None,
    scan: bool = False,
    near: np.ndarray | None = None,
) -> Adjusted:
    """Return lens, poses, strips and print scale that fit all observations best.

    Parameters
    ----------
    obs : Observed
        Dots seen.
    distances : sequence of Distance
        Lengths measured between crosses.
    scale : Scale
        What is known of the printer.
    focal_px : float or None
        Focal length that the pictures claim [px], taken as true to 5 %; None: anything from wide to long.
    scan : bool
        Whether the pictures are flatbed scans.
    near : array or None
        Unknowns of an earlier answer to begin from, (n,) as of :func:`packed`.

    Notes
    -----
    Robust least squares (Huber weights) by damped Gauss-Newton steps; the images of the dots' circles are corrected
    between the rounds. Calibration from planes: Z. Zhang, A flexible new technique for camera calibration, IEEE PAMI 22
    (2000) 1330-1334.
    """
    wide = float(max(obs.size))
    focal = (focal_px, 0.05 * focal_px) if focal_px else (0.9 * wide, 0.5 * wide)
    task = _Task(obs, tuple(distances), scale, focal, scan)
    if near is not None:
        return _finished(task, *_solved(task, near, _free(task, LENS), 12))
    strips = start.strip_places(obs)
    if scan:
        first = packed(
            np.array([wide, *np.zeros(LENS - 1)]),
            start.scan_maps(obs, strips),
            strips,
            np.array([scale.along, scale.across]),
        )
        return _finished(task, *_solved(task, first, _free(task, LENS), 12))
    guesses = [focal_px] if focal_px else [0.65 * wide, 0.85 * wide, 1.2 * wide, 2.0 * wide]
    tried = []
    for guess in guesses:
        lens, poses = start.poses_for(obs, strips, guess)
        first = packed(lens, poses, strips, np.array([scale.along, scale.across]))
        # coarse first: focal length, one radial term, poses and strips
        rough = _solved(task, first, _free(task, 4, fixed_centre=True), 8, loose=30.0)
        tried.append((_cost(task, rough[0], rough[1], 30.0), rough[0]))
    vector = min(tried, key=lambda t: t[0])[1]
    vector, _ = _solved(task, vector, _free(task, LENS), 6, loose=8.0)
    vector, shift = _solved(task, vector, _free(task, LENS), 15)
    return _finished(task, vector, shift)


def packed(lens: np.ndarray, poses: np.ndarray, strips: np.ndarray, scale: np.ndarray) -> np.ndarray:
    """Return all unknowns as one vector (n,): lens (l,), poses (pictures, p), strips (strips, 3), scale (2,)."""
    return np.concatenate([lens, poses.ravel(), strips.ravel(), scale])


def unpacked(vector: np.ndarray, pictures: int) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    """Return (lens, poses, strips, scale) of a vector of unknowns."""
    end = LENS + POSE * pictures
    return vector[:LENS], vector[LENS:end].reshape(-1, POSE), vector[end:-2].reshape(-1, 3), vector[-2:]


def _free(task: _Task, lens_terms: int, fixed_centre: bool = False) -> np.ndarray:
    """Which unknowns may move: never the first strip, never the centre's shift in the first picture."""
    lens = np.zeros(LENS, dtype=bool)
    poses = np.ones((task.obs.pictures, POSE), dtype=bool)
    if not task.scan:
        lens[:lens_terms] = True
    poses[0, 6:] = False
    if task.scan or fixed_centre:
        poses[:, 6:] = False
    if fixed_centre:
        lens[1:3] = False
    strips = np.ones((len(task.obs.strips), 3), dtype=bool)
    strips[0] = False
    return np.concatenate([lens, poses.ravel(), strips.ravel(), np.ones(2, dtype=bool)])


def _seen(task: _Task, vector: np.ndarray, local: np.ndarray, rows: np.ndarray | slice = slice(None)) -> np.ndarray:
    lens, poses, strips, scale = unpacked(vector, task.obs.pictures)
    xy = start.on_strip(strips[task.obs.strip[rows]], local[rows] * scale)
    return project(lens, poses, task.obs.picture[rows], np.column_stack([xy, np.zeros(len(xy))]), task.scan)


def _moved_by(task: _Task, unknown: int) -> np.ndarray | slice:
    """The dots that an unknown moves: those of its picture, of its strip, or all."""
    end = LENS + POSE * task.obs.pictures
    if LENS <= unknown < end:
        return np.nonzero(task.obs.picture == (unknown - LENS) // POSE)[0]
    if end <= unknown < end + 3 * len(task.obs.strips):
        return np.nonzero(task.obs.strip == (unknown - end) // 3)[0]
    return slice(None)


def _circle_shifts(task: _Task, vector: np.ndarray) -> np.ndarray:
    n = len(task.obs.strip)
    if task.obs.dot_mm <= 0.0:
        return np.zeros((n, 2))
    centre = _seen(task, vector, task.obs.local)
    rings = []
    for radius in (0.5 * DOT_MM, 0.5 * HOLLOW_MM):
        rings.append(
            np.stack([_seen(task, vector, task.obs.local + radius * q) for q in _RING], axis=1).reshape(n, -1, 2)
        )
    return circle_shift(rings[0], centre, rings[1], task.obs.solid)


def _residuals(task: _Task, vector: np.ndarray, shift: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Residuals of the dots [px] and of everything else [standard errors]."""
    dots = _seen(task, vector, task.obs.local) + shift - task.obs.px
    return np.nan_to_num(dots, nan=1e4), _others(task, vector)


def _others(task: _Task, vector: np.ndarray) -> np.ndarray:
    lens, poses, strips, scale = unpacked(vector, task.obs.pictures)
    known = task.scale
    mean = 0.5 * (scale[0] / known.along + scale[1] / known.across) - 1.0
    out = [mean / known.common, (scale[0] / known.along - scale[1] / known.across) / (1.4142 * known.apart)]
    for d in task.distances:
        ends = []
        for row, cross in (d.first, d.second):
            ends.append(start.on_strip(strips[row : row + 1], cross_places()[cross : cross + 1] * scale)[0])
        out.append((float(np.hypot(*(ends[1] - ends[0]))) - d.length_mm) / d.error_mm)
    if not task.scan:
        w, h = task.obs.size
        out += [
            (lens[0] - task.focal[0]) / task.focal[1],
            (lens[1] - 0.5 * (w - 1)) / (_CENTRE * w),
            (lens[2] - 0.5 * (h - 1)) / (_CENTRE * w),
        ]
        out += list(lens[3:] / _TERMS) + list((poses[1:, 6:] / (_STABILISER * w)).ravel())
    return np.array(out)


def _weights(dots: np.ndarray, sigma_px: float) -> np.ndarray:
    size = np.hypot(dots[:, 0], dots[:, 1]) / (sigma_px * 1.4142)
    return np.asarray(np.minimum(1.0, _HUBER / np.maximum(size, 1e-12)))


def _cost(task: _Task, vector: np.ndarray, shift: np.ndarray, loose: float) -> float:
    dots, other = _residuals(task, vector, shift)
    size = np.hypot(dots[:, 0], dots[:, 1]) / (DOT_PX * loose)
    huber = np.where(size <= _HUBER, size**2, 2 * _HUBER * size - _HUBER**2)
    return float(huber.sum() + (other**2).sum())


def _system(
    task: _Task, vector: np.ndarray, free: np.ndarray, shift: np.ndarray, loose: float
) -> tuple[np.ndarray, np.ndarray]:
    """Normal matrix and right side; slopes by central differences."""
    dots, other = _residuals(task, vector, shift)
    sigma = DOT_PX * loose
    weight = np.sqrt(_weights(dots, sigma))[:, None] / sigma
    columns = []
    steps = _steps(task)
    for k in np.nonzero(free)[0]:
        up, down = vector.copy(), vector.copy()
        up[k] += steps[k]
        down[k] -= steps[k]
        rows = _moved_by(task, int(k))
        slope = np.zeros_like(dots)
        slope[rows] = np.nan_to_num(
            _seen(task, up, task.obs.local, rows) - _seen(task, down, task.obs.local, rows), nan=0.0
        )
        columns.append(
            np.concatenate([(weight * slope).ravel(), _others(task, up) - _others(task, down)]) / (2.0 * steps[k])
        )
    a = np.array(columns)
    return a @ a.T, a @ np.concatenate([(weight * dots).ravel(), other])


def _steps(task: _Task) -> np.ndarray:
    pose = [1e-6, 1e-6, 1e-6, 1e-3, 1e-3, 1e-3, 1e-2, 1e-2]
    if task.scan:
        pose = [1e-5, 1e-5, 1e-2, 1e-5, 1e-5, 1e-2, 1e-2, 1e-2]
    return np.array(
        [1e-1, 1e-1, 1e-1, 1e-4, 1e-4, 1e-4, 1e-5, 1e-5]
        + pose * task.obs.pictures
        + [1e-3, 1e-3, 1e-6] * len(task.obs.strips)
        + [1e-6, 1e-6]
    )


def _solved(
    task: _Task, vector: np.ndarray, free: np.ndarray, rounds: int, loose: float = 1.0
) -> tuple[np.ndarray, np.ndarray]:
    """Damped Gauss-Newton steps; returns the vector and the circles' shifts that belong to it."""
    shift = _circle_shifts(task, vector)
    damp, cost = 1e-4, _cost(task, vector, shift, loose)
    for _ in range(rounds):
        normal, right = _system(task, vector, free, shift, loose)
        better = False
        for _ in range(8):
            step = np.linalg.solve(normal + damp * np.diag(np.diag(normal)), right)
            new = vector.copy()
            new[free] -= step
            trial = _cost(task, new, shift, loose)
            if trial < cost:
                better = True
                damp = max(damp * 0.1, 1e-12)
                break
            damp *= 10.0
        if not better:
            break
        gain, vector = cost - trial, new
        shift = _circle_shifts(task, vector)
        cost = _cost(task, vector, shift, loose)
        if gain < 1e-6 * cost:
            break
    return vector, shift


def _finished(task: _Task, vector: np.ndarray, shift: np.ndarray) -> Adjusted:
    dots, _ = _residuals(task, vector, shift)
    weight = _weights(dots, DOT_PX)
    good = weight > 0.5
    chosen = dots[good] if good.sum() > 20 else dots
    rms = float(np.sqrt((chosen**2).mean()))
    free = _free(task, LENS)
    normal, _ = _system(task, vector, free, shift, max(rms / DOT_PX, 0.3))
    covariance = np.zeros((len(vector), len(vector)))
    covariance[np.ix_(free, free)] = np.linalg.inv(normal)
    lens, poses, strips, scale = unpacked(vector, task.obs.pictures)
    common = covariance[-2:, -2:].mean()
    return Adjusted(
        Views(lens.copy(), poses.copy(), task.scan),
        strips.copy(),
        scale.copy(),
        vector,
        covariance,
        -dots,
        weight,
        rms,
        float(np.sqrt(max(common, 0.0))),
    )
