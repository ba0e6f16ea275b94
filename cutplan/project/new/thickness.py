"""Thicknesses of plate and skin as somebody types them to begin a job."""

from __future__ import annotations

from typing import Literal

from cutplan.errors import CutplanError
from cutplan.files.job.declared.job import JOB
from cutplan.texts import code, mm, name, say
from cutplan.units import UnitName, parse_length


def thickness_mm(text: str, unit: UnitName, part: Literal["plate", "skin"], where: str) -> float:
    """Return a thickness [mm] that the job file will take.

    Parameters
    ----------
    text : str
        What was typed, with or without its unit.
    unit : {"mm", "in"}
        Unit of a number without one.
    part : {"plate", "skin"}
        What is that thick.
    where : str
        Field or option for messages.

    Raises
    ------
    CutplanError
        When it is no length, or none that the job file takes.
    """
    found = parse_length(text, unit, where)
    least, most = JOB[part]["thickness"].limits
    if least <= found <= most:
        return found
    given = f"{text} {unit}" if text[-1:].isdigit() else text
    message = say(
        "{given}, that is {thickness}, is no thickness for this work", given=name(given), thickness=mm(found, None)
    )
    fix = say(
        "between {least} and {most}; a number may carry its own unit: {example}",
        least=mm(least, None),
        most=mm(most, None),
        example=code('"4 mm"'),
    )
    raise CutplanError(message, where, fix)
