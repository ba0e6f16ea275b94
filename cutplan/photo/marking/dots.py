"""Dark round dots on white paper, found in a picture and placed to a fraction of a pixel."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cutplan.photo.marking.marks import DOT_MM, HOLLOW_MM
from cutplan.photo.picture import light_of_byte

_RHO2 = (HOLLOW_MM / DOT_MM) ** 2
#: Area over the area that the second moments tell: 1 for a full ellipse, less for a hollow one (exact formula).
_HOLLOW_SHARE = (1.0 - _RHO2) / (1.0 + _RHO2)
#: Unevenness of the paper round a dot that is still even, as a part of the contrast; noise of a dim picture stays below.
_EVEN = 0.09
#: Most dots looked at in one picture.
_MOST = 4000


@dataclass(frozen=True)
class Dots:
    """Dots of one picture.

    ``px`` (n, 2) centroids [px]; ``shape`` (n, 2, 2) maps the unit circle to the dot's edge [px]; ``solid`` (n,);
    ``even`` (n,) tells whether the light round the dot is even: a shadow's edge across it moves its centroid.
    """

    px: np.ndarray
    shape: np.ndarray
    solid: np.ndarray
    even: np.ndarray


def find_dots(grey: np.ndarray) -> Dots:
    """Return the dots of a picture.

    Parameters
    ----------
    grey : (height, width) uint8 array
        The picture as stored.

    Returns
    -------
    Dots
        Candidates in no order; what is no dot of a strip falls out when strips are read.
    """
    centre, cov, _ = _candidates(grey)
    table = light_of_byte()
    px, shape, solid, even = [], [], [], []
    for c, k in zip(centre, cov, strict=True):
        placed = _placed(grey, table, c, k)
        if placed is not None:
            px.append(placed[0])
            shape.append(placed[1])
            solid.append(placed[2])
            even.append(placed[3])
    return Dots(
        np.array(px).reshape(-1, 2),
        np.array(shape).reshape(-1, 2, 2),
        np.array(solid, dtype=bool),
        np.array(even, dtype=bool),
    )


def _candidates(grey: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Centres [px], second moments [px2] of dark blobs that have the area of an ellipse or of a ring."""
    from scipy import ndimage

    # looked for at half the size in large pictures: four times less to go through, placed in the full one later
    step = 2 if grey.size > 5_000_000 else 1
    small = grey
    if step == 2:
        h, w = grey.shape[0] // 2 * 2, grey.shape[1] // 2 * 2
        q = grey[:h, :w].astype(np.uint16)
        small = ((q[::2, ::2] + q[1::2, ::2] + q[::2, 1::2] + q[1::2, 1::2]) // 4).astype(np.uint8)
    values = small.astype(np.float32)
    window = max(31, int(0.025 * max(small.shape))) | 1
    level = ndimage.uniform_filter(values, window, mode="nearest")
    dark = values < level * 0.86 - 3.0
    labels, count = ndimage.label(dark)
    if count == 0:
        return np.zeros((0, 2)), np.zeros((0, 2, 2)), np.zeros(0)
    y, x = np.nonzero(dark)
    which = labels[y, x]
    n = np.bincount(which, minlength=count + 1).astype(float)
    keep = (n >= 40) & (n <= 0.004 * small.size)
    keep[0] = False
    wanted = keep[which]
    which, x, y = which[wanted], x[wanted].astype(float), y[wanted].astype(float)
    size = np.maximum(n, 1.0)
    mx, my = (np.bincount(which, q, count + 1) / size for q in (x, y))
    xx, xy, yy = (np.bincount(which, q, count + 1) / size for q in (x * x, x * y, y * y))
    cov = np.empty((count + 1, 2, 2))
    cov[:, 0, 0], cov[:, 1, 1] = xx - mx * mx + 1 / 12, yy - my * my + 1 / 12
    cov[:, 0, 1] = cov[:, 1, 0] = xy - mx * my
    det = cov[:, 0, 0] * cov[:, 1, 1] - cov[:, 0, 1] ** 2
    with np.errstate(invalid="ignore", divide="ignore"):
        share = n / (4.0 * np.pi * np.sqrt(np.maximum(det, 1e-12)))
        trace = cov[:, 0, 0] + cov[:, 1, 1]
        flat = 4.0 * det / trace**2  # 1 for a circle, 0.64 for axes 1 to 2
    full = (share > 0.93) & (share < 1.06)
    ring = (share > _HOLLOW_SHARE - 0.16) & (share < 0.93)
    keep &= (full | ring) & (flat > 0.4)
    chosen = np.nonzero(keep)[0][:_MOST]
    cov = cov[chosen]
    cov[~full[chosen]] /= 1.0 + _RHO2
    return np.stack([mx[chosen], my[chosen]], 1) * step + 0.5 * (step - 1), cov * step**2, share[chosen]


def _placed(
    grey: np.ndarray, table: np.ndarray, centre: np.ndarray, cov: np.ndarray
) -> tuple[np.ndarray, np.ndarray, bool, bool] | None:
    """Centroid of a dot's darkness against the paper round it, in light; None where there is no paper round it."""
    shape = 2.0 * _root(cov)
    reach = np.ceil(2.0 * np.sqrt((shape**2).sum(axis=1))).astype(int) + 1
    left, top = np.rint(centre).astype(int) - reach
    right, bottom = np.rint(centre).astype(int) + reach
    if left < 0 or top < 0 or right >= grey.shape[1] or bottom >= grey.shape[0]:
        return None
    light = table[grey[top : bottom + 1, left : right + 1]].astype(float)
    v, u = np.mgrid[top : bottom + 1, left : right + 1].astype(float)
    at = np.stack([u - centre[0], v - centre[1]])
    unit = np.linalg.inv(shape) @ at.reshape(2, -1)
    r = np.hypot(unit[0], unit[1]).reshape(u.shape)
    rim = (r > 1.45) & (r < 1.85)
    if int(rim.sum()) < 12:
        return None
    a = np.stack([np.ones(int(rim.sum())), at[0][rim], at[1][rim]], axis=1)
    paper, *_ = np.linalg.lstsq(a, light[rim], rcond=None)
    left_over = float(np.std(light[rim] - a @ paper))
    white = paper[0] + paper[1] * at[0] + paper[2] * at[1]
    core = float(np.median(light[(r > 0.6) & (r < 0.8)]))
    if paper[0] < 0.02 or white.min() <= 0.0 or core > 0.7 * paper[0] or left_over > 0.2 * (paper[0] - core):
        return None
    darkness = np.where(r < 1.45, 1.0 - light / white, 0.0)
    total = float(darkness.sum())
    offset = np.array([(darkness * at[0]).sum(), (darkness * at[1]).sum()]) / total
    if np.hypot(*offset) > 0.4 * np.sqrt(abs(np.linalg.det(shape))):
        return None
    middle = float(np.median(light[r < 0.22])) if np.any(r < 0.22) else core
    solid = middle < core + 0.3 * (paper[0] - core)
    return centre + offset, shape, solid, left_over < _EVEN * (paper[0] - core)


def _root(cov: np.ndarray) -> np.ndarray:
    values, vectors = np.linalg.eigh(cov)
    return np.asarray((vectors * np.sqrt(np.maximum(values, 1e-6))) @ vectors.T)
