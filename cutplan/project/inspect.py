"""As built against plan: the blank form, the filled one, the verdict and its page."""

from __future__ import annotations

from pathlib import Path

from cutplan.errors import JobError, LimitError
from cutplan.inspection.form import form_csv
from cutplan.inspection.readings import read_readings
from cutplan.inspection.verdict import Inspection, inspect
from cutplan.project.folder.write import write_file
from cutplan.project.inputs import input_files
from cutplan.project.planned.plans import load, plans
from cutplan.project.single import write_own
from cutplan.project.words import refuse
from cutplan.texts import name, say

#: Largest form that is read [bytes].
LARGEST_FORM = 1024 * 1024


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
    write_file(target, form_csv(job, job.language).encode())


def inspect_job(job_path: Path, measured: Path, shop_path: Path | None = None, page: Path | None = None) -> Inspection:
    """Return the verdict on a finished part, and write its as-built page when asked.

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
    try:
        if measured.stat().st_size > LARGEST_FORM:
            raise LimitError(
                say("the form is larger than {most} bytes", most=LARGEST_FORM), str(measured), say("give the form only")
            )
        text = measured.read_bytes().decode("utf-8-sig")
    except OSError as error:
        reason = name(error.strerror or str(error))
        raise JobError(
            say("the form cannot be read ({reason})", reason=reason), str(measured), say("check the name")
        ) from None
    except UnicodeDecodeError:
        raise JobError(say("the form is not UTF-8 text"), str(measured), say("save it as CSV in UTF-8")) from None
    rows = read_readings(text, job.display, measured.name)
    results = plans(job, shop, ("weld",))
    refuse(results.findings, job.source)
    found = inspect(job, results, rows, job.language)
    if page is not None:
        from cutplan.drawing.pdf import render_pdf
        from cutplan.inspection.as_built import as_built_document

        inputs = (*input_files(job_path, shop_path), measured)
        write_own(page, render_pdf(as_built_document(results, found)), inputs)
    return found
