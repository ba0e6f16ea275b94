"""What the pictures show of the strips, as one table of observations."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from cutplan.photo.marking.dots import Dots
from cutplan.photo.marking.marks import DOT_MM, HOLLOW_MM, LETTERS, dot_places, words
from cutplan.photo.marking.strips import SeenStrip

#: Fewest dots of a strip in a picture that are worth using.
FEWEST_DOTS = 8
_RHO2 = (HOLLOW_MM / DOT_MM) ** 2


@dataclass(frozen=True)
class Observed:
    """Dots seen: for each the picture, the strip (row in ``strips``), its place on the strip [mm], where it is seen [px].

    ``strips`` holds the numbers of the strips used, in order; ``solid`` tells the kind of each dot; ``size`` the
    picture's width and height [px]; ``dot_mm`` the diameter of the dots, 0 for points without size.
    """

    picture: np.ndarray
    strip: np.ndarray
    local: np.ndarray
    px: np.ndarray
    solid: np.ndarray
    strips: tuple[int, ...]
    pictures: int
    size: tuple[int, int]
    dot_mm: float = DOT_MM

    def letter(self, row: int) -> str:
        """Return the letter printed on a strip."""
        return LETTERS[self.strips[row]]


@dataclass(frozen=True)
class Distance:
    """A length measured between two crosses: (strip row, cross 0 or 1) twice, length and its standard error [mm]."""

    first: tuple[int, int]
    second: tuple[int, int]
    length_mm: float
    error_mm: float


def observed(
    dots: Sequence[Dots], seen: Sequence[Sequence[SeenStrip]], size: tuple[int, int], use: Sequence[int]
) -> Observed:
    """Return the table of observations.

    Parameters
    ----------
    dots, seen : sequences
        Dots and strips of each picture.
    size : (int, int)
        Width and height of the pictures [px].
    use : sequence of int
        Numbers of the strips to use.
    """
    strips = tuple(sorted(use))
    row = {number: i for i, number in enumerate(strips)}
    picture, strip, local, px, solid = [], [], [], [], []
    places, word = dot_places(), words()
    for i, (d, found) in enumerate(zip(dots, seen, strict=True)):
        for s in found:
            if s.strip not in row:
                continue
            r, c = np.nonzero((s.dots >= 0) & d.even[s.dots])
            if len(r) < FEWEST_DOTS:
                continue
            picture.append(np.full(len(r), i))
            strip.append(np.full(len(r), row[s.strip]))
            local.append(places[r, c])
            px.append(d.px[s.dots[r, c]])
            solid.append(word[s.strip, r, c])
    return Observed(
        np.concatenate(picture),
        np.concatenate(strip),
        np.concatenate(local),
        np.concatenate(px),
        np.concatenate(solid),
        strips,
        len(dots),
        size,
    )


def circle_shift(ring_px: np.ndarray, centre_px: np.ndarray, hollow_px: np.ndarray, solid: np.ndarray) -> np.ndarray:
    """Return how far the middle of a dot's dark area lies from the image of its centre.

    Parameters
    ----------
    ring_px : (n, m, 2) array
        Image of the dot's edge as a polygon [px].
    centre_px : (n, 2) array
        Image of its centre [px].
    hollow_px : (n, m, 2) array
        Image of the edge of its hollow [px].
    solid : (n,) bool array
        Whether the dot has no hollow.

    Returns
    -------
    (n, 2) array
        Shift [px]; the image of a circle's centre is not the centre of its image (exact for the polygon's area; known
        from J. Heikkila, Geometric camera calibration using circular control points, IEEE PAMI 22 (2000) 1066-1077).
    """
    outer, area = _middle(ring_px - centre_px[:, None])
    inner, less = _middle(hollow_px - centre_px[:, None])
    less = np.where(solid, 0.0, less)
    return np.asarray((outer * area[:, None] - inner * less[:, None]) / (area - less)[:, None])


def _middle(p: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    q = np.roll(p, -1, axis=1)
    cross = p[..., 0] * q[..., 1] - q[..., 0] * p[..., 1]
    area = 0.5 * cross.sum(axis=1)
    return ((p + q) * cross[..., None]).sum(axis=1) / (6.0 * area[:, None]), area
