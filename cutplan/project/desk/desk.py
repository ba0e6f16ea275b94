"""The job file that is open: read, changed, taken back, and watched for changes by other programs."""

from __future__ import annotations

import contextlib
import difflib
import glob
import threading
import time
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from cutplan.errors import JobError, LimitError, OutputError
from cutplan.project.desk.editing.edit import edited
from cutplan.project.desk.editing.journal import (
    Change,
    Journal,
    checksum,
    difference,
    open_journal,
    record,
    record_redo,
    record_undo,
)
from cutplan.project.folder.write import write_file
from cutplan.texts import name, say
from cutplan.units import UnitName

#: Largest job file [bytes], as for every job that is read.
_LARGEST = 2 * 1024 * 1024
_LONGEST_LABEL = 120
#: A file that is being written is looked at again after this pause [s], at most so many times.
_PAUSE_S, _MOST_LOOKS = 0.1, 20


@dataclass(frozen=True, slots=True)
class Sheet:
    """The job file as it is now: its text, checksum, what undo and redo would do, and how many of each there are."""

    text: str
    version: str
    undo: str
    redo: str
    undo_by: str
    changes: int
    redo_count: int


class Desk:
    """One job file under edit; every method is safe to call from several threads and beside other processes.

    Parameters
    ----------
    path : Path
        The job file.
    """

    def __init__(self, path: Path) -> None:
        self.path = path.resolve()
        self._guard = threading.RLock()
        with self._locked():
            self._tidy()
            self._journal: Journal = open_journal(journal_path(self.path), self._read())
            self._follow()

    @property
    def folder(self) -> Path:
        """Folder of the job: nothing outside is read or written."""
        return self.path.parent

    def sheet(self) -> Sheet:
        """Return the job file as it is now; a change by another program is written down first."""
        with self._locked():
            self._follow()
            return self._sheet()

    def look(self, version: str) -> Sheet | None:
        """Return the job file when its checksum is another than ``version``, else None."""
        with self._guard:
            if self._journal.head == version and checksum(self._read()) == version:
                return None
        return self.sheet()

    def change(self, changes: Sequence[Mapping[str, Any]], label: str, shown: UnitName | None = None) -> Sheet:
        """Make changes to the job file as it is now, all of them or none.

        Raises
        ------
        Conflict
            When something else stands at a place than the asker saw.
        CutplanError
            When a change cannot be made; nothing is changed then.
        """
        with self._locked():
            self._follow()
            before = self._journal.text
            after = edited(before, changes, shown)
            if len(after.encode()) > _LARGEST:
                raise LimitError(say("the job file would be larger than 2 MiB"), self.path.name, say("split the job"))
            if after != before:
                record(self._journal, difference(before, after, label[:_LONGEST_LABEL]))
                self._write()
            return self._sheet()

    def undo(self) -> Sheet:
        """Take back the last change; nothing happens when there is none."""
        with self._locked():
            self._follow()
            if self._journal.done:
                record_undo(self._journal)
                self._write()
            return self._sheet()

    def redo(self) -> Sheet:
        """Make the change again that was taken back last; nothing happens when there is none."""
        with self._locked():
            self._follow()
            if self._journal.undone:
                record_redo(self._journal)
                self._write()
            return self._sheet()

    def last_difference(self) -> list[str]:
        """Return what the last change did, as lines with ``+``, ``-`` or a space before each."""
        with self._guard:
            if not self._journal.done:
                return []
            after = self._journal.text
            before = self._journal.done[-1].undone(after)
        lines = difflib.unified_diff(before.splitlines(), after.splitlines(), lineterm="", n=1)
        return [line for line in lines if not line.startswith(("+++", "---"))][:400]

    def history(self) -> list[Change]:
        """Return the changes so far, oldest first."""
        with self._guard:
            return list(self._journal.done)

    def _sheet(self) -> Sheet:
        journal = self._journal
        return Sheet(
            journal.text,
            journal.head,
            journal.done[-1].label if journal.done else "",
            journal.undone[-1].label if journal.undone else "",
            journal.done[-1].by if journal.done else "",
            len(journal.done),
            len(journal.undone),
        )

    def _tidy(self) -> None:
        """Take away what a killed run left of a file that it was writing; the file itself is whole."""
        for left in self.folder.glob(f".{glob.escape(self.path.name)}.*.new"):
            with contextlib.suppress(OSError):
                left.unlink()

    def _follow(self) -> None:
        """Catch up with what other processes wrote: their journal lines, else a change from outside."""
        now = self._settled()
        if checksum(now) == self._journal.head:
            return
        self._journal = open_journal(self._journal.path, now)
        if checksum(now) != self._journal.head:
            record(self._journal, difference(self._journal.text, now, "", "outside"))

    def _settled(self) -> str:
        """Read the job file; when another program may be writing it just now, once it has done so."""
        now = self._read()
        for _ in range(_MOST_LOOKS):
            if checksum(now) == self._journal.head:
                break
            time.sleep(_PAUSE_S)
            again = self._read()
            if again == now:
                break
            now = again
        return now

    def _read(self) -> str:
        try:
            if self.path.stat().st_size > _LARGEST:
                raise LimitError(say("the job file is larger than 2 MiB"), self.path.name, say("split the job"))
            return self.path.read_bytes().decode("utf-8")
        except OSError as error:
            raise JobError(
                say("the job file cannot be read ({why})", why=name(error.strerror or error)),
                self.path.name,
                say("put it back in its place"),
            ) from None
        except UnicodeDecodeError:
            raise JobError(say("the job file is not UTF-8 text"), self.path.name, say("save it as UTF-8")) from None

    def _write(self) -> None:
        try:
            write_file(self.path, self._journal.text.encode("utf-8"))
        except OutputError:
            self._journal = open_journal(self._journal.path, self._read())
            raise

    @contextlib.contextmanager
    def _locked(self) -> Iterator[None]:
        """Hold the job for one change, against other threads and other processes."""
        with self._guard, contextlib.ExitStack() as stack:
            with contextlib.suppress(ImportError, OSError):
                import fcntl

                stream = stack.enter_context(open(journal_path(self.path), "ab"))
                fcntl.flock(stream, fcntl.LOCK_EX)
            yield


def journal_path(job: Path) -> Path:
    """Return where the changes of a job file are kept: a hidden file beside it."""
    return job.with_name(f".{job.name}.changes")
