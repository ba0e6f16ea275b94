"""Pictures to a plate on the page: traced in a process beside, looked at and counted by the user, only then a job."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from cutplan.errors import UsageError
from cutplan.files.traced import account_path
from cutplan.project.desk.photos.kept import clear, pictures
from cutplan.project.desk.start import begin
from cutplan.project.desk.work.process import Process, Progress
from cutplan.project.trace import Request, confirm_count, find, known_length, marks_pdf, told
from cutplan.project.trace_files import account_of, plate_files, table_of
from cutplan.texts import ENGLISH, Reader, say
from cutplan.units import UnitName, parse_length

#: Names of what a traced job holds beside its job file.
DRAWING, FOUND = "plate.dxf", "plate.found.png"


class Tracer:
    """One tracing at a time: begun, watched, cancelled, and taken over once somebody has counted the holes."""

    def __init__(self, room: Path) -> None:
        self.room = room
        self._now: Process | None = None

    def start(self, facts: Mapping[str, Any], units: UnitName, read: Reader = ENGLISH) -> None:
        """Begin; a tracing that is still going is cancelled first.

        Parameters
        ----------
        facts : mapping
            ``thickness`` and, when measured, ``between`` (``A1-D2``) with its ``length``; lengths as typed; ``scan``.
        units : {"mm", "in"}
            Unit of plain numbers.
        read : Reader
            Whose words are used.

        Raises
        ------
        CutplanError
            When a length is none, or there is no picture.
        """
        self.cancel()
        found = tuple(pictures(self.room))
        if not found:
            raise UsageError(say("there is no picture yet"), "", say("choose one to four photographs, or a scan"))
        request = _request(facts, found, units)
        self._now = Process(_trace, (request, read), read)

    def cancel(self) -> None:
        """End the tracing that is going on, if there is one."""
        if self._now is not None:
            self._now.cancel()

    def forget(self) -> None:
        """End the tracing, and let go of what it found: the pictures are others now."""
        self.cancel()
        self._now = None

    def state(self) -> dict[str, Any]:
        """Return how far it is and, at its end, what was found, as plain data."""
        now = self._now
        if now is None:
            return {
                "running": False,
                "step": "",
                "done": 0,
                "total": 1,
                "error": None,
                "cancelled": False,
                "found": None,
            }
        answer = now.answer
        return {**now.state(), "found": None if answer is None else answer["told"]}

    def picture(self) -> bytes | None:
        """Return the first picture with what was found drawn over it (PNG)."""
        answer = self._now.answer if self._now is not None else None
        return None if answer is None else answer["picture"]

    def begin_job(self, facts: Mapping[str, Any], units: UnitName, holes: int) -> Path:
        """Write a job with the plate that was looked at, its pictures and its account of errors; return the job file.

        Parameters
        ----------
        facts : mapping
            ``title``, ``plate`` and ``skin``: name of the job and the two thicknesses as typed.
        units : {"mm", "in"}
            Unit of the job file.
        holes : int
            Holes that the user counts on the card.

        Raises
        ------
        CutplanError
            When the count is another, nothing was found, or the job cannot be written.
        """
        answer = self._now.answer if self._now is not None else None
        if answer is None:
            raise UsageError(say("no outline has been found yet"), "", say("trace the pictures first"))
        confirm_count(len(answer["told"]["holes"]), holes)
        kept = {p.name: p.read_bytes() for p in pictures(self.room)}
        beside = {account_path(Path(DRAWING)).name: answer["account"], FOUND: answer["picture"], **kept}
        job = begin(
            self.room, "drawing", str(facts.get("title", "")), units, (DRAWING, answer["drawing"]),
            plate=str(facts.get("plate", "")), skin=str(facts.get("skin", "")), beside=beside,
            more=[{"do": "set", "at": ["traced"], "value": {**answer["table"], "holes": holes}}],
        )  # fmt: skip
        self._now = None
        clear(self.room)
        return job


def marks_to_print(paper: str, read: Reader = ENGLISH) -> bytes:
    """Return the strips of marks to print (PDF).

    Raises
    ------
    UsageError
        For an unknown paper size.
    """
    return marks_pdf(paper, read)


def _request(facts: Mapping[str, Any], found: tuple[Path, ...], units: UnitName) -> Request:
    """Return what is to be traced, every length checked before a process is begun for it."""
    between, length = (str(facts.get(key, "")).strip() for key in ("between", "length"))
    known: dict[str, float] = {}
    if between or length:
        if not between or not length:
            raise UsageError(
                say("the known length is half given"),
                "",
                say("say between which two crosses, and how long: A1-D2 and 399.8"),
            )
        known[between] = parse_length(length, units, "known")
        known_length(between, known[between], 0.1)
    thickness = parse_length(str(facts.get("thickness", "")), units, "thickness")
    return Request(found, thickness, known, facts.get("scan") is True)


def _trace(progress: Progress, request: Request, read: Reader) -> dict[str, Any]:
    """Trace in the process beside: what is shown, and the files that are written once it is confirmed."""
    found = find(request, progress)
    drawing, account = plate_files(found, read)
    known = account_of(found.traced, read)
    known["said"] = [read(line) for line in told(found.traced)]
    return {
        "told": known,
        "picture": found.picture,
        "drawing": drawing,
        "account": account,
        "table": table_of(request),
    }
