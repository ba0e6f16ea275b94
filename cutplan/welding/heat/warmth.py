"""What the heat of a joint means: distances to keep and cooling time, as bands."""

from __future__ import annotations

from cutplan.pattern.job import Job
from cutplan.tables.band import Band
from cutplan.tables.welding.heat_limits import HEAT_LIMITS
from cutplan.tables.welding.weld_sources import source_text
from cutplan.texts import say
from cutplan.welding.heat.cooling import cooling
from cutplan.welding.heat.peak import keep_away_mm
from cutplan.welding.heat.reach import Reach
from cutplan.welding.result import KeepAway
from cutplan.welding.stitches.joint import WeldJoint

#: A rise below this is none [K].
COLD_K = 1e-3


def keep_away(job: Job, joint: WeldJoint, heat: Band, reach: Reach) -> tuple[KeepAway, ...]:
    """Return the distances to keep: low for one bead, middle and high also for all beads together.

    Parameters
    ----------
    job : Job
        The job
    joint : WeldJoint
        Its joint
    heat : Band
        Net heat input of one run [J/mm]
    reach : Reach
        How warm places get in the course of the plan

    Returns
    -------
    tuple of KeepAway
        One for each heat limit above the room's temperature.
    """
    ambient = job.welding.ambient_C
    out = []
    for limit in HEAT_LIMITS:
        rise = limit.limit_C - ambient
        if rise <= 5.0:
            continue
        one = [
            keep_away_mm(limit.limit_C, q, thickness, ambient)
            for q, thickness in ((heat.low, joint.flow_mm), (heat.mid, joint.flow_mm), (heat.high, joint.thin_mm))
        ]
        hotter = heat.high / heat.mid * joint.flow_mm / joint.thin_mm
        middle = max(one[1], reach.distance_mm(rise))
        distance = Band(
            one[0],
            middle,
            max(one[2], middle, reach.distance_mm(rise / hotter)),
            "mm",
            say(
                "low: thin-plate peak of one bead; middle: also all beads of the plan; high: the same in the thinner part "
                "with the hottest settings"
            ),
        )
        out.append(KeepAway(limit.thing, limit.limit_C, distance, limit.consequence, source_text(limit.source)))
    return tuple(out)


def heated(band: Band, heat: Band, ambient_C: float) -> Band:
    """Return temperatures whose rise also has the spread of the heat input.

    Parameters
    ----------
    band : Band
        Temperatures at the middle heat input [degC]
    heat : Band
        Net heat input of one run [J/mm]
    ambient_C : float
        Temperature of the metal before welding [degC]

    Returns
    -------
    Band
        Low end at the coolest settings, high end at the hottest [degC]; exact where nothing was welded before.
    """
    if band.high - ambient_C < COLD_K:
        return Band(ambient_C, ambient_C, ambient_C, "degC", say("exact: nothing is welded before it"))
    low = ambient_C + (band.low - ambient_C) * heat.low / heat.mid
    high = ambient_C + (band.high - ambient_C) * heat.high / heat.mid
    return Band(low, band.mid, high, band.unit, band.source)


def cooling_band(job: Job, joint: WeldJoint, heat: Band) -> tuple[Band, str]:
    """Return t8/5 of a joint as a band [s], and whether heat flow is thin or thick.

    Parameters
    ----------
    job : Job
        The job
    joint : WeldJoint
        Its joint
    heat : Band
        Net heat input of one run [J/mm]

    Returns
    -------
    (Band, str)
        Cooling time [s] and regime.
    """
    kind, start = ("lap" if joint.leg_mm > 0.0 else "butt"), job.welding.ambient_C
    low = cooling(heat.low / 1000.0, joint.flow_mm, start, kind)
    mid = cooling(heat.mid / 1000.0, joint.flow_mm, start, kind)
    high = cooling(heat.high / 1000.0, joint.thin_mm, start, kind)
    values = sorted((low.low_s, mid.t85_s, high.high_s))
    return Band(values[0], mid.t85_s, values[2], "s", source_text("en-1011-2-t85")), mid.regime
