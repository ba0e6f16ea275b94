"""A kerf that is typed or measured, held against what is published for its process: outside only when confirmed."""

from __future__ import annotations

from cutplan.errors import CutplanError
from cutplan.findings import Finding
from cutplan.pattern.job import Job
from cutplan.pattern.shop import Shop
from cutplan.tables.cutting.cut_process import PROCESSES
from cutplan.tables.cutting.kerf import kerf_band
from cutplan.texts import Message, code, listed, mm, say, span
from cutplan.texts.command import pasted
from cutplan.texts.values import Value


def kerf_findings(job: Job, shop: Shop) -> list[Finding]:
    """Return an error for a kerf that cannot be, or a warning for one that the user confirmed.

    Parameters
    ----------
    job : Job
        Process, thickness, perhaps a stated kerf and ``kerf_sure``.
    shop : Shop
        Measured kerfs; one of the same process and thickness goes before the job's.
    """
    cutting = job.cutting
    measured = shop.kerf(cutting.process, job.plate.thickness_mm)
    if measured is not None:
        values = (measured.x_mm, measured.y_mm)
        slack, sure, where, flag = measured.reading_mm, measured.sure, shop.source or "shop.toml", "sure = true"
    elif cutting.kerf_mm is not None:
        values = (cutting.kerf_mm, cutting.kerf_mm)
        slack, sure, where, flag = 0.0, cutting.kerf_sure, "cutting.kerf", "kerf_sure = true"
    else:
        return []
    try:
        band = kerf_band(cutting.process, job.plate.thickness_mm, cutting.current_A, job.opening.disc_thickness_mm)
    except CutplanError:
        return []
    if band.low - slack <= min(values) and max(values) <= band.high + slack:
        return []
    message = say(
        "a kerf of {kerf} lies outside what is published for {process}: {limits}",
        kerf=listed([mm(v, 2) for v in sorted(set(values))]),
        process=code(cutting.process),
        limits=span(band.low, band.high, digits=2),
    )
    if sure:
        return [
            Finding(
                "kerf-outside-published",
                "warning",
                message,
                where,
                say("it was confirmed; measure it once more before a part that must fit"),
            )
        ]
    if PROCESSES[cutting.process].by_hand:
        fix = say("measure the width of a cut with a feeler gauge; if it is right, write {flag}", flag=code(flag))
    else:
        fix = say("cut a trial piece ({command}); if it is right, write {flag}", command=_coupon(job), flag=code(flag))
    return [Finding("kerf-outside-published", "error", message, where, fix)]


def how_to_measure(job: Job) -> Message:
    """Return what tells the kerf of the job's process: a trial piece, with the command that makes it, or a feeler gauge."""
    if PROCESSES[job.cutting.process].by_hand:
        return say("measure the width of a cut with a feeler gauge and write it into the job file")
    return say("cut a trial piece and measure it: {command}", command=_coupon(job))


def _coupon(job: Job) -> Value:
    """The command as it can be pasted."""
    return code(f"cutplan coupon kerf --process {pasted(job.cutting.process)} --thickness {job.plate.thickness_mm:g}mm")
