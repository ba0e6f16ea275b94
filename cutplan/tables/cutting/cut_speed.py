"""Speeds for time estimates: round figures from memory with wide bands, only good for planning a day."""

from __future__ import annotations

from math import exp, log

from cutplan.errors import CutplanError
from cutplan.tables.band import Band
from cutplan.tables.cutting.cut_process import PROCESSES
from cutplan.tables.cutting.cut_sources import source_text
from cutplan.tables.cutting.kerf import plasma_current_A
from cutplan.texts import code, say

#: Air plasma, mild steel: current [A] to rows of thickness [mm] and speed [mm/min] (source key: speed-memory).
PLASMA: dict[float, tuple[tuple[float, float], ...]] = {
    30.0: ((1.0, 6000.0), (2.0, 3500.0), (3.0, 2000.0), (6.0, 700.0)),
    45.0: ((1.0, 8000.0), (2.0, 6000.0), (3.0, 3800.0), (4.0, 2300.0), (6.0, 1300.0), (10.0, 600.0)),
    65.0: ((2.0, 6000.0), (3.0, 5000.0), (6.0, 2500.0), (8.0, 1600.0), (10.0, 1100.0), (16.0, 550.0), (20.0, 350.0)),
    85.0: ((3.0, 6500.0), (6.0, 3500.0), (10.0, 1700.0), (16.0, 900.0), (20.0, 550.0), (25.0, 350.0)),
    105.0: ((6.0, 4000.0), (10.0, 2200.0), (16.0, 1100.0), (20.0, 750.0), (25.0, 550.0)),
}
#: Other processes: thickness [mm] and speed [mm/min] (source key: speed-memory).
OTHER: dict[str, tuple[tuple[float, float], ...]] = {
    key: facts.speeds for key, facts in PROCESSES.items() if facts.speeds
}
#: Half-width of the speed band as a factor: the middle over it, and times it (source key: own).
SPREAD = 1.5
#: Feed between cuts [mm/min]: least, middle, largest (source key: own).
RAPID_MM_PER_MIN = (3000.0, 8000.0, 20000.0)


def cut_speed(process: str, thickness_mm: float, current_A: float | None = None) -> Band:
    """Return the cutting speed to expect, from memory.

    Parameters
    ----------
    process : str
        Cutting process of the job.
    thickness_mm : float
        Plate thickness [mm]; outside the rows the nearest end row is carried on along its slope
    current_A : float or None
        Plasma current [A]; None: the usual one for the thickness

    Returns
    -------
    Band
        Speed [mm/min], interpolated in the logarithms; ends a factor of 1.5 away.

    Raises
    ------
    CutplanError
        When no speed is known for the process.
    """
    if process == "air plasma":
        current = current_A if current_A is not None else plasma_current_A(thickness_mm)
        currents = sorted(PLASMA)
        nearest = min(currents, key=lambda a: abs(a - current))
        mid = _interpolated(PLASMA[nearest], thickness_mm) * current / nearest
    elif process in OTHER:
        mid = _interpolated(OTHER[process], thickness_mm)
    else:
        raise CutplanError(say("no speed is known for {process}", process=code(repr(process))))
    return Band(mid / SPREAD, mid, mid * SPREAD, "mm/min", source_text("speed-memory"))


def pierce_time(process: str, thickness_mm: float) -> Band:
    """Return the time of one pierce with lowering and lifting [s], growing with thickness [mm]; hand tools: zero."""
    low, mid, high = PROCESSES[process].pierce_s
    factor = max(0.5, thickness_mm / 5.0)
    return Band(low * factor, mid * factor, high * factor, "s", source_text("speed-memory"))


def _interpolated(rows: tuple[tuple[float, float], ...], at: float) -> float:
    k = next((i for i in range(1, len(rows)) if at <= rows[i][0]), len(rows) - 1)
    (x0, y0), (x1, y1) = rows[k - 1], rows[k]
    part = (log(at) - log(x0)) / (log(x1) - log(x0))
    return exp(log(y0) + part * (log(y1) - log(y0)))
