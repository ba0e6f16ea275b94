"""How the camera stores light, told from the marks: a blurred edge is even on both sides only in light itself."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from cutplan.findings import Finding
from cutplan.photo.marking.dots import Dots
from cutplan.photo.marking.marks import DOT_MM
from cutplan.photo.picture import Picture, light_of_byte
from cutplan.texts import mm, say

#: How far from a dot's edge the light is looked at, and the width of a bin [px].
_REACH_PX, _BIN_PX = 4.0, 0.1
#: Dots of one picture and of all pictures that are enough, and fewest of one that tell anything.
_ENOUGH, _ENOUGH_OF_ALL, _FEWEST = 200, 240, 12
#: What the flanks say from 0 (light stored as it is) to 1 (the usual curve): below and above these it is settled.
_PLAIN_BELOW, _USUAL_ABOVE = 0.35, 0.65
#: Unevenness that neither curve explains [1]; blurred edges leave 0.004 at most.
_NEITHER = 0.008
#: The edges of the marks may move by this much between the tones before anybody need care [px].
_CARE_PX = 0.3


@dataclass(frozen=True)
class Flanks:
    """What the edges of one picture's dots say.

    ``usual`` is 1 where they are uneven as the usual curve makes them, 0 where they are even as stored; ``left`` the
    unevenness that this leaves unexplained [part of the step]; ``radius_px`` the mean radius of the dots [px] and
    ``shift_px`` how much larger it comes out as stored.
    """

    usual: float
    left: float
    radius_px: float
    shift_px: float


def flanks(grey: np.ndarray, dots: Dots, enough: int = _ENOUGH) -> Flanks | None:
    """Return what the flanks of the dots' edges say about the curve that light is stored by.

    Parameters
    ----------
    grey : (height, width) uint8 array
        The picture as stored.
    dots : Dots
        Its dots; only solid ones under even light are looked at.
    enough : int
        How many of them are looked at, about.

    Returns
    -------
    Flanks or None
        None where too few dots are seen.

    Notes
    -----
    A lens and a sensor blur light alike on both sides of an edge, so the curve across it is odd about its middle; stored
    by the usual curve it is not, by an amount that follows from the blur and the two levels. Ink that spreads moves the
    edge and leaves its flanks even, so it is not taken for a tone. Own argument; many slanted edges taken as one is the
    way of ISO 12233, from memory.
    """
    chosen = np.nonzero(dots.solid & dots.even)[0]
    chosen = chosen[:: max(1, len(chosen) // enough)]
    stored, usual = (
        [a for a in (_across(grey, light_of_byte(tone), dots.px[k], dots.shape[k]) for k in chosen) if a]
        for tone in ("plain", "srgb")
    )
    if min(len(stored), len(usual)) < _FEWEST:
        return None
    seen, wide = _unevenness(*(np.concatenate([a[i] for a in stored]) for i in (0, 1)))
    _, blur = _unevenness(*(np.concatenate([a[i] for a in usual]) for i in (0, 1)))
    dark, paper = (float(np.mean([a[i] for a in usual])) for i in (3, 4))
    if not (np.isfinite(seen).all() and blur > 0.0 and wide > 0.0):
        return None
    foreseen, _ = _unevenness(*_stored_by_the_usual_curve(blur, dark, paper))
    share = float(seen @ foreseen / (foreseen @ foreseen))
    left = float(np.sqrt(np.mean((seen - np.clip(share, 0.0, 1.0) * foreseen) ** 2)))
    radius, other = (float(np.mean([a[2] for a in many])) for many in (usual, stored))
    return Flanks(share, left, radius, abs(radius - other))


def in_their_tone(pictures: Sequence[Picture], dots: Sequence[Dots]) -> tuple[list[Picture], list[Finding]]:
    """Return the pictures with the tone in which the marks' edges are even, and what is doubtful about it.

    All pictures come from one camera: their evidence is put together. Where it does not decide, the usual tone stays and
    the finding says how far edges may be off [mm].
    """
    enough = min(_ENOUGH, _ENOUGH_OF_ALL // len(pictures))
    told = [f for f in (flanks(p.grey, d, enough) for p, d in zip(pictures, dots, strict=True)) if f]
    if not told:
        return list(pictures), []
    usual, left, shift_px, radius_px = (
        float(np.mean([getattr(f, key) for f in told])) for key in ("usual", "left", "shift_px", "radius_px")
    )
    shift_mm = shift_px * 0.5 * DOT_MM / radius_px
    if left < _NEITHER and (usual > _USUAL_ABOVE or shift_px < _CARE_PX):
        return list(pictures), []
    if left < _NEITHER and usual < _PLAIN_BELOW:
        finding = Finding(
            "tone-plain",
            "note",
            say(
                "the camera stores light without the usual tone curve; the edges are measured so (they would else lie "
                "{shift} further in)",
                shift=mm(shift_mm, 2),
            ),
        )
        return [replace(p, tone="plain") for p in pictures], [finding]
    finding = Finding(
        "tone-unsure",
        "warning",
        say(
            "the marks do not tell how the camera stores light: every edge may be off by {shift}", shift=mm(shift_mm, 2)
        ),
        "",
        say(
            "use the camera's plain mode, without high contrast, night or beauty mode, and measure one hole with a caliper"
        ),
    )
    return list(pictures), [finding]


def _stored_by_the_usual_curve(blur_px: float, dark: float, paper: float) -> tuple[np.ndarray, np.ndarray]:
    """A blurred step of light from dark to paper as stored by the usual curve: distances [px] and levels 0 to 1."""
    from scipy.special import ndtr

    away = np.arange(-_REACH_PX - 1.0, _REACH_PX + 1.0, 0.02)
    table = light_of_byte("srgb")
    stored = np.interp([dark, paper], table, np.arange(256.0))
    byte = np.interp(dark + (paper - dark) * ndtr(away / blur_px), table, np.arange(256.0))
    return away, (byte - stored[0]) / (stored[1] - stored[0])


def _across(
    grey: np.ndarray, table: np.ndarray, centre: np.ndarray, shape: np.ndarray
) -> tuple[np.ndarray, np.ndarray, float, float, float] | None:
    """Distances from the edge of one dot [px], light there from 0 in it to 1 on the paper; radius [px], dark, paper."""
    reach = np.ceil(1.75 * np.sqrt((shape**2).sum(axis=1))).astype(int) + 1
    left, top = np.rint(centre).astype(int) - reach
    right, bottom = np.rint(centre).astype(int) + reach
    if left < 0 or top < 0 or right >= grey.shape[1] or bottom >= grey.shape[0]:
        return None
    light = table[grey[top : bottom + 1, left : right + 1]].astype(float)
    v, u = np.mgrid[top : bottom + 1, left : right + 1].astype(float)
    at = np.stack([u.ravel() - centre[0], v.ravel() - centre[1]])
    r = np.hypot(*(np.linalg.inv(shape) @ at))
    flat = light.ravel()
    rim, core = (r > 1.45) & (r < 1.75), r < 0.6
    if rim.sum() < 12 or core.sum() < 8:
        return None
    a = np.stack([np.ones(len(r)), *at], axis=1)
    paper, *_ = np.linalg.lstsq(a[rim], flat[rim], rcond=None)
    dark = float(flat[core].mean())
    level = (flat - dark) / np.maximum(a @ paper - dark, 1e-6)
    # centre, axes and area again, from the darkness itself: the area of a blurred disc is the area of the disc
    weight = np.where(r < 1.45, 1.0 - level, 0.0)
    area = float(weight.sum())
    middle = at @ weight / area
    q = at - middle[:, None]
    cov = (q * weight) @ q.T / area
    values, vectors = np.linalg.eigh(cov)
    axes = np.sqrt(np.maximum(values, 1e-6))
    axes *= np.sqrt(area / np.pi / axes.prod())
    unit = (vectors / axes) @ vectors.T @ q
    rho = np.hypot(*unit)
    slope = np.hypot(*((vectors / axes) @ vectors.T @ unit)) / np.maximum(rho, 1e-6)
    away = (rho - 1.0) / np.maximum(slope, 1e-6)
    near = (np.abs(away) < _REACH_PX + 1.0) & (r > 0.3)
    return away[near], level[near], float(np.sqrt(area / np.pi)), dark, float(paper[0])


def _unevenness(away: np.ndarray, level: np.ndarray) -> tuple[np.ndarray, float]:
    """How far the curve across an edge is from being odd about its middle at each distance [1], and its blur [px]."""
    many = round(2 * (_REACH_PX + 1.0) / _BIN_PX)
    which = np.clip(((away + _REACH_PX + 1.0) / _BIN_PX).astype(int), 0, many - 1)
    count = np.maximum(np.bincount(which, minlength=many), 1)
    curve = np.bincount(which, level, many) / count
    x = np.bincount(which, away, many) / count
    inner = np.nonzero(np.abs(x) < 3.0)[0]
    rising = np.maximum.accumulate(curve[inner])
    low, middle, high = np.interp([0.1587, 0.5, 0.8413], rising, x[inner])
    t = np.arange(0.1, 3.0, 0.1)
    both = np.interp(middle + t, x, curve) + np.interp(middle - t, x, curve) - 1.0
    return both, float(0.5 * (high - low))
