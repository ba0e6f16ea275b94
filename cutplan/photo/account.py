"""The account of errors: how sure each line, radius, hole and the whole scale are."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cutplan.photo.adjustment.adjust import Adjusted, unpacked
from cutplan.photo.adjustment.camera import Views
from cutplan.photo.edge.fitted import Fit, members, residuals, tangency
from cutplan.photo.edge.height import terms
from cutplan.photo.edge.outline import Outline

#: Draws of the adjustment's unknowns that are carried through to the plate.
_DRAWS = 40
#: What no calculation shows, as a standard error of every edge [px]: its shading, its fibres, the camera's own sharpening.
FLOOR_PX = 0.06
#: Standard error of the height where no second picture tells it [mm].
_UNTOLD_HEIGHT_MM = 0.15


@dataclass(frozen=True)
class PieceError:
    """Standard errors of one piece [mm]: across it at its middle, along a round one's radius, of its centre, of its tilt [rad]."""

    place_mm: float
    radius_mm: float
    centre_mm: float
    tilt_rad: float


@dataclass(frozen=True)
class Account:
    """Standard errors: pieces of each ring, whole scale [1], height of the face [mm] (None: not told)."""

    rings: tuple[tuple[PieceError, ...], ...]
    scale: float
    height_mm: float | None


def account(outline: Outline, adjusted: Adjusted, views: Views, height_told: bool) -> Account:
    """Return how sure the plate is.

    Parameters
    ----------
    outline : Outline
        The edge in pieces.
    adjusted : Adjusted
        The adjustment with its covariance.
    views : Views
        Where the pictures were taken.
    height_told : bool
        Whether the pictures tell the height of the face.

    Notes
    -----
    Three parts are added by their squares: what the edges scatter about their pieces, with the run over which
    neighbouring edges err alike; what lens, poses, strips, print scale and height may be off, by draws from their
    covariance carried through to the pieces; a floor. Only errors within the plate count: a turn or a shift of the whole
    is taken out of every draw.
    """
    middle = np.array([*outline.points.mean(axis=0), 0.0])
    floor = FLOOR_PX * float(np.median([views.mm_per_px(i, middle) for i in range(len(views.poses))]))
    shifts = _draws(outline, adjusted, views, height_told)
    rings = []
    for ring, one in enumerate(outline.fits):
        mine = np.nonzero(outline.sites.ring == ring)[0]
        rings.append(_ring(one, outline.points[mine], outline.weight[mine], shifts[:, mine], floor))
    told = float(np.median(outline.combined.higher_error(outline.sites.xy))) if height_told else None
    return Account(tuple(rings), adjusted.scale_error, told)


def _draws(outline: Outline, adjusted: Adjusted, views: Views, height_told: bool) -> np.ndarray:
    """How far each edge would move outward [mm] for draws of everything that was solved, (draws, n)."""
    rng = np.random.default_rng(11)
    n, pictures = len(outline.points), len(views.poses)
    root = _root(adjusted.covariance)
    surface = _root(outline.combined.surface_cov)
    seen = np.stack(
        [np.isfinite(e.offset) / np.maximum(np.nan_to_num(e.error, nan=1.0), 0.01) ** 2 for e in outline.edges]
    )
    seen = seen / np.maximum(seen.sum(axis=0), 1e-12)
    lean = (seen * np.stack([e.lean for e in outline.edges])).sum(axis=0)
    slopes = [_slopes(views, i, outline) for i in range(pictures)]
    out = np.zeros((_DRAWS, n))
    for d in range(_DRAWS):
        lens, poses, _, _ = unpacked(adjusted.vector + root @ rng.standard_normal(root.shape[1]), pictures)
        other = Views(lens, poses, views.scan)
        move = np.zeros((n, 2))
        for i in range(pictures):
            base, inverse = slopes[i]
            xyz = np.column_stack([outline.points, outline.height])
            off = np.einsum("nij,nj->ni", inverse, base - other.pixels(i, xyz))
            move += seen[i][:, None] * np.nan_to_num(off)
        if not views.scan:
            if height_told:
                q = (outline.points - outline.combined.middle) / outline.combined.size
                rise = terms(q) @ (surface @ rng.standard_normal(6))
            else:
                rise = np.full(n, _UNTOLD_HEIGHT_MM * rng.standard_normal())
            move -= outline.sites.normal * (lean * rise)[:, None]
        out[d] = (_without_turn(outline.points, move) * outline.sites.normal).sum(axis=1)
    return out


def _root(covariance: np.ndarray) -> np.ndarray:
    values, vectors = np.linalg.eigh(0.5 * (covariance + covariance.T))
    return np.asarray(vectors * np.sqrt(np.maximum(values, 0.0)))


def _slopes(views: Views, picture: int, outline: Outline) -> tuple[np.ndarray, np.ndarray]:
    xyz = np.column_stack([outline.points, outline.height])
    base = views.pixels(picture, xyz)
    dx = (views.pixels(picture, xyz + np.array([0.1, 0.0, 0.0])) - base) / 0.1
    dy = (views.pixels(picture, xyz + np.array([0.0, 0.1, 0.0])) - base) / 0.1
    return base, np.linalg.inv(np.stack([dx, dy], axis=2))


def _without_turn(points: np.ndarray, move: np.ndarray) -> np.ndarray:
    p = points - points.mean(axis=0)
    m = move - move.mean(axis=0)
    turn = float((p[:, 0] * m[:, 1] - p[:, 1] * m[:, 0]).sum() / (p**2).sum())
    return np.asarray(m - turn * np.stack([-p[:, 1], p[:, 0]], axis=1))


def _ring(
    one: Fit, points: np.ndarray, weight: np.ndarray, shifts: np.ndarray, floor_mm: float
) -> tuple[PieceError, ...]:
    q = points - one.origin
    count = len(one.pieces)
    runs = [np.arange(len(q))] if one.is_circle else [members(len(q), p) for p in one.pieces]
    slope = np.zeros((len(q), 3 * count))
    left = np.zeros(len(q))
    for k, run in enumerate(runs):
        left[run], slope[run, 3 * k : 3 * k + 3] = residuals(one.pieces[k].round, one.values[k], q[run])
    trusted = weight * np.minimum(1.0, (0.08 / np.maximum(np.abs(left), 1e-9)) ** 2)
    normal = (slope * trusted[:, None]).T @ slope
    normal[np.diag_indices(3 * count)] += 1e-9 * np.trace(normal)
    bonds = [tangency(one.pieces, one.values, k, one.turning)[1] for k in range(count) if one.tangent[k] and count > 1]
    inverse = _bonded(normal, np.array(bonds).reshape(-1, 3 * count))
    pull = inverse @ (slope * trusted[:, None]).T
    sigma2 = float((trusted * left**2).sum() / max(1, len(q) - 3 * count)) * _alike(left)
    # an outward shift of the edge moves a line along its normal, which may point inward
    outward = np.concatenate([np.full(len(run), _sign(one, k, q[run])) for k, run in enumerate(runs)])
    order = np.concatenate(runs)
    signed = np.zeros_like(shifts)
    signed[:, order] = shifts[:, order] * outward
    spread = (pull @ signed.T) if len(shifts) else np.zeros((3 * count, 1))
    cov = inverse * sigma2 + spread @ spread.T / spread.shape[1]
    return tuple(
        _piece(one, k, cov[3 * k : 3 * k + 3, 3 * k : 3 * k + 3], q[run], floor_mm) for k, run in enumerate(runs)
    )


def _sign(one: Fit, k: int, run: np.ndarray) -> float:
    """+1 where moving out of the material raises what :func:`residuals` tells, else -1."""
    way = run[-1] - run[0]
    if one.pieces[k].round:
        return float(one.turning[k])
    out = np.array([way[1], -way[0]])
    normal = np.array([np.cos(one.values[k, 0]), np.sin(one.values[k, 0])])
    return 1.0 if float(out @ normal) > 0 else -1.0


def _bonded(normal: np.ndarray, bonds: np.ndarray) -> np.ndarray:
    """Inverse of a normal matrix under conditions that hold exactly."""
    inverse = np.linalg.inv(normal)
    if not len(bonds):
        return inverse
    b = inverse @ bonds.T
    out: np.ndarray = inverse - b @ np.linalg.pinv(bonds @ b, rcond=1e-9, hermitian=True) @ b.T
    return out


def _alike(left: np.ndarray) -> float:
    """How many neighbouring edges err alike, from the residuals' own correlation, 1 or more."""
    r = np.clip(left, -0.15, 0.15)
    power = float((r * r).sum())
    if power <= 0.0:
        return 1.0
    total = 1.0
    for lag in range(1, min(60, len(r) // 3)):
        c = float((r[:-lag] * r[lag:]).sum()) / power
        if c < 0.05:
            break
        total += 2.0 * c
    return total


def _piece(one: Fit, k: int, cov: np.ndarray, run: np.ndarray, floor_mm: float) -> PieceError:
    floor = floor_mm**2
    middle = run[len(run) // 2]
    slope = residuals(one.pieces[k].round, one.values[k], middle[None])[1][0]
    place = float(np.sqrt(max(slope @ cov @ slope, 0.0) + floor))
    if one.pieces[k].round:
        # the floor acts on the whole edge: on a short arc it counts by how much of the circle is seen
        span = min(1.0, _span(one, k, run) / np.pi)
        lever = 1.0 / max(1.0 - np.cos(0.5 * np.pi * span), 0.02)
        centre = float(np.sqrt(0.5 * max(cov[0, 0] + cov[1, 1], 0.0) + floor * max(1.0, 0.5 * lever)))
        return PieceError(place, float(np.sqrt(max(cov[2, 2], 0.0) + floor * lever)), centre, 0.0)
    length = float(np.hypot(*(run[-1] - run[0])))
    tilt = float(np.sqrt(max(cov[0, 0], 0.0) + 12.0 * floor / max(length, 1.0) ** 2))
    return PieceError(place, 0.0, 0.0, tilt)


def _span(one: Fit, k: int, run: np.ndarray) -> float:
    a = run - one.values[k, :2]
    angle = np.unwrap(np.arctan2(a[:, 1], a[:, 0]))
    return float(abs(angle[-1] - angle[0]))
