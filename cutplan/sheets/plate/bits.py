"""Drills and hole saws by size: what must lie on the bench so that no hole waits for the dealer."""

from __future__ import annotations

from collections.abc import Iterable

from cutplan.cutting.holes.choice import TWIST_DRILL_MM
from cutplan.sheets.results import Results
from cutplan.texts import Reader, listed, mm, say
from cutplan.texts.by_id import told


def bit_rows(results: Results, lang: str = "en") -> list[list[str]]:
    """Return a row of twist drills and one of hole saws: what, their sizes, what for; none that no plan asks for."""
    plate = [v for d in results.cut.drilled for v in (d.pilot_mm, d.diameter_mm)] if results.cut else []
    opening = [d.diameter_mm for d in results.opening.drills] if results.opening else []
    rows = []
    for key, taken in (("parts.twist_drills", _twist), ("parts.hole_saws", _sawn)):
        of_plate, of_opening = taken(plate), taken(opening)
        uses = [told(k, lang) for k, of in (("parts.plate_holes", of_plate), ("parts.opening_for", of_opening)) if of]
        if uses:
            sizes = listed(mm(v, None) for v in sorted(of_plate | of_opening))
            much = Reader(lang, results.job.shown.display)(say("{all}", all=sizes))
            rows.append([told(key, lang), much, "; ".join(uses)])
    return rows


def _twist(sizes_mm: Iterable[float]) -> set[float]:
    return {round(v, 2) for v in sizes_mm if 0.0 < v <= TWIST_DRILL_MM}


def _sawn(sizes_mm: Iterable[float]) -> set[float]:
    return {round(v, 2) for v in sizes_mm if v > TWIST_DRILL_MM}
