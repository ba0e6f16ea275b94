"""Coded findings about other people's data: errors, warnings and notes, with repairs kept apart."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:  # for annotations only: nothing is imported upwards
    from cutplan.texts.message import Message

Severity = Literal["error", "warning", "note"]

#: What a finding of this code is about was not computed, the rest was; the run ends with exit code 1.
NOT_COMPUTED = "not-computed"

_RANK: dict[str, int] = {"error": 0, "warning": 1, "note": 2}


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing noticed about a drawing, a job or a plan.

    Parameters
    ----------
    code : str
        Stable lower-case code of trade words joined by hyphens, such as ``gap-bridged``.
    severity : {"error", "warning", "note"}
        An error stops the documents that depend on it, a warning asks for a look, a note informs.
    message : Message or str
        What was noticed, one sentence.
    where : Message or str
        File, entity, key or place in mm.
    fix : Message or str
        What was repaired, or what to try.
    done : bool
        Whether ``fix`` tells what was done already, and not what to try.
    """

    code: str
    severity: Severity
    message: Message | str
    where: Message | str = ""
    fix: Message | str = ""
    done: bool = False

    def as_dict(self, read: Callable[[Message | str], str] = str) -> dict[str, str]:
        """Return the finding as plain data for ``--json``, in the words of a reader; English when none is given."""
        return {
            "code": self.code,
            "severity": self.severity,
            "message": read(self.message),
            "where": read(self.where),
            "fix": read(self.fix),
        }


def errors(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Return only the findings of severity ``error``."""
    return tuple(f for f in findings if f.severity == "error")


def stopping(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Return the errors that stop the whole that holds them: those of a part left out on its own do not."""
    return tuple(f for f in errors(findings) if f.code != NOT_COMPUTED)


def by_severity(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Return the findings with errors first, then warnings, then notes; order kept within each."""
    return tuple(sorted(findings, key=lambda f: _RANK[f.severity]))
