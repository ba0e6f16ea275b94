"""Trial pieces for printer, torch and welder: make one, and feed its measurements back into the shop file."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, Literal

from cutplan.drawing.model import Document, Page
from cutplan.errors import JobError, UsageError
from cutplan.files.job.read import read_job
from cutplan.files.job.shop import (
    SHOP_FILE,
    find_shop,
    read_shop,
    shop_text,
    user_folder,
    with_kerf,
    with_printer,
    with_weld,
)
from cutplan.findings import Finding, errors
from cutplan.pattern.job import Job
from cutplan.pattern.shop import Shop
from cutplan.pattern.wishes import CUT_PROCESSES, CutProcess, PaperWish, Welding
from cutplan.project.folder.write import write_file
from cutplan.tables.paper import SHEETS
from cutplan.texts import Message

Kind = Literal["paper", "kerf", "weld"]


@dataclass(frozen=True, slots=True)
class Request:
    """Which trial piece is meant; None: from the job, else a stated default. Lengths in mm."""

    kind: Kind
    job: Path | None = None
    paper: str | None = None
    printer: str | None = None
    process: str | None = None
    thickness_mm: float | None = None
    reading_mm: float | None = None


@dataclass(frozen=True, slots=True)
class CouponMade:
    """The files written and what to measure, one sentence each."""

    files: tuple[Path, ...]
    measure: tuple[Message | str, ...]


@dataclass(frozen=True, slots=True)
class Learnt:
    """The shop file written, the values it learnt, and notes for the user."""

    shop_file: Path
    values: dict[str, Any]
    notes: tuple[Message | str, ...]


def make_coupon(request: Request, folder: Path) -> CouponMade:
    """Write the files of a trial piece into a folder.

    Raises
    ------
    CutplanError
        When what is needed to make it is not known, or a file cannot be written.
    """
    job = read_job(request.job) if request.job else None
    return _MAKERS[request.kind](request, job, folder)


def learn(request: Request, readings_mm: Mapping[str, float], shop_path: Path | None = None) -> Learnt:
    """Feed readings [mm] of a trial piece into the shop file.

    The file written is ``shop_path``, else the one beside the job, else the one in the user's configuration folder;
    what it held of other processes and printers stays.

    Raises
    ------
    CutplanError
        When readings are missing, make no sense, or the file cannot be written.
    """
    job = read_job(request.job) if request.job else None
    target = shop_path or _shop_in_use(request.job)
    shop = read_shop(target) if target.exists() else Shop()
    shop, values, notes = _LEARNERS[request.kind](request, job, dict(readings_mm), shop)
    write_file(target, shop_text(shop).encode())
    return Learnt(target, values, tuple(notes))


def _shop_in_use(job: Path | None) -> Path:
    folder = Path() if job is None else (job if job.is_dir() else job.parent)
    found = find_shop(folder) if job is not None else None
    return found or user_folder() / SHOP_FILE


def _only(readings: Mapping[str, float], known: tuple[str, ...]) -> None:
    unknown = sorted(set(readings) - set(known))
    if unknown:
        raise UsageError(f"no reading is called {', '.join(unknown)}", "--measured", "known: " + ", ".join(known))


def _stop(findings: tuple[Finding, ...]) -> None:
    bad = errors(findings)
    if bad:
        raise JobError(bad[0].message, bad[0].where or "--measured", bad[0].fix)


def _notes(findings: tuple[Finding, ...]) -> list[str]:
    return [f"{f.severity}: {f.message}" + (f" ({f.fix})" if f.fix else "") for f in findings]


def _pdf(pages: tuple[Page, ...], title: str) -> bytes:
    from cutplan.drawing.pdf import render_pdf

    return render_pdf(Document(pages, title, subject="trial piece"))


# paper ---------------------------------------------------------------------------------------------------------------

_PAPER_READINGS = ("x", "y", "d1", "d2")


def _paper_wish(request: Request, job: Job | None) -> PaperWish:
    wish = job.paper if job else PaperWish()
    if request.paper:
        if request.paper not in SHEETS:
            raise UsageError(f"{request.paper!r} is no paper size", "--paper", "one of " + ", ".join(SHEETS))
        sheet = SHEETS[request.paper]
        wish = replace(wish, name=sheet.name, width_mm=sheet.width_mm, height_mm=sheet.height_mm)
    return replace(wish, printer=request.printer or wish.printer)


def _make_paper(request: Request, job: Job | None, folder: Path) -> CouponMade:
    from cutplan.templates.coupon import paper_coupon

    coupon = paper_coupon(_paper_wish(request, job))
    path = folder / "coupon-paper.pdf"
    write_file(path, _pdf(coupon.pages, "Printer calibration sheet"))
    return CouponMade(
        (path,),
        (
            "print it at 100 % (no fit to page) and measure between the centres of the targets:",
            f"x: 1 to 2, nominal {coupon.across_mm:g} mm    y: 1 to 4, nominal {coupon.up_mm:g} mm",
            f"d1: 1 to 3, d2: 4 to 2, nominal {coupon.diagonal_mm:.1f} mm",
            "then: cutplan coupon paper --measured x=... y=... d1=... d2=...",
        ),
    )


def _learn_paper(
    request: Request, job: Job | None, readings: dict[str, float], shop: Shop
) -> tuple[Shop, dict[str, Any], list[str]]:
    from cutplan.templates.correction import correction
    from cutplan.templates.coupon import measured_scale, paper_coupon

    _only(readings, _PAPER_READINGS)
    missing = [n for n in ("x", "y") if n not in readings]
    if missing or ("d1" in readings) != ("d2" in readings):
        raise UsageError("readings are missing", "--measured", "give x and y, and both diagonals d1 and d2 or neither")
    wish = _paper_wish(request, job)
    straight = (readings["x"] ** 2 + readings["y"] ** 2) ** 0.5
    scale = measured_scale(
        paper_coupon(wish),
        readings["x"],
        readings["y"],
        readings.get("d1", straight),
        readings.get("d2", straight),
        request.reading_mm if request.reading_mm is not None else 0.25,
        wish.printer,
    )
    used = correction(scale)
    notes = [
        f"printer {scale.name!r}: prints {100.0 * scale.x:.2f} % along x and {100.0 * scale.y:.2f} % along y",
        f"corrected: x by {1.0 / used.x:.5f}, y by {1.0 / used.y:.5f}"
        if (used.x, used.y) != (1.0, 1.0)
        else "no correction: the deviation is within the reading error",
    ]
    return (
        with_printer(shop, scale),
        {
            "printer": scale.name,
            "x": scale.x,
            "y": scale.y,
            "skew_rad": scale.skew_rad,
            "correction": {"x": 1.0 / used.x, "y": 1.0 / used.y},
        },
        notes,
    )


# kerf ----------------------------------------------------------------------------------------------------------------


def _process(request: Request, job: Job | None) -> tuple[CutProcess, float]:
    name = request.process or (job.cutting.process if job else None)
    thickness = request.thickness_mm or (job.plate.thickness_mm if job else None)
    if name is None or thickness is None:
        raise UsageError("process and thickness are needed", "coupon kerf", "give --job, or --process and --thickness")
    for known in CUT_PROCESSES:
        if known == name:
            return known, thickness
    raise UsageError(f"{name!r} is no cutting process", "--process", "one of " + ", ".join(CUT_PROCESSES))


def _make_kerf(request: Request, job: Job | None, folder: Path) -> CouponMade:
    from cutplan.cutting.files.drawings import path_layers
    from cutplan.cutting.kerf.coupon import kerf_coupon
    from cutplan.files.dxf.write import dxf_text

    process, thickness = _process(request, job)
    coupon = kerf_coupon(process, thickness)
    path = folder / "coupon-kerf.dxf"
    write_file(path, dxf_text(path_layers(coupon.job, coupon.plan)).encode("ascii"))
    return CouponMade(
        (path,),
        (
            f"cut it with {process} from {thickness:g} mm plate with the machine's own compensation OFF, then measure:",
            *coupon.measure,
            "then: cutplan coupon kerf --measured " + " ".join(f"{n}=..." for n in coupon.nominal_mm),
        ),
    )


def _learn_kerf(
    request: Request, job: Job | None, readings: dict[str, float], shop: Shop
) -> tuple[Shop, dict[str, Any], list[str]]:
    from cutplan.cutting.kerf.coupon import READINGS, learn_kerf

    _only(readings, READINGS)
    process, thickness = _process(request, job)
    learnt = learn_kerf(process, thickness, readings, request.reading_mm if request.reading_mm is not None else 0.05)
    _stop(learnt.findings)
    kerf = learnt.measured
    notes = [f"kerf of {process} in {thickness:g} mm: x {kerf.x_mm:.3f} mm, y {kerf.y_mm:.3f} mm"]
    return (
        with_kerf(shop, kerf),
        {
            "process": process,
            "thickness_mm": thickness,
            "x_mm": kerf.x_mm,
            "y_mm": kerf.y_mm,
            "table_scale": {"x": learnt.scale_x, "y": learnt.scale_y},
        },
        [*notes, *_notes(learnt.findings)],
    )


# weld ----------------------------------------------------------------------------------------------------------------


def _weld_coupon(request: Request, job: Job | None):  # type: ignore[no-untyped-def]
    from cutplan.pattern.joint import Joint
    from cutplan.welding.coupon import coupon_for, weld_coupon

    if job is not None:
        return weld_coupon(job)
    if request.thickness_mm is None:
        raise UsageError("a job or a thickness is needed", "coupon weld", "give --job, or --thickness (and --process)")
    process = request.process or "GMAW"
    if process not in ("GMAW", "GTAW"):
        raise UsageError(f"{process!r} is no welding process here", "--process", "GMAW or GTAW")
    wish = Welding(process="GTAW" if process == "GTAW" else "GMAW")
    return coupon_for(
        Joint("butt", min(1.5, 0.5 * request.thickness_mm)), request.thickness_mm, request.thickness_mm, wish
    )


def _make_weld(request: Request, job: Job | None, folder: Path) -> CouponMade:
    from cutplan.sheets.coupon_page import weld_coupon_page

    coupon = _weld_coupon(request, job)
    path = folder / "coupon-weld.pdf"
    write_file(path, _pdf((weld_coupon_page(coupon, job),), "Trial weld"))
    names = [f"{what}{i}=..." for i in range(1, len(coupon.stations_mm) + 1) for what in ("before", "after", "rise")]
    return CouponMade((path,), (*map(str, coupon.steps), "then: cutplan coupon weld --measured " + " ".join(names)))


def _learn_weld(
    request: Request, job: Job | None, readings: dict[str, float], shop: Shop
) -> tuple[Shop, dict[str, Any], list[str]]:
    from cutplan.welding.coupon import evaluate_readings

    result = evaluate_readings(_weld_coupon(request, job), readings)
    _stop(result.findings)
    m = result.measured
    notes = [
        f"shrinkage across the joint {result.shrink_mm:.2f} mm (standard error {result.shrink_error_mm:.2f}): "
        f"{m.shrink:.2f} times the formula, band +/- {100.0 * m.shrink_spread:.0f} %",
        f"angle {result.angle_rad * 57.2958:.2f} deg (standard error {result.angle_error_rad * 57.2958:.2f}): "
        f"{m.angle:.2f} times the formula, band +/- {100.0 * m.angle_spread:.0f} %",
    ]
    return (
        with_weld(shop, m),
        {
            "process": m.process,
            "thickness_mm": m.thickness_mm,
            "shrink": m.shrink,
            "shrink_spread": m.shrink_spread,
            "angle": m.angle,
            "angle_spread": m.angle_spread,
        },
        [*notes, *_notes(result.findings)],
    )


_MAKERS = {"paper": _make_paper, "kerf": _make_kerf, "weld": _make_weld}
_LEARNERS = {"paper": _learn_paper, "kerf": _learn_kerf, "weld": _learn_weld}
