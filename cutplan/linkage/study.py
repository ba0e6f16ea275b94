"""The study as data: points measured on the vehicle with their reading errors, wishes, range of the map."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from cutplan.linkage.solved.vectors import Floats

#: Standard error of one coordinate taken with tape, plumb line and square [mm]. From memory: common practice, 1 mm.
READING_MM = 1.0
#: Figures that a wish may limit, with the unit of their limits.
FIGURES: dict[str, str] = {
    "inner_lock": "deg",
    "outer_lock": "deg",
    "least_angle": "deg",
    "travel_left": "mm",
    "departure": "deg",
    "ackermann": "%",
    "turning_circle": "mm",
    "ratio": "",
    "ratio_change": "%",
    "bump_steer": "deg",
    "rod_change": "mm",
}


@dataclass(frozen=True, slots=True)
class Measured:
    """A point in vehicle axes [mm] and the standard error of each coordinate [mm]."""

    at: tuple[float, float, float]
    error: tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Arms:
    """Pivots of the control arms of one side.

    Parameters
    ----------
    lower : tuple of Measured
        Two points of the lower arm's pivot axis [mm]; its ball joint is the low point of the steering axis.
    upper : tuple of Measured
        Two points of the upper arm's pivot axis [mm], its ball joint the high point of the steering axis; or empty: a
        strut whose top mount is the high point.
    strut : Measured or None
        A second point of the strut's line [mm]; None: the strut lies along the steering axis.
    """

    lower: tuple[Measured, Measured]
    upper: tuple[Measured, Measured] | tuple[()] = ()
    strut: Measured | None = None


@dataclass(frozen=True, slots=True)
class SidePoints:
    """The points of one side; ``wheel`` is the middle of the tyre's contact, its height is that of the road."""

    low: Measured
    high: Measured
    outer: Measured
    inner: Measured
    wheel: Measured
    arms: Arms | None = None

    def named(self) -> tuple[tuple[str, Measured], ...]:
        """Return every point with its name, in the order of the parameters."""
        out = [(n, getattr(self, n)) for n in ("low", "high", "outer", "inner", "wheel")]
        if self.arms is not None:
            out += [("lower_front", self.arms.lower[0]), ("lower_rear", self.arms.lower[1])]
            out += list(zip(("upper_front", "upper_rear"), self.arms.upper, strict=False))
            out += [("strut", self.arms.strut)] if self.arms.strut is not None else []
        return tuple(out)


@dataclass(frozen=True, slots=True)
class Wish:
    """A limit that a figure must keep; ``figure`` is a key of ``FIGURES``, the limit in its unit [mm, deg or %]."""

    figure: str
    kind: Literal["at least", "at most"]
    limit: float


@dataclass(frozen=True, slots=True)
class Range:
    """Places of the gear to be mapped: shift forward and up from and to [mm], and how many each way."""

    forward: tuple[float, float] = (-40.0, 40.0)
    up: tuple[float, float] = (-40.0, 40.0)
    count: int = 101


@dataclass(frozen=True, slots=True)
class Study:
    """Everything measured and wished, in millimetres.

    Parameters
    ----------
    title, source : str
        What is studied; name of the study file without folder.
    left : SidePoints
        Points of the left side.
    right : SidePoints or None
        Points of the right side; None: the mirror image of the left.
    wheelbase : tuple of float
        Distance of the axles and its standard error [mm].
    travel : tuple of float
        Travel of the gear to the right and to the left [mm], both positive.
    per_turn : float or None
        Travel for one turn of the steering wheel [mm].
    wheel_travel : tuple of float
        Wheel travel down and up over which toe is followed [mm], both positive; needs arms.
    camber : float
        Camber of the wheels, positive with their tops outward [rad].
    """

    title: str
    left: SidePoints
    wheelbase: tuple[float, float]
    travel: tuple[float, float]
    right: SidePoints | None = None
    per_turn: float | None = None
    wheel_travel: tuple[float, float] = (50.0, 50.0)
    camber: float = 0.0
    wishes: tuple[Wish, ...] = ()
    range: Range = Range()
    source: str = ""
    display: Literal["mm", "in"] = "mm"
    language: str = "en"


class Layout:
    """Where each point of a study stands in a flat row of parameters, so that many rows are solved at once."""

    def __init__(self, study: Study) -> None:
        self.study = study
        rows = [("left." + n, p) for n, p in study.left.named()]
        if study.right is not None:
            rows += [("right." + n, p) for n, p in study.right.named()]
        self.place = {name: 3 * i for i, (name, _) in enumerate(rows)}
        self.names = [f"{name}.{axis}" for name, _ in rows for axis in "xyz"] + ["wheelbase"]
        self.values = np.array([v for _, p in rows for v in p.at] + [study.wheelbase[0]])
        self.errors = np.array([v for _, p in rows for v in p.error] + [study.wheelbase[1]])

    def point(self, row: Floats, side: str, name: str) -> Floats:
        """Return one point of rows of parameters [mm], shape (..., 3)."""
        start = self.place[f"{side}.{name}"]
        return row[..., start : start + 3]
