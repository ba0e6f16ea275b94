"""Job file (TOML) to a :class:`~cutplan.pattern.job.Job`; every problem located, all in one report."""

from __future__ import annotations

from dataclasses import fields
from pathlib import Path
from typing import Any, TypeVar

from cutplan.files.job.declared.job import JOB
from cutplan.files.job.keys import Keys
from cutplan.files.job.problems import Problems, shortened
from cutplan.files.job.tables.around import read_brace, read_joint, read_pad, read_skin
from cutplan.files.job.tables.moved import apply_moved
from cutplan.files.job.tables.pieces import read_pieces
from cutplan.files.job.tables.plate import read_plate
from cutplan.files.job.tables.shapes import read_flange, read_tube
from cutplan.files.job.tables.traced import apply_traced
from cutplan.files.job.tables.work import read_cutting, read_marks, read_opening, read_paper, read_welding
from cutplan.files.job.toml import read_toml
from cutplan.findings import Finding
from cutplan.geometry.contour import Contour, rectangle
from cutplan.pattern.job import About, Beside, Job, Origin, Shown
from cutplan.pattern.plate import Plate
from cutplan.texts import code, mm, say
from cutplan.texts import name as named
from cutplan.units import UnitName

_T = TypeVar("_T")


def read_job(path: str | Path) -> Job:
    """Return the job in a TOML file.

    Parameters
    ----------
    path : str or Path
        Job file, or the folder that holds ``job.toml``. Drawings it names must lie in its own folder or below.

    Returns
    -------
    Job
        Everything in millimetres; what reading noticed is in ``findings``.

    Raises
    ------
    JobError
        With every problem of the file, each with its key path.
    DrawingError
        When the drawing cannot be read as one exact plate.
    """
    path = Path(path)
    if path.is_dir():
        path = path / "job.toml"
    return job_from(read_toml(path), path)


def job_from(data: dict[str, Any], path: Path) -> Job:
    """Return the job in parsed TOML data; ``path`` names the file for errors and is the base of the drawing."""
    problems = Problems(path.name)
    unit = _units(data.get("units"), problems)
    top = Keys(data, "", problems, unit, JOB)
    top.has("units")
    title = top.text("title", "", JOB["title"].most)
    if not title.strip():
        problems.add("title", say("is missing or empty"), JOB["title"].need or "")
    read = read_plate(top.take("plate"), top.take("survey"), path.parent)
    plate = read.plate or Plate(rectangle(0.0, 0.0, 100.0, 100.0), (), 3.0)
    outline = plate.outline.oriented(ccw=True)
    pieces, of_pieces = read_pieces(top, path.parent)
    given = {field: value for field, value in top.values("units", "title").items() if value is not None}
    job = Job(
        about=_record(About, given, title=title, date=_date(top)),
        plate=Plate(outline, plate.holes, plate.thickness_mm, plate.steel, plate.quantity),
        joint=read_joint(top.take("joint"), outline, plate.thickness_mm),
        skin=read_skin(top.take("skin")),
        pads=tuple(read_pad(p, i, plate) for i, p in enumerate(top.take("pad"))),
        brace=read_brace(top.take("brace")) if top.has("brace") else None,
        cutting=read_cutting(top.take("cutting")),
        opening=read_opening(top.take("opening")),
        welding=read_welding(top.take("welding")),
        paper=read_paper(top.take("paper")),
        marks=read_marks(top.take("marks")),
        beside=Beside(
            tuple(read_tube(w, i) for i, w in enumerate(top.take("tube"))),
            tuple(read_flange(f, i) for i, f in enumerate(top.take("flange"))),
            pieces,
        ),
        shown=_record(Shown, {"display": unit, **given}),
        origin=Origin(path.name, read.drawing, findings=(*read.findings, *of_pieces, *_questions(outline))),
    )
    job = apply_traced(top.take("traced") if top.has("traced") else None, job, path.parent)
    if top.has("moved"):
        job = apply_moved(top.take("moved"), job, data.get("pad"))
    top.close()
    problems.raise_if_any()
    return job


def _units(stated: Any, problems: Problems) -> UnitName:
    if stated not in ("mm", "in"):
        what = say("is missing") if stated is None else say("{value} is not known", value=named(shortened(stated)))
        problems.add("units", what, JOB["units"].need or "")
    return "in" if stated == "in" else "mm"


def _record(kind: type[_T], given: dict[str, Any], **more: Any) -> _T:
    """Return a record of what is given of its fields."""
    known = {f.name for f in fields(kind)}  # type: ignore[arg-type]
    return kind(**{field: value for field, value in given.items() if field in known} | more)


def _date(top: Keys) -> str:
    value = top.take("date")
    return value.isoformat() if hasattr(value, "isoformat") else top.text("date", "", JOB["date"].most)


def _questions(outline: Contour) -> tuple[Finding, ...]:
    """Ask about a plate whose size suggests a slip between inches and millimetres."""
    size = max(outline.box.width, outline.box.height)
    if size < 25.0:
        hint = say(
            "{size} across: were inches meant ({other})? set {keys}",
            size=mm(size),
            other=mm(size * 25.4, 0),
            keys=code("units / drawing_units"),
        )
    elif size > 4000.0:
        hint = say(
            "{size} across: were millimetres read as inches ({other})? set {keys}",
            size=mm(size, 0),
            other=mm(size / 25.4, 0),
            keys=code("units / drawing_units"),
        )
    else:
        return ()
    return (Finding("size-unusual", "warning", say("the plate's size is unusual for a weld-in plate"), "plate", hint),)
