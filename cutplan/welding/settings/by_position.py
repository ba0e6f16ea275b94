"""Heat in a position that no table is known for: the middle of flat work, with a band that says how far it may lie off."""

from __future__ import annotations

from dataclasses import replace

from cutplan.pattern.job import Job
from cutplan.pattern.wishes import Welding
from cutplan.tables.band import Band
from cutplan.texts import every, say, sourced
from cutplan.welding.settings.machine import Settings
from cutplan.welding.stitches.joint import WeldJoint
from cutplan.welding.stitches.position import position_of
from cutplan.welding.stitches.split import split_joint

#: Positions that the makers' tables are for: flat work, and fillets from above.
TABLED = frozenset({"PA", "PB"})
#: Heat for each millimetre over that of flat work, least and most [1]: upward travel is slow and weaves, downward is quick,
#: level and overhead keep a small pool (our judgement: no table by position was found for this sheet).
HEAT_SHARE = {"PC": (0.9, 1.1), "PD": (0.8, 1.1), "PE": (0.8, 1.1), "PF": (1.0, 1.6), "PG": (0.6, 1.0)}


def all_given(welding: Welding) -> bool:
    """Return whether a job gives current, voltage and speed itself, as after a trial piece in its own position."""
    return None not in (welding.current_A, welding.voltage_V, welding.speed_mm_per_s)


def untabled(job: Job, joint: WeldJoint) -> tuple[str, ...]:
    """Return the positions of a job's stitches that its settings are not for, by name.

    Parameters
    ----------
    job : Job
        The job
    joint : WeldJoint
        Its joint

    Returns
    -------
    tuple of str
        Positions by ISO 6947; none where the job gives its settings itself.
    """
    if all_given(job.welding):
        return ()
    stitches = split_joint(joint, job.welding.stitch_mm)
    return tuple(sorted({position_of(job, s, joint.thin_mm)[0] for s in stitches} - TABLED))


def with_position(job: Job, joint: WeldJoint, settings: Settings) -> Settings:
    """Return settings whose heat input has the doubt of the positions that no table is known for.

    Parameters
    ----------
    job : Job
        The job
    joint : WeldJoint
        Its joint
    settings : Settings
        Settings for flat work

    Returns
    -------
    Settings
        The same, with a wider band of heat input where stitches lie in such a position; its middle stays.
    """
    others = untabled(job, joint)
    if not others:
        return settings
    heat = settings.arc.heat_input_J_per_mm
    least, most = (pick(HEAT_SHARE[p][end] for p in others) for end, pick in ((0, min), (1, max)))
    words = say(
        "{source}; wider for position {positions}, which no table is known for (our judgement)",
        source=sourced(heat.source),
        positions=every(others),
    )
    wider = Band(heat.low * min(least, 1.0), heat.mid, heat.high * max(most, 1.0), heat.unit, words)
    return replace(settings, arc=replace(settings.arc, heat_input_J_per_mm=wider))
