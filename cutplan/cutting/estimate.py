"""Lengths, pierces and time of a cut."""

from __future__ import annotations

from cutplan.cutting.path.moves import moves_of
from cutplan.cutting.result import CutPath, Totals
from cutplan.geometry.segment import Line
from cutplan.pattern.wishes import Cutting
from cutplan.tables.band import Band
from cutplan.tables.cutting.cut_speed import RAPID_MM_PER_MIN, cut_speed, pierce_time
from cutplan.tables.cutting.holes import TABLE_PROCESSES
from cutplan.texts import say, sourced

#: Spread of a speed stated in the job [1] (our own choice): tables slow down in corners and never speed up.
STATED_SHARE = (0.8, 1.0, 1.05)


def totals(cutting: Cutting, thickness_mm: float, paths: tuple[CutPath, ...], rapids: tuple[Line, ...]) -> Totals:
    """Return the sums of a cut: cut length, rapid length, pierces, and time as a band.

    Parameters
    ----------
    cutting : Cutting
        Process, and the speed when stated [mm/min].
    thickness_mm : float
        Plate thickness [mm]
    paths, rapids : tuple
        The cuts and the moves between them.

    Returns
    -------
    Totals
        Time [s]: cut length over speed (small holes and corners slower by their share), pierces, moves.
    """
    if cutting.speed_mm_per_min is not None:
        stated = cutting.speed_mm_per_min
        low, mid, high = (stated * s for s in STATED_SHARE)
        speed = Band(low, mid, high, "mm/min", say("speed stated in the job"))
    else:
        speed = cut_speed(cutting.process, thickness_mm, cutting.current_A)
    cut_mm = sum(p.length_mm for p in paths)
    slow_mm = sum(m.segment.length / m.share for p in paths for m in moves_of(p, cutting.process))
    rapid_mm = sum(r.length for r in rapids)
    by_table = cutting.process in TABLE_PROCESSES
    pierces = len(paths) if by_table else 0
    pierce = pierce_time(cutting.process, thickness_mm)
    slow, usual, fast = RAPID_MM_PER_MIN if by_table else (float("inf"),) * 3
    time = Band(
        60.0 * (slow_mm / speed.high + rapid_mm / fast) + pierces * pierce.low,
        60.0 * (slow_mm / speed.mid + rapid_mm / usual) + pierces * pierce.mid,
        60.0 * (slow_mm / speed.low + rapid_mm / slow) + pierces * pierce.high,
        "s",
        say(
            "length over speed; speed: {speed}; pierce: {pierce}",
            speed=sourced(speed.source),
            pierce=sourced(pierce.source),
        ),
    )
    return Totals(cut_mm, rapid_mm, pierces, time, speed)
