"""Arc thermal efficiency and deposition efficiency by process."""

from __future__ import annotations

from cutplan.errors import CutplanError
from cutplan.tables.band import Band
from cutplan.tables.welding.weld_sources import source_text

#: Share of the arc energy that enters the work [1]; middle from EN 1011-1, spread over the conflicting sources.
ARC: dict[str, Band] = {
    "GMAW": Band(0.80, 0.80, 0.85, "1", source_text("en-1011-1", "en-1011-2-t85", "dupont-marder")),
    "GTAW": Band(0.60, 0.60, 0.67, "1", source_text("en-1011-1", "dupont-marder")),
    "SMAW": Band(0.80, 0.80, 0.85, "1", source_text("en-1011-1", "en-1011-2-t85")),
}

#: Share of the wire or rod that becomes weld metal [1].
DEPOSITION: dict[str, Band] = {
    "GMAW": Band(0.92, 0.95, 0.99, "1", source_text("deposition")),
    "GTAW": Band(0.94, 0.955, 0.97, "1", source_text("deposition")),
    "SMAW": Band(0.60, 0.625, 0.65, "1", source_text("deposition")),
}


def _look_up(table: dict[str, Band], process: str) -> Band:
    try:
        return table[process]
    except KeyError:
        raise CutplanError(
            f"no efficiency known for process {process!r}", where="weld process", hint=f"use one of {', '.join(table)}"
        ) from None


def arc_efficiency(process: str) -> Band:
    """Return the arc thermal efficiency k of a process ("GMAW", "GTAW", "SMAW") [1]."""
    return _look_up(ARC, process)


def deposition_efficiency(process: str) -> Band:
    """Return the deposition efficiency of a process ("GMAW", "GTAW", "SMAW") [1]."""
    return _look_up(DEPOSITION, process)
