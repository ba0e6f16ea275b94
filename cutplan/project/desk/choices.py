"""The words that the job file takes where it takes one of several, for lists to choose from."""

from __future__ import annotations

from typing import Any, get_args

from cutplan.pattern.pads import BraceKind
from cutplan.pattern.plate import PURPOSES
from cutplan.pattern.skin import Knowledge
from cutplan.pattern.wishes import CUT_PROCESSES, HAND_TOOLS, WeldProcess
from cutplan.tables.paper import FREE, SHEETS
from cutplan.texts.catalogue import LANGUAGES


def choices() -> dict[str, Any]:
    """Return the words of each list, in the order in which they are offered."""
    return {
        "purpose": list(PURPOSES),
        "cut_process": list(CUT_PROCESSES),
        "hand_tool": list(HAND_TOOLS),
        "weld_process": list(get_args(WeldProcess)),
        "brace_kind": list(get_args(BraceKind)),
        "knowledge": list(get_args(Knowledge)),
        "paper": [*SHEETS, *FREE],
        "joint": ["butt", "lap"],
        "side": ["left", "right"],
        "units": ["mm", "in"],
        "language": list(LANGUAGES),
        "hand": ["", "left", "right"],
    }
