"""Outlines that are one circle drawn as several curves, and those that only look like one and are asked about."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from cutplan.files.outline.loops import Loop
from cutplan.files.reading_options import REPAIR
from cutplan.files.traces import Floats
from cutplan.findings import Finding
from cutplan.geometry.fit.circle import fitted_circle, looks_round
from cutplan.texts import mm, place, plural, say
from cutplan.tolerance import FIT_MM

#: How far arcs may lie from one circle that they are then taken for [mm] (our own).
ARCS_MM = FIT_MM / 2.0
#: How far an outline may lie from a circle that it then looks like, which is only said: this [mm], or for curves, such as
#: a traced scan leaves, this share of the radius (our own).
ROUND_MM, ROUND_SHARE = 5.0 * FIT_MM, 0.01
#: Sides of a polygon that may look round; with fewer it is a polygon, with more it is a circle or none.
_SIDES = range(16, 720)
#: Fewest pieces of a loop that are looked at.
_FEWEST = 5


def one_circle(loop: Loop) -> tuple[float, float, float] | None:
    """Return (x, y, radius) [mm] of a loop of arcs that all lie on one circle: a circle drawn as several curves."""
    if len(loop.bulge) < _FEWEST or not (loop.bulge != 0.0).all() or np.ptp(np.sign(loop.bulge)) > 0.0:
        return None
    if abs(abs(4.0 * np.arctan(loop.bulge).sum()) - 2.0 * np.pi) > 0.1:
        return None
    found = _circle_of(loop)
    return found[:3] if found is not None and found[3] <= ARCS_MM else None


def nearly_round(loop: Loop) -> tuple[float, float, float, float] | None:
    """Return (x, y, radius, how far it is off) [mm] of a loop that looks like a circle and is none, else None."""
    if loop.circle is not None or len(loop.bulge) < _FEWEST:
        return None
    if not loop.bulge.any():
        found = looks_round(loop.xy[:-1], ROUND_MM) if len(loop.bulge) in _SIDES else None
        return None if found is None else (found[0].x, found[0].y, found[1], found[2])
    curved = _circle_of(loop)
    return curved if curved is not None and curved[3] <= max(ROUND_MM, ROUND_SHARE * curved[2]) else None


def round_doubts(loops: Sequence[Loop], nested: Sequence[int]) -> list[Finding]:
    """Return one finding about outlines that look like circles and are none: a warning for holes, which no rule for
    drilled holes and bolts holds for then."""
    rough = [(loop, deep) for loop, deep in zip(map(nearly_round, loops), nested, strict=True) if loop is not None]
    if not rough:
        return []
    holes = any(deep % 2 for _, deep in rough)
    x, y, radius, off = max((found for found, _ in rough), key=lambda found: found[3])
    return [
        Finding(
            "polygon-looks-round",
            "warning" if holes else "note",
            plural(
                "{count} outline looks round and is no circle: about {diameter}, up to {off} off",
                "{count} outlines look round and are no circles, the worst: about {diameter}, up to {off} off",
                len(rough),
                diameter=mm(2.0 * radius, 3),
                off=mm(off, 3),
            ),
            say("{at}", at=place(x, y, 3)),
            say(
                "read as drawn, so that no rule for drilled holes and bolts holds there; {repair} reads it as a circle",
                repair=REPAIR,
            )
            if holes
            else say("read as drawn; {repair} reads it as a circle", repair=REPAIR),
        )
    ]


def _circle_of(loop: Loop) -> tuple[float, float, float, float] | None:
    """Return (x, y, radius) of the circle that fits corners and middles of all pieces best, and the largest distance."""
    points = _corners_and_middles(loop)
    found = fitted_circle(points)
    if found is None:
        return None
    x, y, radius = found
    return x, y, radius, float(np.abs(np.hypot(*(points - (x, y)).T) - radius).max())


def _corners_and_middles(loop: Loop) -> Floats:
    a, b = loop.xy[:-1], loop.xy[1:]
    across = np.column_stack([(b - a)[:, 1], -(b - a)[:, 0]])
    middles = 0.5 * (a + b) + 0.5 * loop.bulge[:, None] * across  # the bulge is the sagitta over half the chord
    return np.stack([a, middles], axis=1).reshape(-1, 2)
