"""Shapes to be laid, as convex pieces in every turn, and the lines that may part each two of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from math import cos, radians, sin
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from cutplan.cutting.nest.convex import convex_pieces
from cutplan.cutting.nest.faces import Faces, faces

if TYPE_CHECKING:
    from shapely import Polygon


class Kind(NamedTuple):
    """A shape in one of its turns: number of the shape and angle [deg]."""

    shape: int
    turn_deg: float


@dataclass(slots=True)
class Outlines:
    """Convex pieces of all shapes in all turns, and the lines between each two of them, made once when asked for."""

    shapes: Sequence[Polygon]
    _plain: dict[int, list[np.ndarray]] = field(default_factory=dict)
    _pieces: dict[Kind, list[np.ndarray]] = field(default_factory=dict)
    _faces: dict[tuple[Kind, Kind], Faces] = field(default_factory=dict)

    def pieces(self, kind: Kind) -> list[np.ndarray]:
        """Return the convex pieces of a shape as it is turned."""
        if kind not in self._pieces:
            if kind.shape not in self._plain:
                self._plain[kind.shape] = convex_pieces(self.shapes[kind.shape])
            c, s = cos(radians(kind.turn_deg)), sin(radians(kind.turn_deg))
            self._pieces[kind] = [piece @ np.array(((c, s), (-s, c))) for piece in self._plain[kind.shape]]
        return self._pieces[kind]

    def faces(self, one: Kind, two: Kind) -> Faces:
        """Return the lines that may part two shapes."""
        if (one, two) not in self._faces:
            self._faces[one, two] = faces(self.pieces(one), self.pieces(two))
        return self._faces[one, two]

    def box(self, kind: Kind) -> tuple[np.ndarray, np.ndarray]:
        """Return the lower and the upper corner of a shape as it is turned."""
        corners = np.vstack(self.pieces(kind))
        return corners.min(axis=0), corners.max(axis=0)
