"""The shortest layout of each process, told to the others through memory that they share."""

from __future__ import annotations

import mmap
import zlib
from typing import NamedTuple

import numpy as np

from cutplan.cutting.nest.outlines import Kind
from cutplan.cutting.nest.tighten import Tight

#: Bytes of a check sum, and numbers of a copy: shape, turn and place.
_CHECK, _COPY = 8, 4
#: How much shorter another's layout must be to go on from it [1]: as near as that, two searches find more than one.
BEHIND = 0.004


class Whole(NamedTuple):
    """Shapes and turns of a layout without overlap, and where they lie."""

    kinds: tuple[Kind, ...]
    tight: Tight


class Shared:
    """Room for one layout of each search; made before the processes part.

    Parameters
    ----------
    searches : int
        How many searches tell.
    copies : int
        Copies that a layout has.
    """

    def __init__(self, searches: int, copies: int) -> None:
        self._size = _CHECK + 8 * (1 + _COPY * copies)
        self._searches = searches
        self._memory = mmap.mmap(-1, max(1, searches * self._size))

    def tell(self, search: int, whole: Whole) -> None:
        """Tell the shortest layout of a search, counted from 0, in place of its last one."""
        rows = [
            (kind.shape, kind.turn_deg, x, y)
            for kind, (x, y) in zip(whole.kinds, whole.tight.places.tolist(), strict=True)
        ]
        data = np.array([whole.tight.length_mm, *(value for row in rows for value in row)]).tobytes()
        start = search * self._size
        self._memory[start : start + self._size] = zlib.crc32(data).to_bytes(_CHECK, "little") + data

    def shorter(self, than_mm: float) -> Whole | None:
        """Return the shortest layout that any search told, where it is shorter than a length [mm].

        One that is just being written does not fit its check sum, and is not seen yet.
        """
        best = None
        for start in range(0, self._searches * self._size, self._size):
            slot = self._memory[start : start + self._size]
            data = slot[_CHECK:]
            if zlib.crc32(data) != int.from_bytes(slot[:_CHECK], "little"):
                continue
            length, rows = float(np.frombuffer(data, count=1)[0]), np.frombuffer(data[8:]).reshape(-1, _COPY)
            if length < than_mm:
                kinds = tuple(Kind(int(shape), float(turn)) for shape, turn, _, _ in rows)
                best, than_mm = Whole(kinds, Tight(rows[:, 2:].copy(), length, 0.0)), length
        return best
