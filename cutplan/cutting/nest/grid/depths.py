"""How deep one shape lies in another, for every way between their middles on a grid, in every turn."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, NamedTuple, cast

import numpy as np

from cutplan.cutting.nest.faces import Faces
from cutplan.cutting.nest.halo import turned
from cutplan.cutting.nest.outlines import Kind, Outlines

if TYPE_CHECKING:
    from shapely import Polygon

#: Overlap that a grid cannot tell from none, in its cells [1]: it is pushed apart afterwards, exactly.
SLACK = 0.35
#: Two turns of a shape that differ by less than this share of its area are one [1].
_SAME = 1e-3
#: Share of a height by which a shape may pass it and still fit [1].
_TOUCH = 1e-7
#: How far corners may be off on the grid, in its cells [1].
_CORNERS = 0.1
#: Depths are told in such parts of a cell [1]: a power of two, so that sums of them are exact in single precision.
PARTS = 64.0


class Depth(NamedTuple):
    """Cells that a shape lies deep in a fixed one, shape (rows, columns x turns), the turns of a way side by side.

    Row and column are those of the ways' middle.
    """

    cells: np.ndarray
    row: int
    column: int


@dataclass(frozen=True, slots=True)
class Depths:
    """Depths of all shapes in each other, each made once when it is asked for.

    Parameters
    ----------
    outlines : Outlines
        The shapes, with corners as fine as the grid can tell.
    kinds : tuple of tuple of Kind
        Turns of each shape that differ.
    number : dict of Kind to int
        Number of every turn among them.
    cell_mm : float
        Width of a cell of the grid [mm].
    """

    outlines: Outlines
    kinds: tuple[tuple[Kind, ...], ...]
    number: dict[Kind, int]
    cell_mm: float
    _pairs: dict[tuple[Kind, Kind], np.ndarray] = field(default_factory=dict)

    @classmethod
    def of(
        cls, shapes: Sequence[Polygon], turns: Sequence[float], cell_mm: float, height_mm: float = float("inf")
    ) -> Depths:
        """Return the depths of shapes on a grid of a cell [mm], for turns [deg] that fit into a height [mm]."""
        coarse = [cast("Polygon", shape.simplify(_CORNERS * cell_mm)) for shape in shapes]
        number: dict[Kind, int] = {}
        fits = [[t for t in turns if _tall(shape, t) <= height_mm * (1.0 + _TOUCH)] or turns for shape in shapes]
        kinds = tuple(tuple(_different(k, shape, fits[k], number)) for k, shape in enumerate(coarse))
        return cls(Outlines(coarse), kinds, number, cell_mm)

    def depth(self, shape: int, fixed: Kind) -> Depth:
        """Return how deep a shape's middle, in each of its turns, lies in a fixed one."""
        pairs = [self._pair(fixed, kind) for kind in self.kinds[shape]]
        rows, columns = max(p.shape[0] for p in pairs), max(p.shape[1] for p in pairs)
        cells = np.zeros((rows, columns, len(pairs)), np.float32)
        for turn, pair in enumerate(pairs):
            y, x = (rows - pair.shape[0]) // 2, (columns - pair.shape[1]) // 2
            cells[y : y + pair.shape[0], x : x + pair.shape[1], turn] = pair
        return Depth(cells.reshape(rows, -1), rows // 2, columns // 2)

    def _pair(self, fixed: Kind, kind: Kind) -> np.ndarray:
        """Depth by way from one middle to the other; a quarter turn of both turns it, and either may be the fixed one."""
        found = self._pairs.get((fixed, kind))
        if found is None:
            quarters = fixed.turn_deg / 90.0
            if (kind, fixed) in self._pairs:
                found = self._pairs[kind, fixed][::-1, ::-1]
            elif fixed.turn_deg and quarters.is_integer():
                plain = Kind(kind.shape, (kind.turn_deg - fixed.turn_deg) % 360.0)
                found = np.rot90(self._pair(Kind(fixed.shape, 0.0), plain), -int(quarters))
            else:
                found = self._made(fixed, kind)
            self._pairs[fixed, kind] = found
        return found

    def _made(self, fixed: Kind, kind: Kind) -> np.ndarray:
        from scipy.ndimage import distance_transform_edt

        (low, high), (low2, high2) = self.outlines.box(fixed), self.outlines.box(kind)
        most = np.ceil(0.5 * (high - low + high2 - low2) / self.cell_mm).astype(int) + 1
        ways = [self.cell_mm * np.arange(-n, n + 1) for n in most]
        shift = 0.5 * (low + high - low2 - high2)  # from the ways of middles to those of origins
        inside = _inside(self.outlines.faces(fixed, kind), ways[0] + shift[0], ways[1] + shift[1], SLACK * self.cell_mm)
        return np.asarray(np.rint(PARTS * distance_transform_edt(inside)) / PARTS, np.float32)


def _inside(lines: Faces, x_mm: np.ndarray, y_mm: np.ndarray, slack_mm: float) -> np.ndarray:
    """Tell for each way whether any two convex pieces overlap by more than a slack."""
    inside = np.zeros((len(y_mm), len(x_mm)), bool)
    across = lines.normals[:, :1] * x_mm
    up = lines.normals[:, 1:] * y_mm - lines.needs[:, None]
    for first, end in zip(lines.starts, np.append(lines.starts[1:], len(lines.needs)), strict=True):
        room = across[first] + up[first][:, None]
        for k in range(first + 1, end):
            np.maximum(room, across[k] + up[k][:, None], out=room)
        inside |= room < -slack_mm
    return inside


def _tall(shape: Polygon, turn_deg: float) -> float:
    _, low, _, high = turned(shape, turn_deg).bounds
    return float(high - low)


def _different(shape: int, outline: Polygon, turns: Sequence[float], number: dict[Kind, int]) -> list[Kind]:
    """Turns of a shape that can be told from each other about the middle of its box; each gets its number."""
    from shapely import affinity

    kinds: list[Kind] = []
    seen: list[Polygon] = []
    for turn in turns:
        now = turned(outline, turn)
        x0, y0, x1, y1 = now.bounds
        middle = affinity.translate(now, -0.5 * (x0 + x1), -0.5 * (y0 + y1))
        same = (k for k, other in enumerate(seen) if middle.symmetric_difference(other).area <= _SAME * outline.area)
        number[Kind(shape, turn)] = known = next(same, len(seen))
        if known == len(seen):
            seen.append(middle)
            kinds.append(Kind(shape, turn))
    return kinds
