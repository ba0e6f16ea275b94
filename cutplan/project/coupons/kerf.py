"""The torch's trial piece and the kerf that it shows, held against what is published for the process."""

from __future__ import annotations

from pathlib import Path

from cutplan.errors import JobError, UsageError
from cutplan.pattern.job import Job
from cutplan.pattern.shop import KerfMeasured
from cutplan.pattern.wishes import CUT_PROCESSES, CutProcess
from cutplan.project.coupons.request import CouponMade, Request, Told, notes, only, stop
from cutplan.project.single import write_own
from cutplan.tables.cutting.cut_process import process_word
from cutplan.texts import Message, code, every, mm, name, say, span

#: Reading error of a caliper [mm] (our own choice).
_CALIPER_MM = 0.05


def make_kerf(request: Request, job: Job | None, folder: Path, inputs: tuple[Path, ...]) -> CouponMade:
    """Write the trial piece's drawing."""
    from cutplan.cutting.files.drawings import path_layers
    from cutplan.cutting.kerf.coupon import kerf_coupon
    from cutplan.files.dxf.write import dxf_text

    process, thickness_mm = process_of(request, job)
    coupon = kerf_coupon(process, thickness_mm)
    path = folder / "coupon-kerf.dxf"
    write_own(path, dxf_text(path_layers(coupon.job, coupon.plan)).encode("ascii"), inputs)
    first = say(
        "cut it with {process} from {thickness} plate with the machine's own compensation OFF, then measure:",
        process=process_word(process),
        thickness=mm(thickness_mm, None),
    )
    return CouponMade((path,), (first, *coupon.measure), tuple(coupon.nominal_mm))


def learn_kerf_of(request: Request, job: Job | None, readings: dict[str, float]) -> Told:
    """Return the kerf that a trial piece shows, from readings [mm].

    Raises
    ------
    JobError
        When it lies outside what is published for the process and nobody said that it is right.
    """
    from cutplan.cutting.kerf.coupon import READINGS, learn_kerf

    only(readings, READINGS)
    process, thickness_mm = process_of(request, job)
    error = request.reading_mm if request.reading_mm is not None else _CALIPER_MM
    learnt = learn_kerf(process, thickness_mm, readings, error)
    stop(learnt.findings)
    kerf, doubt = _judged(learnt.measured, request, job)
    said: list[Message | str] = [
        say(
            "kerf of {process} in {thickness}: x {x}, y {y}",
            process=process_word(process),
            thickness=mm(thickness_mm, None),
            x=mm(kerf.x_mm, 3),
            y=mm(kerf.y_mm, 3),
        ),
        *doubt,
        *notes(learnt.findings),
    ]
    values = {"process": process, "thickness_mm": thickness_mm, "x_mm": kerf.x_mm, "y_mm": kerf.y_mm}
    return kerf, {**values, "table_scale": {"x": learnt.scale_x, "y": learnt.scale_y}, "sure": kerf.sure}, said


def _judged(kerf: KerfMeasured, request: Request, job: Job | None) -> tuple[KerfMeasured, list[Message]]:
    """Hold a kerf against the published range: inside as it is, outside only when it was confirmed."""
    from cutplan.tables.cutting.kerf import kerf_band

    current = job.cutting.current_A if job else None
    band = kerf_band(kerf.process, kerf.thickness_mm, current)
    low, high = band.low - kerf.reading_mm, band.high + kerf.reading_mm
    if low <= min(kerf.x_mm, kerf.y_mm) and max(kerf.x_mm, kerf.y_mm) <= high:
        return kerf, []
    outside = say(
        "a kerf of {x} by {y} lies outside what is published for {process}: {limits}",
        x=mm(kerf.x_mm, 2),
        y=mm(kerf.y_mm, 2),
        process=process_word(kerf.process),
        limits=span(band.low, band.high, digits=2),
    )
    if not request.sure:
        raise JobError(
            outside,
            "--measured",
            say(
                "measure again, with the machine's compensation OFF and the right units; if it is right, add {flag}",
                flag=code("--yes"),
            ),
        )
    sure = KerfMeasured(kerf.process, kerf.thickness_mm, kerf.x_mm, kerf.y_mm, kerf.reading_mm, sure=True)
    return sure, [say("{outside}; kept because you confirmed it", outside=outside)]


def process_of(request: Request, job: Job | None) -> tuple[CutProcess, float]:
    """Return the process and the thickness [mm] that a trial piece is for.

    Raises
    ------
    UsageError
        When the process is not known, or process or thickness is missing.
    """
    process = request.process or (job.cutting.process if job else None)
    thickness = request.thickness_mm or (job.plate.thickness_mm if job else None)
    if process is None or thickness is None:
        raise UsageError(
            say("process and thickness are needed"),
            f"coupon {request.kind}",
            say("give --job, or --process and --thickness"),
        )
    for known in CUT_PROCESSES:
        if known == process:
            return known, thickness
    choices = every([code(p) for p in CUT_PROCESSES])
    raise UsageError(
        say("{process} is no cutting process", process=name(process)),
        "--process",
        say("one of {choices}", choices=choices),
    )
