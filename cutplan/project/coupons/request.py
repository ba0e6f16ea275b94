"""What is asked of a trial piece, and what it gives."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Literal

from cutplan.errors import JobError, UsageError
from cutplan.files.job.shop.write import Measured
from cutplan.findings import Finding, errors
from cutplan.pattern.job import Job
from cutplan.texts import Message, Reader, code, every, say
from cutplan.texts.values import Value
from cutplan.units import UnitName

Kind = Literal["paper", "kerf", "holes", "weld"]


@dataclass(frozen=True, slots=True)
class Request:
    """Which trial piece is meant; None: from the job, else a stated default. Lengths in mm.

    ``language``: of what is printed; None: the job's, else English. ``shop``: the shop file named, None: beside the job or the user's. ``sure``: a result outside the published range is right, the user says.
    ``units``: of what is printed and of readings that name none; None: the job's, else mm.
    """

    kind: Kind
    job: Path | None = None
    paper: str | None = None
    printer: str | None = None
    process: str | None = None
    thickness_mm: float | None = None
    reading_mm: float | None = None
    sure: bool = False
    shop: Path | None = None
    language: str | None = None
    units: UnitName | None = None


def reader_of(request: Request, job: Job | None) -> Reader:
    """Return who reads what is printed."""
    return Reader(
        request.language or (job.shown.language if job else "en"), request.units or (job.shown.display if job else "mm")
    )


@dataclass(frozen=True, slots=True)
class CouponMade:
    """The files written, what to measure, one sentence each, and the readings by name, as ``--measured`` takes them.

    ``known_mm``: readings that are known already [mm].
    """

    files: tuple[Path, ...]
    measure: tuple[Message | str, ...]
    readings: tuple[str, ...]
    known_mm: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Learnt:
    """The shop file written, the values it learnt, and notes for the user."""

    shop_file: Path
    values: dict[str, Any]
    notes: tuple[Message | str, ...]


#: What a kind of trial piece tells: the measurement for the shop file, its values as data, and notes.
Told = tuple[Measured, dict[str, Any], list[Message | str]]


def only(readings: Mapping[str, float], known: tuple[str, ...]) -> None:
    """Refuse readings [mm] that the trial piece does not have.

    Raises
    ------
    UsageError
        Naming them, and those there are.
    """
    unknown = sorted(set(readings) - set(known))
    if unknown:
        raise UsageError(
            say("no reading is called {names}", names=every(unknown)),
            "--measured",
            say("known: {names}", names=every([code(k) for k in known])),
        )


def stop(findings: tuple[Finding, ...]) -> None:
    """Raise the first error of a trial piece's findings, or do nothing."""
    bad = errors(findings)
    if bad:
        raise JobError(bad[0].message, bad[0].where or "--measured", bad[0].fix)


def notes(findings: tuple[Finding, ...]) -> list[Message | str]:
    """Return findings as notes."""
    return [say("{what} ({fix})", what=_value(f.message), fix=_value(f.fix)) if f.fix else f.message for f in findings]


def _value(text: Message | str) -> Value:
    return text if isinstance(text, Message) else code(text)
