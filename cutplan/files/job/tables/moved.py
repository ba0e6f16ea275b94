"""The table ``[moved]`` of a job: the shift that a study recommends, and which holes and pads follow it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from cutplan.errors import CutplanError
from cutplan.files.job.keys import Keys
from cutplan.pattern.job import Job
from cutplan.pattern.moved import Moved, moved_job, split_shift
from cutplan.texts import code, listed, name, say
from cutplan.units import parse_length


def apply_moved(k: Keys, job: Job, pads: Any) -> Job:
    """Return the job with what its table ``[moved]`` names moved in the plate.

    Parameters
    ----------
    k : Keys
        The table.
    job : Job
        The job as drawn.
    pads : list of dict
        The pads' own tables, which say the hole that a pad stands on.
    """
    shift = k.take("shift")
    if len(shift) != 3:
        if k.has("shift"):
            k.wrong("shift", say("the shift has three lengths"), say("write shift = [forward, left, up]"))
        shift = (0.0, 0.0, 0.0)
    moved = Moved(
        (shift[0], shift[1], shift[2]),
        _names(k, "holes", tuple(h.name for h in job.plate.holes)),
        _names(k, "pads", tuple(p.name for p in job.pads)),
        k.take("tolerance"),
        _study(k),
    )
    k.close()
    parts = split_shift(job.marks, moved.shift_mm)
    if parts is None:
        k.wrong(
            "shift",
            say(
                "the plate does not say two of the vehicle's directions at right angles, so no shift can be laid on it"
            ),
            say("name two of {keys} in [marks]", keys=listed([code("forward_deg"), code("left_deg"), code("up_deg")])),
        )
        return job
    if not moved.holes and not moved.pads:
        k.wrong("holes", say("nothing is named that moves"), say('write holes = ["H1", "H2"] or pads = ["P1"]'))
    stands = _stands_on(job, pads)
    whole = Moved(moved.shift_mm, moved.holes, moved.pads, moved.tolerance_mm, moved.study, parts[0], parts[1])
    return moved_job(job, whole, stands)


def shift_of(data: Mapping[str, Any]) -> tuple[float, float, float] | None:
    """Return the shift that a job file's values state, forward, left, up [mm]; None where they state none that is one."""
    moved = data.get("moved")
    shift = moved.get("shift") if isinstance(moved, Mapping) else None
    if not isinstance(shift, list) or len(shift) != 3:
        return None
    try:
        x, y, z = (parse_length(v, "in" if data.get("units") == "in" else "mm") for v in shift)
    except (CutplanError, ValueError, OverflowError):
        return None
    return x, y, z


def _stands_on(job: Job, pads: Any) -> Mapping[str, str]:
    tables = pads if isinstance(pads, list) else []
    return {
        pad.name: str(table["hole"])
        for pad, table in zip(job.pads, tables, strict=False)
        if isinstance(table, dict) and "hole" in table
    }


def _names(k: Keys, key: str, known: tuple[str, ...]) -> tuple[str, ...]:
    value = k.take(key)
    if value is None:
        return ()
    if not isinstance(value, list) or not all(isinstance(v, str) for v in value):
        k.wrong(key, say("is not a list of names"), say('write ["H1", "H2"]'))
        return ()
    for missing in (v for v in value if v not in known):
        k.wrong(
            key,
            say("the job has none of the name {missing}", missing=name(missing)),
            say("names here: {known}", known=listed(known[:20])),
        )
    return tuple(v for v in value if v in known)


def _study(k: Keys) -> str:
    study: str = k.take("study")
    if any(c in study for c in "/\\") or study.startswith("."):
        k.wrong("study", say("the study lies beside the job file"), say("name the file without a folder"))
        return ""
    return study
