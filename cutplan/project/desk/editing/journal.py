"""Every change of a job file, kept beside it: enough to go back to the beginning, also after a restart.

The journal is a file of JSON lines that only grows: the text it began with, then one line for each change (the piece
cut out and the piece put in), undo and redo, each with the checksum of the text that results. A line that was not
written whole, because the machine stopped, is left out on reading.
"""

from __future__ import annotations

import hashlib
import json
import os
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Literal

from cutplan.errors import OutputError
from cutplan.texts import name, say

Source = Literal["page", "outside"]


@dataclass(frozen=True, slots=True)
class Change:
    """One change: where it lies in the text, what was cut out, what was put in, what it is called, and who made it."""

    at: int
    old: str
    new: str
    label: str
    by: Source = "page"

    def done(self, text: str) -> str:
        """Return the text after the change."""
        return text[: self.at] + self.new + text[self.at + len(self.old) :]

    def undone(self, text: str) -> str:
        """Return the text before the change."""
        return text[: self.at] + self.old + text[self.at + len(self.new) :]


@dataclass(slots=True)
class Journal:
    """What was done and undone so far, and the text that results."""

    path: Path
    text: str
    done: list[Change] = field(default_factory=list)
    undone: list[Change] = field(default_factory=list)

    @property
    def head(self) -> str:
        """Checksum of the text."""
        return checksum(self.text)


def checksum(text: str) -> str:
    """Return the SHA-256 of a text in UTF-8."""
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()


def difference(before: str, after: str, label: str, by: Source = "page") -> Change:
    """Return the change between two texts as one piece cut out and one put in."""
    room = min(len(before), len(after))
    start = 0
    while start < room and before[start] == after[start]:
        start += 1
    room -= start
    end = 0
    while end < room and before[-1 - end] == after[-1 - end]:
        end += 1
    return Change(start, before[start : len(before) - end], after[start : len(after) - end], label, by)


def open_journal(path: Path, text: str) -> Journal:
    """Return the journal of a job file, begun with its text when there is none.

    Parameters
    ----------
    path : Path
        File of the journal.
    text : str
        The job file as it is now: what a new journal begins with. When the last line of the journal was announced but
        never reached the job file, that line is taken back.

    Raises
    ------
    OutputError
        When the journal cannot be read or written.
    """
    try:
        raw = path.read_bytes() if path.exists() else b""
        journal = _replayed(path, raw, checksum(text))
        if journal is None:
            if raw:  # damaged: what it held is kept under another name
                os.replace(path, path.with_name(path.name + ".damaged"))
            journal = Journal(path, text)
            _append(path, {"base": text, "head": journal.head})
    except OSError as error:
        raise OutputError(
            say("the journal of changes cannot be used ({why})", why=name(error.strerror or error)),
            str(path),
            say("check the job's folder"),
        ) from None
    return journal


def _replayed(path: Path, raw: bytes, now: str) -> Journal | None:
    """Return the journal that the lines give, or None when they do not fit together."""
    journal: Journal | None = None
    whole = raw.split(b"\n")[:-1]
    size = 0
    for line in whole:
        before = (list(journal.done), list(journal.undone), journal.text) if journal and line is whole[-1] else None
        try:
            entry = json.loads(line)
            if journal is None:
                journal = Journal(path, entry["base"])
            else:
                _step(journal, entry)
            if journal.head != entry["head"]:
                return None
        except (ValueError, KeyError, IndexError, TypeError):
            return None
        if before is not None and journal.head != now and checksum(before[2]) == now:
            journal.done, journal.undone, journal.text = before  # announced, but the machine stopped before the file
            break
        size += len(line) + 1
    if journal is not None and size < len(raw):
        with open(path, "r+b") as stream:
            stream.truncate(size)
    return journal


def _step(journal: Journal, entry: dict[str, Any]) -> None:
    if "do" in entry:
        at, old, new = entry["do"]
        change = Change(at, old, new, entry["label"], entry["by"])
        journal.text = change.done(journal.text)
        journal.done.append(change)
        journal.undone.clear()
    elif "undo" in entry:
        change = journal.done.pop()
        journal.text = change.undone(journal.text)
        journal.undone.append(change)
    else:
        change = journal.undone.pop()
        journal.text = change.done(journal.text)
        journal.done.append(change)


def record(journal: Journal, change: Change) -> None:
    """Write a change down, before the job file itself is written."""
    text = change.done(journal.text)
    _append(
        journal.path,
        {
            "do": [change.at, change.old, change.new],
            "label": change.label,
            "by": change.by,
            "head": checksum(text),
        },
    )
    journal.text = text
    journal.done.append(change)
    journal.undone.clear()


def record_undo(journal: Journal) -> None:
    """Write down that the last change is taken back."""
    change = journal.done[-1]
    text = change.undone(journal.text)
    _append(journal.path, {"undo": 1, "head": checksum(text)})
    journal.undone.append(journal.done.pop())
    journal.text = text


def record_redo(journal: Journal) -> None:
    """Write down that the change taken back last is made again."""
    change = journal.undone[-1]
    text = change.done(journal.text)
    _append(journal.path, {"redo": 1, "head": checksum(text)})
    journal.done.append(journal.undone.pop())
    journal.text = text


def _append(path: Path, entry: dict[str, Any]) -> None:
    try:
        with open(path, "ab") as stream:
            stream.write(json.dumps(entry, ensure_ascii=False).encode("utf-8", "surrogatepass") + b"\n")
            stream.flush()
            os.fsync(stream.fileno())
    except OSError as error:
        raise OutputError(
            say("the change could not be written down ({why}); nothing was changed", why=name(error.strerror or error)),
            str(path),
            say("check the job's folder and free space"),
        ) from None
