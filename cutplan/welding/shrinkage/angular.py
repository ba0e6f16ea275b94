"""Angle change across a weld: the published forms with their limits, and an honest range for sheet."""

from __future__ import annotations

from math import radians

from cutplan.tables.band import Band
from cutplan.tables.welding.weld_sources import source_text


def sheet_angle(full_penetration: bool) -> Band:
    """Return the free angle change across a one-sided bead on sheet: a range without a published source [1]_.

    Parameters
    ----------
    full_penetration : bool
        A butt melted through its whole thickness turns little; a lap or partly melted butt turns more

    Returns
    -------
    Band
        Angle, folding towards the torch [rad]

    Notes
    -----
    No measured inherent angle for 2 to 6 mm steel was found. At q / t2 of 18 to 65 J/mm3 the thickness is heated nearly
    evenly, past the peak of the curves, so the angle falls towards zero. Weld a trial piece to replace this range.

    References
    ----------
    .. [1] Our judgement (0 to 2 deg); shape of the curve after Murakawa and Satoh (from memory).
    """
    low, mid, high = (0.0, 0.3, 1.0) if full_penetration else (0.0, 0.8, 2.0)
    return Band(radians(low), radians(mid), radians(high), "rad", source_text("default", "murakawa"))
