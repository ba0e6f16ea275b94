"""A commented job file to start from, filled in from a drawing where one is given."""

from __future__ import annotations

import shutil
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from cutplan.errors import DrawingError, OutputError
from cutplan.files.job.begin import Answer, begun
from cutplan.files.job.other_kinds import refuse_no_job
from cutplan.files.job.tables.plate import BOLT_HOLE_UP_TO_MM, SAME_DIAMETER_MM, sizes_of
from cutplan.findings import errors
from cutplan.project.folder.write import write_file
from cutplan.tables.paper import USUAL
from cutplan.texts import Message, Reader, code, plural, say
from cutplan.texts import name as named
from cutplan.units import MM_PER, UnitName

if TYPE_CHECKING:
    from cutplan.files.drawing_in import Drawing
    from cutplan.files.known_length import Known


@dataclass(frozen=True, slots=True)
class Told:
    """What ``cutplan new`` was told of its drawing: a known length, what a rectangle around everything is, which part,
    whether what is doubtful is mended, and the layers to read (none: all of them)."""

    length: Known | None = None
    frame: Literal["plate", "border"] | None = None
    part: int | None = None
    repair: bool = False
    layers: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Wanted:
    """What ``cutplan new`` was told: title, units of the job file, joint, thicknesses [mm], study, language of what is
    said beside the keys, corners of a tape survey and the side of its third, the drawing; None: a stated default, for
    the paper that of the job's units."""

    title: str | None = None
    units: Literal["mm", "in"] | None = None
    joint: Literal["butt", "lap"] = "butt"
    thickness_mm: float | None = None
    skin_mm: float | None = None
    paper: str | None = None
    study: Path | None = None
    language: str = "en"
    survey: int | None = None
    side: Literal["left", "right"] | None = None
    drawn: Told = Told()


@dataclass(frozen=True, slots=True)
class NewJob:
    """The text of the job file, and the drawing to copy beside it (None when it is there already)."""

    text: str
    copy_from: Path | None
    drawing_name: str
    reading: Drawing | None = None

    @property
    def picture_name(self) -> str:
        """File name of the picture of the reading; empty without a drawing."""
        return f"{Path(self.drawing_name).stem}-reading.png" if self.reading is not None else ""


def new_job(target: Path, drawing: Path | None, wanted: Wanted) -> NewJob:
    """Return a job file that `cutplan make` takes as it is.

    Parameters
    ----------
    target : Path
        Where the job file will stand.
    drawing : Path or None
        A drawing to read; without one a typed rectangle is written.
    wanted : Wanted
        Answers given on the command line.

    Raises
    ------
    DrawingError
        When the drawing cannot be read as one or more exact plates.
    """
    units: UnitName = wanted.units or "mm"
    plate: dict[str, Any] = {}
    read: Drawing | None = None
    copy_from, name = None, ""
    if drawing is not None:
        from cutplan.files.drawing_in import read_drawing
        from cutplan.files.drawing_units import ASK_UNIT

        told = wanted.drawn
        read = read_drawing(
            drawing,
            units=wanted.units,
            repair=told.repair,
            layers=told.layers or None,
            length=told.length,
            frame=told.frame,
        )
        bad = errors(read.findings)
        if bad:
            first = bad[0]
            where = first.where if isinstance(first.where, Message) else named(first.where)
            raise DrawingError(first.message, say("{file}, {where}", file=named(drawing.name), where=where), first.fix)
        if not read.units.firm:
            message = say("the drawing does not state its unit: {why}", why=read.units.reason)
            raise DrawingError(message, drawing.name, ASK_UNIT)
        _check_part(read, told.part, drawing.name)
        name = drawing.name
        if drawing.resolve().parent != target.resolve().parent:
            copy_from = drawing
        units = wanted.units or ("in" if read.units.mm_per_unit == MM_PER["in"] else "mm")
        plate = _drawn(name, read, wanted)
    answers = _answers(target, wanted, plate)
    answers["paper"] = {"size": Answer(wanted.paper or USUAL[units])}
    if drawing is not None:
        from cutplan.project.new.traced import traced_by

        answers |= traced_by(drawing)
    reader = Reader(wanted.language)
    text = begun(answers, units, reader)
    if wanted.study is not None:
        from cutplan.project.new.moved import moved_by

        answers |= moved_by(text, (drawing or target).parent, wanted.study)
        text = begun(answers, units, reader)
    return NewJob(text, copy_from, name, read)


def write_new_job(target: Path, drawing: Path | None, wanted: Wanted) -> NewJob:
    """Write the job file (and copies of drawing and study beside it); nothing that exists is overwritten.

    Raises
    ------
    OutputError
        When the job file, or another file of the drawing's name, is there already.
    JobError
        When the name is a drawing's or a picture's.
    """
    refuse_no_job(target)
    if target.exists():
        raise OutputError(
            say("the job file is there already"), str(target), say("choose another name, or move the old one away")
        )
    job = new_job(target, drawing, wanted)
    if wanted.study is not None:
        from cutplan.project.new.moved import copy_study

        copy_study(wanted.study, target.parent)
    if job.copy_from is not None:
        copy = target.parent / job.drawing_name
        if copy.exists() and copy.read_bytes() != job.copy_from.read_bytes():
            raise OutputError(
                say("another file of the drawing's name is there already"),
                str(copy),
                say("rename one of the two drawings"),
            )
        target.parent.mkdir(parents=True, exist_ok=True)
        try:
            shutil.copyfile(job.copy_from, copy)
        except OSError as error:
            raise OutputError(
                say("the drawing could not be copied ({reason})", reason=named(error.strerror or str(error))),
                str(copy),
                say("copy it by hand"),
            ) from None
        from cutplan.project.new.traced import copy_traced

        copy_traced(job.copy_from, target.parent)
    write_file(target, job.text.encode())
    picture = target.parent / job.picture_name
    if job.reading is not None and not picture.exists():
        from cutplan.report.reading_picture import reading_picture

        write_file(picture, reading_picture(job.reading))
    return job


def _check_part(read: Drawing, part: int | None, name: str) -> None:
    """Refuse a drawing of several parts where it is not told which is the plate, or where the one told is not there."""
    if part is None and read.rivals:
        raise DrawingError(
            say("the drawing has several parts of a plate's size, {sizes}", sizes=sizes_of(read)),
            name,
            say("state which one is the plate: {this} for the largest", this=code("--part 1")),
        )
    if (part or 1) > len(read.parts):
        message = say("the drawing has {count} parts", count=len(read.parts))
        raise DrawingError(message, name, say("number them from 1, largest first"))


def _unit_answers(read: Drawing, known: Known | None) -> dict[str, Answer]:
    """Return what makes the drawing's unit firm in the job file."""
    if read.units.mm_per_unit in (MM_PER["mm"], MM_PER["in"]):
        return {"drawing_units": Answer("in" if read.units.mm_per_unit == MM_PER["in"] else "mm")}
    if known is not None:
        return {"drawing_length": Answer(f"{known.name}={known.mm:.6g} mm")}
    return {}  # a unit that is neither mm nor in stands in the drawing


def _drawn(name: str, read: Drawing, wanted: Wanted) -> dict[str, Any]:
    """Return the answers of a plate from a drawing: which file, its unit, its holes by diameter."""
    note = say("in this folder; read in {unit}: {why}", unit=code(read.units.name), why=read.units.reason)
    told = wanted.drawn
    part = told.part or 1
    plate: dict[str, Any] = dict.fromkeys(("shape", "width", "height", "corner_radius"))
    plate |= {"drawing": Answer(name, note), **_unit_answers(read, told.length)}
    if told.frame is not None:
        plate["frame"] = Answer(told.frame)
    if told.repair:
        plate["repair"] = Answer(True)
    if told.layers:
        plate["layers"] = Answer(list(told.layers))
    if len(read.parts) > 1:
        plate["part"] = Answer(part, say("the drawing has {count} parts; 1 is the largest", count=len(read.parts)))
    rounds = sorted(2.0 * c[1] for c in (h.as_circle() for h in read.parts[part - 1].region.holes) if c)
    groups: list[list[float]] = []
    for d in rounds:
        if groups and d - groups[-1][0] <= SAME_DIAMETER_MM:
            groups[-1].append(d)
        else:
            groups.append([d])
    plate["drawn_hole"] = [_hole(group[0], len(group)) for group in groups[:30]] or None
    return plate


def _hole(diameter_mm: float, count: int) -> dict[str, Any]:
    told = Answer(None, plural("the one of this diameter", "the {count} of this diameter", count))
    if diameter_mm <= BOLT_HOLE_UP_TO_MM:
        return {"": told, "diameter": Answer(diameter_mm), "purpose": Answer("bolt")}
    return {"": told, "diameter": Answer(diameter_mm), "purpose": Answer("access"), "bolt": None}


def _words(called: str) -> str:
    """The name of a file or folder as a title; what is no text in it becomes question marks."""
    return called.encode("utf-8", "replace").decode().replace("-", " ").replace("_", " ")


def _answers(target: Path, wanted: Wanted, plate: dict[str, Any]) -> dict[str, Any]:
    """Return what is known of the job already."""
    title = wanted.title or _words(target.stem)
    if target.name == "job.toml" and wanted.title is None:
        title = _words(target.resolve().parent.name)
    if wanted.survey is not None:
        # the corners are the survey's, and where a hole lies is not known before them
        plate = dict.fromkeys(("shape", "width", "height", "corner_radius", "hole"))
    plate = plate or {"hole": [{}]}
    if wanted.thickness_mm is not None:
        plate["thickness"] = Answer(wanted.thickness_mm)
    answers: dict[str, Any] = {"title": Answer(title), "plate": plate}
    if wanted.survey is not None:
        from cutplan.project.new.survey import surveyed_by

        answers["survey"] = surveyed_by(wanted.survey, wanted.side)
    if wanted.joint == "lap":
        answers["joint"] = {"kind": Answer("lap"), "gap": None, "overlap": Answer(25.4)}
    if wanted.skin_mm is not None:
        answers["skin"] = {"thickness": Answer(wanted.skin_mm)}
    if wanted.language != "en":
        answers["language"] = Answer(wanted.language)
    return answers
