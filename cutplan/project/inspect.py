"""As built against plan: the blank form, the filled one, the verdict and its page."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from cutplan.errors import JobError, LimitError
from cutplan.files.bounded import bounded_bytes
from cutplan.inspection.form import form_csv
from cutplan.inspection.on_the_way import bench_readings, under_way
from cutplan.inspection.readings import Reading, read_readings
from cutplan.inspection.verdict import Inspection, inspect
from cutplan.project.folder.write import write_file
from cutplan.project.planned.plans import load, plans
from cutplan.project.run.inputs import input_files
from cutplan.project.single import write_own
from cutplan.project.words import refuse
from cutplan.texts import Reader, name, say

if TYPE_CHECKING:
    from cutplan.drawing.model import Document
    from cutplan.pattern.job import Job
    from cutplan.pattern.shop import Shop
    from cutplan.sheets.results import Results
    from cutplan.welding.bench.result import BenchPlan

#: Largest form that is read [bytes].
LARGEST_FORM = 1024 * 1024


@dataclass(frozen=True, slots=True)
class Inspected:
    """The verdict on a part, and how to go on where it is still being welded; None where it is not."""

    found: Inspection
    bench: BenchPlan | None


def write_form(job_path: Path, target: Path) -> None:
    """Write the blank form of a job; an existing file is not overwritten.

    Raises
    ------
    JobError
        When the file is there already.
    """
    job, _ = load(job_path)
    if target.exists():
        raise JobError(say("the form is there already"), str(target), say("choose another name: it may hold readings"))
    write_file(target, form_csv(job, job.shown.language).encode())


def reader_of(job_path: Path) -> Reader:
    """Return who reads what is said of a job: its language and units."""
    job, _ = load(job_path)
    return Reader(job.shown.language, job.shown.display)


def inspect_job(job_path: Path, measured: Path, shop_path: Path | None = None, page: Path | None = None) -> Inspected:
    """Return the verdict on a part, and write its page when asked: as built, or the stitches that are left.

    Parameters
    ----------
    job_path, measured : Path
        The job, and its form filled in (CSV, UTF-8).
    shop_path : Path or None
        Shop file to use.
    page : Path or None
        PDF to write.

    Raises
    ------
    JobError
        When the form cannot be read.
    """
    job, shop = load(job_path, shop_path)
    rows = read_readings(_text(measured), job.shown.display, measured.name)
    results = plans(job, shop, ("weld",))
    refuse(results.findings, job.origin.source)
    found = inspect(job, results, rows, job.shown.language)
    bench = _under_way(job, shop, results, rows)
    if page is not None:
        from cutplan.drawing.pdf import render_pdf

        document = page_of(results, found, bench)
        write_own(page, render_pdf(document), (*input_files(job_path, shop_path), measured))
    return Inspected(found, bench)


def page_of(results: Results, found: Inspection, bench: BenchPlan | None) -> Document:
    """Return the page of a part: as built, or while it is being welded what is left, with what to do first."""
    from cutplan.inspection.as_built import as_built_document
    from cutplan.sheets.welding.bench_page import bench_document

    return as_built_document(results, found) if bench is None else bench_document(results, bench, advice=found.advice)


def _under_way(job: Job, shop: Shop, results: Results, rows: tuple[Reading, ...]) -> BenchPlan | None:
    """What is left, re-planned on what was read; None on a finished part."""
    if results.weld is None or not under_way(rows):
        return None
    from cutplan.welding.bench.replan import replan

    return replan(job, shop, results.weld, bench_readings(job, rows))


def _text(measured: Path) -> str:
    """The form's text."""
    try:
        raw = bounded_bytes(measured, LARGEST_FORM)
        if len(raw) > LARGEST_FORM:
            raise LimitError(
                say("the form is larger than {most} bytes", most=LARGEST_FORM), str(measured), say("give the form only")
            )
        return raw.decode("utf-8-sig")
    except OSError as error:
        reason = name(error.strerror or str(error))
        raise JobError(
            say("the form cannot be read ({reason})", reason=reason), str(measured), say("check the name")
        ) from None
    except UnicodeDecodeError:
        raise JobError(say("the form is not UTF-8 text"), str(measured), say("save it as CSV in UTF-8")) from None
