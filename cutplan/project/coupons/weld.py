"""The trial weld and the shrinkage that it shows."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from cutplan.drawing.model import Document
from cutplan.errors import UsageError
from cutplan.pattern.job import Job
from cutplan.pattern.joint import Joint
from cutplan.pattern.wishes import Welding
from cutplan.project.coupons.request import CouponMade, Request, Told, notes, reader_of, stop
from cutplan.project.single import write_own
from cutplan.texts import mm, name, number, say

_DEG = 57.29577951308232


def make_weld(request: Request, job: Job | None, folder: Path, inputs: tuple[Path, ...]) -> CouponMade:
    """Write the page of the trial weld."""
    from cutplan.drawing.pdf import render_pdf
    from cutplan.sheets.welding.coupon_page import TITLE, weld_coupon_page

    coupon = _coupon(request, job)
    path = folder / "coupon-weld.pdf"
    read = reader_of(request, job)
    document = Document((weld_coupon_page(coupon, job, read),), read(TITLE), subject=read(say("trial piece")))
    write_own(path, render_pdf(document), inputs)
    stations = range(1, len(coupon.stations_mm) + 1)
    return CouponMade(
        (path,), tuple(coupon.steps), tuple(f"{w}{i}" for i in stations for w in ("before", "after", "rise"))
    )


def learn_weld(request: Request, job: Job | None, readings: dict[str, float]) -> Told:
    """Return the factors [1] on the formulas that a trial weld shows, from readings [mm]."""
    from cutplan.welding.coupon_readings import evaluate_readings

    result = evaluate_readings(_coupon(request, job), readings)
    stop(result.findings)
    m = result.measured
    across = say(
        "shrinkage across the joint {shrink} (standard error {error}): {factor} times the formula, band +/- {spread}",
        shrink=mm(result.shrink_mm, 2),
        error=mm(result.shrink_error_mm, 2),
        factor=number(m.shrink, digits=2),
        spread=number(100.0 * m.shrink_spread, "%", 0),
    )
    angle = say(
        "angle {angle} (standard error {error}): {factor} times the formula, band +/- {spread}",
        angle=number(result.angle_rad * _DEG, "deg", 2),
        error=number(result.angle_error_rad * _DEG, "deg", 2),
        factor=number(m.angle, digits=2),
        spread=number(100.0 * m.angle_spread, "%", 0),
    )
    values = {"process": m.process, "thickness_mm": m.thickness_mm, "shrink": m.shrink}
    values |= {"shrink_spread": m.shrink_spread, "angle": m.angle, "angle_spread": m.angle_spread}
    return m, values, [across, angle, *notes(result.findings)]


def _coupon(request: Request, job: Job | None) -> Any:
    from cutplan.welding.coupon import coupon_for, weld_coupon

    if job is not None:
        return weld_coupon(job)
    if request.thickness_mm is None:
        raise UsageError(
            say("a job or a thickness is needed"), "coupon weld", say("give --job, or --thickness (and --process)")
        )
    process = {"MIG": "GMAW", "MAG": "GMAW", "TIG": "GTAW", "WIG": "GTAW"}.get(
        (request.process or "GMAW").upper(), (request.process or "GMAW").upper()
    )
    if process not in ("GMAW", "GTAW"):
        raise UsageError(
            say("{process} is no welding process here", process=name(process)), "--process", say("GMAW or GTAW")
        )
    wish = Welding(process="GTAW" if process == "GTAW" else "GMAW")
    gap = min(1.5, 0.5 * request.thickness_mm)
    return coupon_for(Joint("butt", gap), request.thickness_mm, request.thickness_mm, wish)
