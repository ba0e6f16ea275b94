"""The strips of marks: three rows of dots whose solid and hollow ones spell the strip's letter."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np

#: Distance between the centres of neighbouring dots [mm].
PITCH_MM = 13.0
#: Diameter of a dot and of the hollow in a hollow one [mm].
DOT_MM = 8.0
HOLLOW_MM = 3.6
ROWS = 3
COLUMNS = 11
#: Measuring crosses: on the middle row, one and a quarter pitches beyond the outer columns [mm from the strip's middle].
CROSS_MM = 0.5 * (COLUMNS - 1) * PITCH_MM + 1.25 * PITCH_MM
#: Outer size of a strip, cut out [mm].
LENGTH_MM = 2.0 * (CROSS_MM + 8.0)
WIDTH_MM = (ROWS - 1) * PITCH_MM + 20.0
#: Thickness of the paper: the marks lie this much above what the card lies on [mm]; 80 g/m2, common practice.
PAPER_MM = 0.1
#: Letters of the strips; I and O are left out because they read as figures.
LETTERS = "ABCDEFGHJKLM"

# One word for each letter, rows from top to bottom; 1 is a solid dot, 0 a hollow one. Found by a search for words that
# differ in at least 13 of 33 dots from each other and from themselves, also when turned by half a turn or mirrored.
_WORDS = (
    "00111010001 11010110111 11010001111",
    "11110111101 01110010100 00001111011",
    "01010100000 11001111000 10111010100",
    "11011001001 11101000000 00010100110",
    "11100010110 10101000011 00111111011",
    "01111000111 00000001011 10100110001",
    "00000001100 11110100100 00111111010",
    "01011110110 11110110011 10100101010",
    "11101100100 10100011001 00000010000",
    "00000111101 00110100111 11101100011",
    "01000100110 01011011101 10111101011",
    "01001101111 01001111001 11100000000",
)


@dataclass(frozen=True, slots=True)
class Reading:
    """A word recognised: which strip, how it lies in the grid that was read, and how sure.

    ``turned`` is a half turn, ``mirrored`` a reflection (seen only through glass or in a flipped picture); ``wrong``
    counts the dots that read otherwise than printed.
    """

    strip: int
    turned: bool
    mirrored: bool
    wrong: int


@cache
def words() -> np.ndarray:
    """Return the words, shape (strips, rows, columns), True for a solid dot; row 0 is the top of the strip."""
    out = np.array([[[c == "1" for c in row] for row in word.split()] for word in _WORDS])
    out.setflags(write=False)
    return out


@cache
def dot_places() -> np.ndarray:
    """Return the places of the dots on a strip [mm], shape (rows, columns, 2); y upward, origin in the middle."""
    x = (np.arange(COLUMNS) - 0.5 * (COLUMNS - 1)) * PITCH_MM
    y = (0.5 * (ROWS - 1) - np.arange(ROWS)) * PITCH_MM
    out = np.stack(np.broadcast_arrays(x[None, :], y[:, None]), axis=-1)
    out.setflags(write=False)
    return out


def cross_places() -> np.ndarray:
    """Return the two measuring crosses of a strip [mm], shape (2, 2): number 1 at the left, number 2 at the right."""
    return np.array([[-CROSS_MM, 0.0], [CROSS_MM, 0.0]])


def read_word(solid: np.ndarray, seen: np.ndarray) -> Reading | None:
    """Return which strip a grid of dots is.

    Parameters
    ----------
    solid : (rows, columns) bool array
        Whether each dot of the grid is solid.
    seen : (rows, columns) bool array
        Which dots were found at all; the others count neither way.

    Returns
    -------
    Reading or None
        None when too few dots are seen, or more than two in eight read wrong, or two strips fit alike.
    """
    if solid.shape != (ROWS, COLUMNS) or int(seen.sum()) < 24:
        return None
    found: list[tuple[int, Reading]] = []
    for turned in (False, True):
        for mirrored in (False, True):
            grid, mask = solid, seen
            if mirrored:
                grid, mask = grid[::-1], mask[::-1]
            if turned:
                grid, mask = grid[::-1, ::-1], mask[::-1, ::-1]
            wrong = ((words() != grid) & mask).sum(axis=(1, 2))
            found += [(int(w), Reading(i, turned, mirrored, int(w))) for i, w in enumerate(wrong)]
    found.sort(key=lambda pair: pair[0])
    best, second = found[0], found[1]
    missing = ROWS * COLUMNS - int(seen.sum())
    if best[0] > 3 or second[0] - best[0] < 4 or best[0] + missing > 9:
        return None
    return best[1]
