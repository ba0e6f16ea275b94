"""Where the edge of the card's face lies in one picture, by a blurred step fitted to the light across it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cutplan.photo.adjustment.camera import Views
from cutplan.photo.edge.sites import Sites
from cutplan.photo.picture import Picture, sampled

#: Samples along the edge that are averaged for one site [mm].
BESIDE_MM = (-0.2, 0.0, 0.2)
#: Weight of the expectation of how light the wall is, in samples.
_WALL_WEIGHT = 2.0
#: A wall as wide as this many blurs shows how light it is, over many sites.
_WALL_BLURS = 1.8


@dataclass(frozen=True)
class Edges:
    """Edge of the face at each site, in one picture.

    ``offset`` (n,) how far out of the site the edge lies on the plane looked at [mm], not a number where none is seen;
    ``error`` (n,) its formal standard error [mm]; ``wall`` (n,) how wide the wall shows [mm], negative where the face
    hides it; ``step`` (n,) light between face and what lies beyond; ``noise`` (n,) what the fit leaves over;
    ``lean`` (n,) how far the edge would appear to move outward for each millimetre that it lies higher.
    """

    offset: np.ndarray
    error: np.ndarray
    wall: np.ndarray
    step: np.ndarray
    noise: np.ndarray
    lean: np.ndarray


@dataclass(frozen=True)
class Optics:
    """Blur of a picture [px] and how light the wall is between backing (0) and face (1)."""

    blur_px: float = 1.2
    wall: float = 0.7


def measure(
    picture: Picture,
    views: Views,
    number: int,
    sites: Sites,
    height_mm: np.ndarray,
    thickness_mm: float,
    colour: np.ndarray,
    reach_mm: float,
    optics: Optics,
) -> Edges:
    """Return the edges seen in one picture.

    Parameters
    ----------
    picture : Picture
        The picture.
    views : Views
        All views.
    number : int
        Which of them.
    sites : Sites
        Where to look.
    height_mm : (n,) array
        Height of the face over the marks at each site [mm].
    thickness_mm : float
        Thickness of the card [mm].
    colour : (3,) or (1,) array
        Weights of red, green and blue [1], or 1 for grey.
    reach_mm : float
        How far from the site the edge is looked for [mm].
    optics : Optics
        Blur and lightness of the wall.

    Notes
    -----
    The light is face, then wall where it shows, then backing, each step blurred alike; the widths follow from the
    place of the camera, so only the place of the face's edge and the three levels are unknown. After Devernay (1995)
    and von Gioi and Randall (2017) in fitting an edge below the pixel, from memory; the wall is our own addition.
    """
    wall, lean = _seen_from(views, number, sites, height_mm, thickness_mm)
    per_px = _mm_per_px(views, number, sites, height_mm)
    sigma = np.maximum(optics.blur_px * per_px, 1e-3)
    tau = _grid(sigma, wall, reach_mm, per_px)
    light = _profiles(picture, views, number, sites, height_mm, colour, tau)
    good = np.isfinite(light).all(axis=1)
    offset, error, step, noise = (np.full(len(tau), np.nan) for _ in range(4))
    if good.any():
        found = _fitted(light[good], tau[good], sigma[good], np.maximum(wall[good], 0.0), reach_mm, optics.wall)
        offset[good], error[good], step[good], noise[good] = found
    return Edges(offset, error, wall, step, noise, lean)


def best_blur(
    picture: Picture,
    views: Views,
    number: int,
    sites: Sites,
    height_mm: np.ndarray,
    thickness_mm: float,
    colour: np.ndarray,
    start: Optics,
) -> Optics:
    """Return blur and wall lightness that leave least over; parameters as for :func:`measure`, sites (n,) well placed."""
    wall, _ = _seen_from(views, number, sites, height_mm, thickness_mm)
    hidden = np.nonzero(wall <= 0.0)[0]
    chosen = hidden[:: max(1, len(hidden) // 250)]
    blur = start.blur_px
    if len(chosen) > 20:
        some = sites.chosen(chosen)
        tried = []
        for b in (0.6, 0.8, 1.0, 1.2, 1.45, 1.75, 2.1, 2.6, 3.2):
            e = measure(
                picture, views, number, some, height_mm[chosen], thickness_mm, colour, 0.6, Optics(b, start.wall)
            )
            tried.append((float(np.nanmedian(e.noise / np.abs(e.step))), b))
        blur = min(tried)[1]
    return Optics(
        blur, _wall_shade(picture, views, number, sites, height_mm, thickness_mm, colour, Optics(blur, start.wall))
    )


def _wall_shade(
    picture: Picture,
    views: Views,
    number: int,
    sites: Sites,
    height_mm: np.ndarray,
    thickness_mm: float,
    colour: np.ndarray,
    optics: Optics,
) -> float:
    wall, _ = _seen_from(views, number, sites, height_mm, thickness_mm)
    shown = np.nonzero(wall > _WALL_BLURS * optics.blur_px * _mm_per_px(views, number, sites, height_mm))[0]
    if len(shown) < 12:
        return optics.wall
    some, height, wide = sites.chosen(shown), height_mm[shown], wall[shown]
    per_px = _mm_per_px(views, number, some, height)
    sigma = optics.blur_px * per_px
    tau = _grid(sigma, wide, 0.6, per_px)
    light = _profiles(picture, views, number, some, height, colour, tau)
    good = np.isfinite(light).all(axis=1)
    if good.sum() < 12:
        return optics.wall
    # the sites lie on the edge, most of them by pictures in which the face hides the wall: only the levels are asked for
    zero = np.zeros(int(good.sum()))
    level, _, _ = _levels(light[good], tau[good], sigma[good], wide[good], zero, optics.wall, 1e-3)
    with np.errstate(divide="ignore", invalid="ignore"):
        told = (level[:, 1] - level[:, 2]) / (level[:, 0] - level[:, 2])
    return float(np.clip(np.nanmedian(told), 0.02, 1.0))


def _seen_from(
    views: Views, number: int, sites: Sites, height_mm: np.ndarray, thickness_mm: float
) -> tuple[np.ndarray, np.ndarray]:
    """Width that the wall shows on the face's plane [mm] and lean [1], from similar triangles (exact)."""
    eye = views.eye(number)
    if views.scan:
        zero = np.zeros(len(sites.xy))
        return zero, zero
    out = ((eye[:2] - sites.xy) * sites.normal).sum(axis=1)
    bottom = height_mm - thickness_mm
    return out * thickness_mm / (eye[2] - bottom), -out / (eye[2] - height_mm)


def _mm_per_px(views: Views, number: int, sites: Sites, height_mm: np.ndarray) -> np.ndarray:
    a = np.column_stack([sites.xy, height_mm])
    b = np.column_stack([sites.xy + 0.5 * sites.normal, height_mm])
    return np.asarray(0.5 / np.hypot(*(views.pixels(number, b) - views.pixels(number, a)).T))


def _grid(sigma: np.ndarray, wall: np.ndarray, reach_mm: float, per_px: np.ndarray) -> np.ndarray:
    """Distances from each site at which the light is taken, (n, k) [mm], about half a pixel apart."""
    typical = float(np.nanmedian(sigma))
    low = -(reach_mm + 3.0 * typical)
    high = reach_mm + 3.0 * typical + np.maximum(wall, 0.0)
    many = int(np.clip((2.0 * reach_mm + 6.0 * typical + 0.3) / (0.6 * float(np.nanmedian(per_px))), 16, 90))
    return np.asarray(low + (high - low)[:, None] * np.linspace(0.0, 1.0, many))


def _profiles(
    picture: Picture,
    views: Views,
    number: int,
    sites: Sites,
    height_mm: np.ndarray,
    colour: np.ndarray,
    tau: np.ndarray,
) -> np.ndarray:
    """Light across the edge, (n, k)."""
    along = np.stack([-sites.normal[:, 1], sites.normal[:, 0]], axis=1)
    total = np.zeros(tau.shape, dtype=np.float32)
    # JPEG keeps colour for every second pixel only: grey is used wherever it tells card from backing
    source = picture.rgb if colour.size == 3 else picture.grey
    weight = colour.astype(np.float32)
    for beside in BESIDE_MM:
        xy = sites.xy[:, None] + sites.normal[:, None] * tau[..., None] + beside * along[:, None]
        xyz = np.concatenate([xy, np.broadcast_to(height_mm[:, None, None], (*tau.shape, 1))], axis=-1)
        total += sampled(source, views.pixels(number, xyz), picture.tone) @ weight
    return total / len(BESIDE_MM)


def _fitted(
    light: np.ndarray, tau: np.ndarray, sigma: np.ndarray, wall: np.ndarray, reach_mm: float, ratio: float
) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    """Offset, formal error, step and noise of each profile: the best of a row of places, then Gauss-Newton."""
    wide = float(np.median(sigma))
    places = np.arange(-reach_mm, reach_mm + 1e-9, max(1.2 * wide, reach_mm / 25.0))
    # half the digits are enough to tell the best place from its neighbours
    seen, away, blur, wide_mm = (a.astype(np.float32) for a in (light, tau, sigma, wall))
    rows = (_levels(seen, away, blur, wide_mm, np.full(len(light), p, np.float32), ratio)[1] for p in places)
    costs = np.stack(list(rows), axis=1)
    best = np.argmin(costs, axis=1)
    at = places[best]
    for _ in range(5):
        level, _, left = _levels(light, tau, sigma, wall, at, ratio)
        slope = _slope(tau, sigma, wall, at, level)
        power = np.maximum((slope**2).sum(axis=1), 1e-12)
        move = np.clip((left * slope).sum(axis=1) / power, -1.0 * sigma, 1.0 * sigma)
        at = np.clip(at + move, -reach_mm, reach_mm)
    level, _, left = _levels(light, tau, sigma, wall, at, ratio)
    slope = _slope(tau, sigma, wall, at, level)
    noise = np.sqrt((left**2).sum(axis=1) / max(1, tau.shape[1] - 4))
    step = level[:, 0] - level[:, 2]
    error = noise / np.sqrt(np.maximum((slope**2).sum(axis=1), 1e-12))
    lost = np.abs(at) >= reach_mm - 1e-9
    at = np.where(lost, np.nan, at)
    return at, error, step, noise


def _levels(
    light: np.ndarray,
    tau: np.ndarray,
    sigma: np.ndarray,
    wall: np.ndarray,
    at: np.ndarray,
    ratio: float,
    prior_weight: float = _WALL_WEIGHT,
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Light of face, wall and backing that fit best for an edge at a place; the cost; what is left over."""
    from scipy.special import ndtr

    s1 = ndtr((tau - at[:, None]) / sigma[:, None])
    s2 = ndtr((tau - (at + wall)[:, None]) / sigma[:, None])
    a = np.stack([1.0 - s1, s1 - s2, s2], axis=1)
    normal = a @ a.transpose(0, 2, 1)
    right = (a @ light[..., None])[..., 0]
    # wall = backing + ratio (face - backing), worth a few samples: decides where the wall is too narrow to be seen
    prior = np.array([-ratio, 1.0, ratio - 1.0], light.dtype)
    normal = normal + prior_weight * np.outer(prior, prior) + np.eye(3, dtype=light.dtype) * light.dtype.type(1e-9)
    level = np.linalg.solve(normal, right[..., None])[..., 0]
    left = light - (level[:, None] @ a)[:, 0]
    cost = (left**2).sum(axis=1) + prior_weight * (level @ prior) ** 2
    return level, cost, left


def _slope(tau: np.ndarray, sigma: np.ndarray, wall: np.ndarray, at: np.ndarray, level: np.ndarray) -> np.ndarray:
    """How the light changes when the edge moves outward."""
    p1 = np.exp(-0.5 * ((tau - at[:, None]) / sigma[:, None]) ** 2) / (2.50662827 * sigma[:, None])
    p2 = np.exp(-0.5 * ((tau - (at + wall)[:, None]) / sigma[:, None]) ** 2) / (2.50662827 * sigma[:, None])
    return np.asarray((level[:, :1] - level[:, 1:2]) * p1 + (level[:, 1:2] - level[:, 2:]) * p2)
