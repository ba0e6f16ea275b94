"""Whether a finding owns up to a fault of the program: what fuzzing and the bench of reliability look for."""

from __future__ import annotations

from cutplan.findings import Finding
from cutplan.project.planned.attempt import FAULT, NOT_COMPUTED
from cutplan.texts import Message


def is_fault(finding: Finding) -> bool:
    """Return whether a finding says that a step ended in a fault of the program, not in a reason."""
    if finding.code != NOT_COMPUTED or not isinstance(finding.message, Message):
        return False
    reason = finding.message.value("reason")
    return isinstance(reason, Message) and reason.key == FAULT.key
