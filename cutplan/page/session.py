"""What one run of the page holds: the folder in which jobs are begun, the job on the desk, and the work beside."""

from __future__ import annotations

import threading
from pathlib import Path
from typing import Any

from cutplan.errors import UsageError
from cutplan.files.job.other_kinds import refuse_no_job
from cutplan.page.study_desk import StudyDesk
from cutplan.project.desk.desk import Desk, Sheet
from cutplan.project.desk.drawn import drawing_view
from cutplan.project.desk.live import answers, paper_and_cut
from cutplan.project.desk.photos.tracing import Tracer
from cutplan.project.desk.tape.figure import figure
from cutplan.project.desk.work.worker import Worker
from cutplan.project.run.inputs import shop_file
from cutplan.texts import Reader, say
from cutplan.units import UnitName

#: Keys of the plate that say how its drawing is read.
_ABOUT_DRAWING = ("drawing", "drawing_units", "drawing_length", "frame", "repair", "layers")


def _changed(folder: Path, plate: Any) -> str:
    """Tell one state of the drawing's file from another."""
    try:
        return _stamp(folder / str(plate["drawing"]))
    except (KeyError, TypeError):
        return ""


def _stamp(path: Path | None) -> str:
    """Tell one state of a file from another; empty when there is none."""
    try:
        stat = path.stat() if path is not None else None
    except (OSError, ValueError):
        return ""
    return f"{path} {stat.st_mtime_ns} {stat.st_size}" if stat is not None else ""


class Session:
    """The page's memory; what is worth keeping is in the job's folder, never only here.

    Parameters
    ----------
    room : Path
        Folder in which new jobs get their own folder.
    """

    def __init__(self, room: Path) -> None:
        self.room = room.resolve()
        self.desk: Desk | None = None
        self.worker = Worker()
        self.tracer = Tracer(self.room)
        self._study: StudyDesk | None = None
        self._guard = threading.RLock()
        self.language = "en"
        self._answers: tuple[str, dict[str, Any]] = ("", {})
        self._figures: tuple[str, dict[str, Any]] = ("", {})
        self._drawing: tuple[str, dict[str, Any]] = ("", {})

    @property
    def reader(self) -> Reader:
        """Who reads: the page's language, and the units that the job shows lengths in."""
        units: UnitName = "in" if self._answers[1].get("display") == "in" else "mm"
        return Reader(self.language, units)

    def speak(self, language: str) -> None:
        """Answer in another language from now on."""
        self.language = language
        self._answers = self._figures = ("", {})

    def open(self, job: Path) -> Desk:
        """Put a job on the desk; a drawing or a picture is refused with the command that begins a job from it."""
        refuse_no_job(job)
        self.worker.cancel()
        self.worker = Worker()
        self.desk = Desk(job)
        self._study = None
        self._answers = self._figures = ("", {})
        return self.desk

    def close(self) -> None:
        """Clear the desk."""
        self.worker.cancel()
        self.desk = None

    def at_work(self) -> Desk:
        """Return the job on the desk.

        Raises
        ------
        UsageError
            When there is none.
        """
        if self.desk is None:
            raise UsageError(say("no job is open"), "", say("begin one, or open one"))
        return self.desk

    def study(self) -> StudyDesk:
        """Return the study beside the job on the desk."""
        desk = self.at_work()
        with self._guard:
            if self._study is None:
                self._study = StudyDesk(desk)
            return self._study

    def state(self, sheet: Sheet | None = None) -> dict[str, Any]:
        """Return all that the page shows of the job, as plain data."""
        desk = self.at_work()
        sheet = sheet or desk.sheet()
        with self._guard:
            if self._answers[0] != sheet.version:
                self._answers = (sheet.version, answers(sheet.text, desk.path, self.reader))
            known = self._answers[1]
        outside = desk.last_difference() if sheet.undo_by == "outside" else []
        return {
            "job": desk.path.name,
            "folder": str(desk.folder),
            "version": sheet.version,
            "undo": sheet.undo,
            "redo": sheet.redo,
            "undo_by": sheet.undo_by,
            "changes": sheet.changes,
            "redo_count": sheet.redo_count,
            "outside": outside,
            **known,
        }

    def units_of_numbers(self) -> UnitName:
        """Return the unit of numbers in the job file that carry none."""
        return "in" if self.state()["data"].get("units") == "in" else "mm"

    def tape(self) -> dict[str, Any]:
        """Return the figure of the tape readings, for the job as it is now."""
        sheet = self.at_work().sheet()
        return {"version": sheet.version, **figure(self.state(sheet)["data"], self.reader)}

    def drawing(self) -> dict[str, Any]:
        """Return what the job's drawing holds, for the job as it is now."""
        desk = self.at_work()
        sheet = desk.sheet()
        with self._guard:
            plate = self.state(sheet)["data"].get("plate", {})
            about = tuple(repr(plate.get(k)) for k in _ABOUT_DRAWING) if isinstance(plate, dict) else ()
            key = f"{about} {_changed(desk.folder, plate)} {self.language}"
            if self._drawing[0] != key:
                self._drawing = (key, drawing_view(self.state(sheet)["data"], desk.folder, self.reader))
            return {"version": sheet.version, **self._drawing[1]}

    def figures(self) -> dict[str, Any]:
        """Return the figures that need the templates and the cut, for the job as it is now."""
        desk = self.at_work()
        sheet = desk.sheet()
        key = f"{sheet.version} {_stamp(shop_file(desk.path))}"
        with self._guard:
            if self._figures[0] != key:
                self._figures = (key, paper_and_cut(sheet.text, desk.path, self.reader))
            return {"version": sheet.version, **self._figures[1]}
