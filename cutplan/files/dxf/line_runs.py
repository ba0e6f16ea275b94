"""Stretches of LINE entities read at once; lines that follow each other end to end become one run."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cutplan.files.dxf.line_chains import strung
from cutplan.files.dxf.sections import Entity
from cutplan.files.dxf.tags import Tags
from cutplan.files.limits import MAX_COORDINATE, MAX_VALUE
from cutplan.files.traces import Floats

_COORDINATES = {10: 0, 20: 1, 11: 2, 21: 3, 30: 4, 31: 5}
_EACH_ALONE = 5000
#: Group codes that make a line anything but an ordinary visible one of model space.
_SPECIAL = frozenset({60, 67})


@dataclass(frozen=True, slots=True)
class LineRun:
    """Lines drawn end to end: points (n + 1, 2), the first of them, how many, and whether others stand between them."""

    xy: Floats
    layer: str
    linetype: str
    handle: str
    first: Entity
    count: int
    scattered: bool = False


def read_lines(tags: Tags, entities: list[Entity]) -> list[LineRun] | None:
    """Return runs of LINE entities in the order drawn, or None when one of them needs a closer look.

    Up to 5,000 lines each stays a run of its own, so that every branch and repeat is seen; more of them are chords.
    """
    codes, values = tags.codes, tags.values
    numbers: list[list[str]] = []
    facts: list[tuple[str, str, str]] = []
    for entity in entities:
        six = ["", "", "", "", "0", "0"]
        layer, linetype, handle = "0", "", ""
        for i in range(entity.start + 1, entity.stop):
            code = codes[i]
            if code in _COORDINATES:
                six[_COORDINATES[code]] = values[i]
            elif code == 8:
                layer = values[i][:MAX_VALUE].strip()
            elif code == 6:
                linetype = values[i][:MAX_VALUE].strip().upper()
            elif code == 5:
                handle = values[i][:MAX_VALUE].strip()
            elif code in _SPECIAL:
                return None
            elif code >= 1000:
                break
        numbers.append(six)
        facts.append((layer, linetype, handle))
    try:
        xy = np.array(numbers, dtype=np.float64)
    except ValueError:
        return None
    if not np.isfinite(xy).all() or np.abs(xy).max(initial=0.0) > MAX_COORDINATE:
        return None
    if (xy[:, 4] != xy[:, 5]).any():  # one of them may lean
        return None
    xy = xy[:, :4]
    if len(xy) <= _EACH_ALONE:
        points = xy.reshape(-1, 2, 2)
        return [LineRun(points[k], *facts[k], entities[k], 1) for k in range(len(xy))]
    runs = _runs(xy, facts, entities)
    return strung(runs) if len(runs) > _EACH_ALONE else runs


def _runs(xy: Floats, facts: list[tuple[str, str, str]], entities: list[Entity]) -> list[LineRun]:
    """Return runs of lines that continue each other exactly; a run ends where it comes back to its start."""
    rows = xy.tolist()
    pairs = xy.reshape(-1, 2, 2)
    runs: list[LineRun] = []
    begin = 0
    for k in range(1, len(rows) + 1):
        if k < len(rows):
            x, y = rows[k - 1][2], rows[k - 1][3]
            goes_on = (
                rows[k][0] == x
                and rows[k][1] == y
                and facts[k][0] == facts[k - 1][0]
                and facts[k][1] == facts[k - 1][1]
                and (x != rows[begin][0] or y != rows[begin][1])
                and (rows[k][2] != x or rows[k][3] != y)
                and (rows[k - 1][0] != x or rows[k - 1][1] != y)
            )
            if goes_on:
                continue
        if k == begin + 1:
            points = pairs[begin]
        else:
            points = np.vstack([xy[begin : begin + 1, :2], xy[begin:k, 2:]])
        layer, linetype, handle = facts[begin]
        runs.append(LineRun(points, layer, linetype, handle, entities[begin], k - begin))
        begin = k
    return runs
