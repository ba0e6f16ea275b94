"""Rows over the four fields (plate and skin, in and out of plane) that couple beads, tendons, pads and brace."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy import sparse

from cutplan.fem import along
from cutplan.fem.mesh import Floats
from cutplan.welding.distortion.model.bodies import Body

#: Fields in order: plate in plane, plate out of plane, skin in plane, skin out of plane.
FIELDS = 4


@dataclass(slots=True)
class RowTable:
    """Rows under construction; turned into one sparse matrix per field."""

    count: int
    entries: list[tuple[int, int, Floats, Floats]]

    def add(self, row: int, field: int, part: along.Row, factor: float) -> None:
        """Add a part, times a factor, of a row in one field."""
        if factor != 0.0:
            self.entries.append((row, field, part.dofs.astype(float), part.weight * factor))

    def matrices(self, sizes: Sequence[int]) -> tuple[sparse.csr_matrix, ...]:
        """Return one (rows, freedoms) matrix per field."""
        result = []
        for field, size in enumerate(sizes):
            mine = [e for e in self.entries if e[1] == field]
            rows = np.concatenate([np.full(len(e[2]), e[0]) for e in mine] or [np.empty(0, dtype=int)])
            columns = np.concatenate([e[2] for e in mine] or [np.empty(0)]).astype(np.int64)
            values = np.concatenate([e[3] for e in mine] or [np.empty(0)])
            result.append(sparse.csr_matrix((values, (rows, columns)), shape=(self.count, size)))
        return tuple(result)


def add_station(table: RowTable, row: int, bodies: tuple[Body, Body], stretches: Sequence[along.Stretch]) -> None:
    """Add the four relative movements of a station (closing, sliding, step, fold) from `row` on.

    At a height above its middle surface a point moves in the plane by its sheet's own displacement less the height
    times the slope; the slopes are added for a height of one millimetre and scaled later. Plate less skin: closing is
    positive when the gap closes.
    """
    for number, stretch in enumerate(stretches[: len(bodies)]):
        sign = 1.0 if number == 0 else -1.0
        inside, out = 2 * number, 2 * number + 1
        across = along.mean_slope_across(stretch)
        table.add(row, inside, along.mean_in_plane(stretch, across=True), sign)
        table.add(row, out, across, -sign)
        table.add(row + 1, inside, along.mean_in_plane(stretch, across=False), sign)
        table.add(row + 1, out, along.mean_slope_along(stretch), -sign)
        table.add(row + 2, out, along.mean_height(stretch), sign)
        table.add(row + 3, out, across, sign)


def add_tendon(table: RowTable, row: int, bodies: tuple[Body, Body], stretches: Sequence[along.Stretch]) -> None:
    """Add the elongation of the bead's line, shared between the sheets by thickness; heights as in `add_station`."""
    whole = sum(b.sheet.thickness_mm for b in bodies)
    for number, (body, stretch) in enumerate(zip(bodies, stretches, strict=True)):
        share = body.sheet.thickness_mm / whole
        table.add(row, 2 * number, along.elongation(stretch), share)
        table.add(row, 2 * number + 1, along.slope_change(stretch), -share)
