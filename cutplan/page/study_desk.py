"""The study of the steering beside the job on the desk: its changes, and the place it recommends, worked out once."""

from __future__ import annotations

import threading
from pathlib import Path
from typing import Any

from cutplan.errors import UsageError
from cutplan.project.desk.desk import Desk, Sheet
from cutplan.project.desk.study import (
    STUDY,
    Answer,
    placed_view,
    recommended,
    shift_stated,
    study_path,
    study_picture,
    study_view,
    taken_over,
)
from cutplan.project.place import new_study
from cutplan.texts import Reader, say
from cutplan.units import UnitName


class StudyDesk:
    """One study file under edit; it is looked up anew whenever the job names another.

    Parameters
    ----------
    job : Desk
        The job that it lies beside.
    """

    def __init__(self, job: Desk) -> None:
        self._job = job
        self._desk: Desk | None = None
        self._guard = threading.Lock()
        self._view: tuple[str, dict[str, Any]] = ("", {})
        self._placed: tuple[str, Answer] | None = None
        self._pictures: dict[str, bytes | None] = {}
        self._work = threading.Lock()

    def begin(self) -> None:
        """Write a study to start from beside the job."""
        new_study(self._job.folder / STUDY)

    def state(self, data: dict[str, Any], read: Reader) -> dict[str, Any]:
        """Return the study as plain data; an empty file name when there is none.

        Parameters
        ----------
        data : dict
            The job file's values.
        read : Reader
            Whose words are used.
        """
        desk = self._found(data)
        if desk is None:
            return {"file": ""}
        sheet = desk.sheet()
        shift = shift_stated(data)
        key = f"{desk.path} {sheet.version} {shift} {read.language}"
        if self._view[0] != key:
            self._view = (key, study_view(sheet.text, desk.path.name, shift, read))
        return {**_history(sheet), **self._view[1]}

    def change(self, data: dict[str, Any], changes: list[dict[str, Any]], label: str, shown: UnitName | None) -> None:
        """Change the study, all of the changes or none."""
        self._open(data).change(changes, label, shown)

    def undo(self, data: dict[str, Any]) -> None:
        """Take back the last change of the study."""
        self._open(data).undo()

    def redo(self, data: dict[str, Any]) -> None:
        """Make the change again that was taken back last."""
        self._open(data).redo()

    def placed(self, data: dict[str, Any], read: Reader) -> dict[str, Any]:
        """Return the place that the study recommends, worked out once for each state of it."""
        sheet = self._open(data).sheet()
        return {"version": sheet.version, **placed_view(self._answered(data), read)}

    def picture(self, data: dict[str, Any], name: str, read: Reader) -> bytes | None:
        """Return one picture of the place that the study recommends; None when it has none of that name."""
        placed = self._answered(data)
        with self._work:
            key = f"{name} {read.language}"
            if key not in self._pictures:
                self._pictures[key] = study_picture(placed, name, read)
            return self._pictures[key]

    def _answered(self, data: dict[str, Any]) -> Answer:
        desk = self._open(data)
        sheet = desk.sheet()
        key = f"{desk.path} {sheet.version}"
        with self._work:
            if self._placed is None or self._placed[0] != key:
                self._placed = (key, recommended(sheet.text, desk.path.name))
                self._pictures = {}
            return self._placed[1]

    def take_over(self, data: dict[str, Any], read: Reader) -> Sheet:
        """Make the job follow the study at the place that it recommends."""
        desk = self._open(data)
        sheet = self._job.sheet()
        changes = taken_over(sheet.text, self._job.path, desk.path.name, self.placed(data, read))
        return self._job.change(changes, read(say("the study's place taken over")))

    def _found(self, data: dict[str, Any]) -> Desk | None:
        path = study_path(data, self._job.folder)
        if path is None:
            return None
        resolved: Path = path.resolve()
        with self._guard:
            if self._desk is None or self._desk.path != resolved:
                self._desk = Desk(resolved)
            return self._desk

    def _open(self, data: dict[str, Any]) -> Desk:
        desk = self._found(data)
        if desk is None:
            raise UsageError(say("there is no study beside the job"), STUDY, say("begin one"))
        return desk


def _history(sheet: Sheet) -> dict[str, Any]:
    return {"version": sheet.version, "undo": sheet.undo, "redo": sheet.redo, "changes": sheet.changes,
            "redo_count": sheet.redo_count}  # fmt: skip
