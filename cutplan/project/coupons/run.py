"""Make a trial piece, or feed its readings into the shop file that is in use."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path

from cutplan.errors import JobError
from cutplan.files.job.read import read_job
from cutplan.files.job.shop.read import SHOP_FILE, find_shop, read_shop, user_folder
from cutplan.files.job.shop.write import updated
from cutplan.pattern.job import Job
from cutplan.pattern.shop import HolesMeasured
from cutplan.project.coupons.holes import learn_holes_of, make_holes, with_earlier
from cutplan.project.coupons.kerf import learn_kerf_of, make_kerf
from cutplan.project.coupons.paper import learn_paper, make_paper
from cutplan.project.coupons.request import CouponMade, Kind, Learnt, Request, Told, reader_of
from cutplan.project.coupons.weld import learn_weld, make_weld
from cutplan.project.folder.write import write_file
from cutplan.project.run.inputs import input_files
from cutplan.texts import Reader, listed, mm, say
from cutplan.texts.command import pasted

__all__ = ["CouponMade", "Kind", "Learnt", "Request", "asked_by", "learn", "make_coupon", "next_call"]

_Maker = Callable[[Request, Job | None, Path, tuple[Path, ...]], CouponMade]
_MAKERS: dict[Kind, _Maker] = {"paper": make_paper, "kerf": make_kerf, "holes": make_holes, "weld": make_weld}
_LEARNERS: dict[Kind, Callable[[Request, Job | None, dict[str, float]], Told]] = {
    "paper": learn_paper,
    "kerf": learn_kerf_of,
    "holes": learn_holes_of,
    "weld": learn_weld,
}


def make_coupon(request: Request, folder: Path) -> CouponMade:
    """Write the files of a trial piece into a folder.

    Raises
    ------
    CutplanError
        When what is needed to make it is not known, or a file cannot be written.
    """
    job = read_job(request.job) if request.job else None
    inputs = input_files(request.job) if request.job else ()
    return _MAKERS[request.kind](request, job, folder, inputs)


def asked_by(request: Request) -> Reader:
    """Return who reads what is printed and said, and in whose units readings are that name none.

    Raises
    ------
    CutplanError
        When the job cannot be read.
    """
    whole = request.language and request.units
    return reader_of(request, read_job(request.job) if request.job and not whole else None)


def learn(request: Request, readings_mm: Mapping[str, float], shop_path: Path | None = None) -> Learnt:
    """Feed readings [mm] of a trial piece into the shop file.

    The file written is ``shop_path``, else the one beside the job, else the one in the user's configuration folder;
    what it holds of other processes and printers stays, and so do the user's own comments.

    Raises
    ------
    CutplanError
        When readings are missing, make no sense, or the file cannot be written; it is then as it was.
    """
    job = read_job(request.job) if request.job else None
    measured, values, notes = _LEARNERS[request.kind](request, job, dict(readings_mm))
    target = shop_path or _shop_in_use(request.job)
    old = ""
    if target.exists():
        known = read_shop(target)  # refused in words before anything is changed
        try:
            old = target.read_text(encoding="utf-8-sig")
        except (OSError, UnicodeDecodeError):
            raise JobError(say("the shop file cannot be read"), str(target), say("check it, or move it away")) from None
        if isinstance(measured, HolesMeasured):
            measured, kept = with_earlier(known, measured)
            if kept:
                sizes = listed([mm(size, None) for size in kept])
                notes = [*notes, say("not measured this time and kept as learnt before: holes of {sizes}", sizes=sizes)]
            values = {**values, "kept_diameters_mm": list(kept)}
    write_file(target, updated(old, measured, target.name).encode())
    return Learnt(target, values, tuple(notes))


def next_call(request: Request, made: CouponMade) -> str:
    """Return the command that feeds the readings back, ready to be pasted and filled in."""
    words = ["cutplan", "coupon", request.kind]
    given = (
        ("--job", request.job),
        ("--shop", request.shop),
        ("--paper", request.paper),
        ("--printer", request.printer),
        ("--process", request.process),
    )
    words += [w for flag, v in given if v is not None for w in (flag, pasted(str(v)))]
    if request.thickness_mm is not None:
        words += ["--thickness", pasted(f"{request.thickness_mm:g} mm")]
    if asked_by(request).units != "mm":
        words += ["--units", asked_by(request).units]
    values = {name: f"{value:g}mm" for name, value in made.known_mm.items()}
    return " ".join([*words, "--measured", *(f"{name}={values.get(name, '...')}" for name in made.readings)])


def _shop_in_use(job: Path | None) -> Path:
    folder = Path() if job is None else (job if job.is_dir() else job.parent)
    found = find_shop(folder) if job is not None else None
    return found or user_folder() / SHOP_FILE
