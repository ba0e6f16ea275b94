"""What the numbers of a drawing say about their unit: sizes that plates have, and round numbers of trade."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from math import log

import numpy as np

from cutplan.files.extents import true_extent
from cutplan.files.traces import Bulged, Ellipse, Floats, Trace

#: Plates of the trade lie between these sizes; outside the doubt grows with the logarithm [mm].
_PLATE_MM = (20.0, 1500.0)
_HUGE_MM = 4000.0
#: Round holes of the trade lie between these diameters [mm].
_HOLE_MM = (2.0, 50.0)
#: Holes that come at least so often are bolt holes, which are smaller; what is said of them weighs more.
_OFTEN, _BOLT_MM, _BOLT_WEIGHT = 3, 30.0, 1.5
#: Most widths and heights of single outlines that are looked at.
_SIDES = 8
#: Things drawn whose widths and heights are looked at.
_LOOKED_AT = 500
#: Doubt from which a unit is out of the question [-].
_NO_ROOM = -1.5
#: Doubt for each length that is no round number of the unit [-].
_ODD = 0.7


@dataclass(frozen=True, slots=True)
class Numbers:
    """The lengths of a drawing that carry evidence, in file units; ``often`` are diameters of repeated holes."""

    width: float
    height: float
    diameters: tuple[float, ...]
    sides: tuple[float, ...] = ()
    often: tuple[float, ...] = ()

    @property
    def size(self) -> float:
        return max(self.width, self.height)


def numbers_of(traces: list[Trace]) -> Numbers:
    """Return overall size and the distinct diameters of circles and round arcs, smallest first."""
    extents: list[Floats] = []
    lines: list[Floats] = []
    full: Counter[float] = Counter()
    sides: dict[float, None] = {}
    edges = [t for t in traces if not t.never and not t.beside] or [t for t in traces if not t.never]
    for place, trace in enumerate(edges):
        for run in trace.runs:
            if isinstance(run, Bulged) and len(run.bulge) == 1 and run.bulge[0] == 0.0:
                lines.append(run.xy)
                continue
            extents.append(true_extent(run))
            if isinstance(run, Ellipse) and run.is_full and len(full) < 400:
                radius = run.radius
                if radius is not None:
                    full[round(2.0 * radius, 5)] += 1
            elif isinstance(run, Bulged) and 2 <= len(run.bulge) <= 4 and len(full) < 400:
                diameter = _round_run(run)
                if diameter is not None:
                    full[round(diameter, 5)] += 1
        if place < _LOOKED_AT and len(sides) < _SIDES and trace.runs and not isinstance(trace.runs[0], Ellipse):
            points = np.concatenate([true_extent(r) for r in trace.runs])
            spans = np.ptp(points, axis=0).tolist() if len(points) else []
            sides.update({round(v, 5): None for v in spans if v > 0.0})
    if lines:
        extents.append(np.array(lines).reshape(-1, 2))
    if not extents:
        return Numbers(0.0, 0.0, ())
    points = np.concatenate(extents)
    low, high = points.min(axis=0), points.max(axis=0)
    return Numbers(
        float(high[0] - low[0]),
        float(high[1] - low[1]),
        tuple(sorted(d for d in full if d > 0.0)),
        tuple(sides)[:_SIDES],
        tuple(sorted(d for d, count in full.items() if d > 0.0 and count >= _OFTEN)),
    )


def _round_run(run: Bulged) -> float | None:
    """Return the diameter of a closed run of two half circles."""
    if len(run.bulge) != 2 or not np.allclose(np.abs(run.bulge), 1.0, atol=1e-6):
        return None
    return float(np.hypot(*(run.xy[1] - run.xy[0])))


def is_round_mm(value_mm: float) -> bool:
    """Return whether a length is a number that metric drawings use: a multiple of 0.1 mm, or of 0.25 mm."""
    return any(abs(value_mm / step - round(value_mm / step)) * step < 0.0015 for step in (0.1, 0.25))


def is_round_inch(value_mm: float) -> bool:
    """Return whether a length is a number of inch drawings: a multiple of 1/64 in, below an inch also of 0.05 in."""
    value = value_mm / 25.4
    steps = (1.0 / 64.0, 0.05) if value < 1.0 else (1.0 / 64.0,)
    return any(abs(value / step - round(value / step)) * step < 0.00006 for step in steps)


def plausibility(numbers: Numbers, mm_per_unit: float, *, inch: bool) -> float:
    """Return how well a unit fits the numbers: 0 at best, minus about 1 for each factor e beyond the usual [-].

    Parameters
    ----------
    numbers : Numbers
        Lengths in file units.
    mm_per_unit : float
        Scale to be judged [mm].
    inch : bool
        Whether round numbers are looked for in inches.
    """
    size = numbers.size * mm_per_unit
    score = size_doubt(size) + hole_doubt(numbers, mm_per_unit)
    lengths = [d * mm_per_unit for d in numbers.diameters[:12]]
    sides = dict.fromkeys(round(v, 5) for v in (numbers.width, numbers.height, *numbers.sides) if v > 0.0)
    lengths += [v * mm_per_unit for v in sides]
    fits = is_round_inch if inch else is_round_mm
    odd = sum(1 for v in lengths if not fits(v))
    return score - min(4.0, _ODD * odd)


def hole_doubt(numbers: Numbers, mm_per_unit: float) -> float:
    """Return 0 when the middle one of the hole diameters is usual, falling to -2.5 as it gets odder [-].

    Where holes repeat, the middle one of those is looked at, and harder.
    """
    looked_at = numbers.often or numbers.diameters
    if not looked_at:
        return 0.0
    weight, most = (_BOLT_WEIGHT, _BOLT_MM) if numbers.often else (1.0, _HOLE_MM[1])
    middle = looked_at[len(looked_at) // 2] * mm_per_unit
    if middle < _HOLE_MM[0]:
        return -min(2.5, weight * log(_HOLE_MM[0] / middle))
    return -min(2.5, weight * log(middle / most)) if middle > most else 0.0


def size_doubt(size_mm: float) -> float:
    """Return 0 for the size of an ordinary plate, falling below as it gets odder [-]."""
    if size_mm <= 0.0:
        return 0.0
    if size_mm < _PLATE_MM[0]:
        return -log(_PLATE_MM[0] / size_mm)
    doubt = 0.0
    if size_mm > _PLATE_MM[1]:
        doubt -= log(size_mm / _PLATE_MM[1])
    if size_mm > _HUGE_MM:
        doubt -= 2.0 * log(size_mm / _HUGE_MM)
    return doubt


def rounded_share(numbers: Numbers, mm_per_unit: float, *, inch: bool) -> tuple[float, int]:
    """Return the share of the drawing's lengths that are round numbers at a scale [-], and how many were looked at."""
    lengths = {
        round(v * mm_per_unit, 4) for v in (*numbers.diameters[:12], numbers.width, numbers.height, *numbers.sides)
    }
    lengths.discard(0.0)
    fits = is_round_inch if inch else is_round_mm
    return sum(map(fits, lengths)) / max(1, len(lengths)), len(lengths)


def decisive(numbers: Numbers, mm_per_unit: float, other: float, *, inch: bool) -> bool:
    """Return whether the numbers leave no room for the other of two units.

    With this one the size and the holes are usual and half of the lengths, or both over all, are round; with the other one the
    size or the holes are far from anything in the trade. ``other`` is the other unit [mm].
    """
    share, count = rounded_share(numbers, mm_per_unit, inch=inch)
    own = size_doubt(numbers.size * mm_per_unit) + hole_doubt(numbers, mm_per_unit)
    rival = size_doubt(numbers.size * other) + hole_doubt(numbers, other)
    fits = is_round_inch if inch else is_round_mm
    over_all = fits(numbers.width * mm_per_unit) and fits(numbers.height * mm_per_unit)
    return count >= 2 and (share >= 0.5 or over_all) and own >= -0.3 and rival <= _NO_ROOM
