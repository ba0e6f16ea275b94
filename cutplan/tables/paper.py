"""One record for each paper: its size, what it is offered as and what goes with it; borders, and growth with humidity.

What a job may name, what ``new``, ``marks`` and ``coupon paper`` offer and what the docs list is read from here: a paper is
known everywhere the day its record is added.
"""

from __future__ import annotations

from dataclasses import dataclass

from cutplan.texts.values import Listing, Name
from cutplan.units import MM_PER_INCH, UnitName


@dataclass(frozen=True, slots=True)
class Sheet:
    """All that is known of one paper.

    Parameters
    ----------
    name : str
        Name in job files and in print, the same in every language.
    width_mm, height_mm : float
        Size in portrait [mm].
    source : str
        Where the size stands.
    bench : str
        Paper of the bench pages in a shop that has this one; empty: this one itself.
    """

    name: str
    width_mm: float
    height_mm: float
    source: str
    bench: str = "A4"


_ISO = "ISO 216:2007, A series (from memory)"
_ANSI = "ASME Y14.1, sizes A and B (from memory)"

#: Sheets by name; sizes of the A series are whole millimetres, the inch sizes are exact multiples of 25.4 mm.
SHEETS: dict[str, Sheet] = {
    s.name: s
    for s in (
        Sheet("A4", 210.0, 297.0, _ISO),
        Sheet("A3", 297.0, 420.0, _ISO),
        Sheet("A2", 420.0, 594.0, _ISO),
        Sheet("A1", 594.0, 841.0, _ISO),
        Sheet("A0", 841.0, 1189.0, _ISO),
        Sheet("Letter", 8.5 * MM_PER_INCH, 11.0 * MM_PER_INCH, _ANSI, "Letter"),
        Sheet("Tabloid", 11.0 * MM_PER_INCH, 17.0 * MM_PER_INCH, _ANSI, "Letter"),
    )
}

#: What a shop that works in millimetres or in inches prints on, where nobody says.
USUAL: dict[UnitName, str] = {"mm": "A4", "in": "Letter"}

#: Sheets that drawings are made on and no template is printed on, short by long side [mm]: ASME Y14.1 C to E (from memory).
_DRAWN_ONLY_MM = tuple((a * MM_PER_INCH, b * MM_PER_INCH) for a, b in ((17.0, 22.0), (22.0, 34.0), (34.0, 44.0)))

#: Papers that have no fixed size: their width, or both sides, stand in the job file.
FREE = ("roll", "custom")

#: Border that a printer is taken not to reach unless the job says otherwise [mm]: above the 4.2 mm and 6.7 mm that
#: printer manuals name (laser and inkjet, see shared/paper-sizes.toml) and the common 1/4 inch rule.
MARGIN_MM = 10.0
#: Least border that is taken on trust [mm].
LEAST_MARGIN_MM = 4.0
#: Least overlap of neighbouring sheets that holds a registration mark and its numbers [mm]. Our own.
LEAST_OVERLAP_MM = 10.0
#: Width of the strip that a ruler takes along the left and the lower edge of a sheet, with a little air [mm].
RULER_MM = 10.5
#: Height of the title strip along the upper edge of a sheet [mm].
TITLE_MM = 19.7
#: Least room for a template on a sheet, both ways [mm].
LEAST_LIVE_MM = 60.0
#: Longest page [mm]: 14400 points of 1/72 inch (ISO 32000-1, annex C; from memory).
LONGEST_PAGE_MM = 14400.0 / 72.0 * MM_PER_INCH

#: Growth of bond paper across and along the grain in common humidity tests, as a part of the length (low, high).
#: Source: test values of a 2011 paper-trade table (bond: along 0.10-0.20 %, across 0.20-0.40 %).
GROWTH_ALONG_GRAIN = (0.0010, 0.0020)
GROWTH_ACROSS_GRAIN = (0.0020, 0.0040)
#: Relative humidity at which paper is most stable (low, high), printwiki.org "Dimensional Stability".
STABLE_HUMIDITY = (0.35, 0.50)


def offered() -> Listing:
    """Return the names of all papers as a reader sees them: ``A4, A3 or Letter``."""
    return Listing(tuple(Name(n) for n in SHEETS), ", ", "or")


def sheet_named(text: str) -> str:
    """Return the name of a paper however it is typed (``a4``, ``letter``); the text itself where there is none."""
    return next((n for n in SHEETS if n.casefold() == text.strip().casefold()), text)


def bench_sheet(name: str) -> Sheet:
    """Return the paper of the bench pages in a shop whose templates are on another; A4 beside a roll or a custom one."""
    sheet = SHEETS.get(name, SHEETS["A4"])
    return SHEETS[sheet.bench or sheet.name]


def size_mm(name: str) -> tuple[float, float]:
    """Return the size of a named sheet in portrait.

    Parameters
    ----------
    name : str
        Name of a paper in ``SHEETS``.

    Returns
    -------
    (float, float)
        Width and height [mm].
    """
    return SHEETS[name].width_mm, SHEETS[name].height_mm


def drawn_sheets_mm() -> tuple[tuple[float, float], ...]:
    """Return the sheets that drawings are made on, short by long side [mm]: every paper, and the large inch sizes."""
    return (*((s.width_mm, s.height_mm) for s in SHEETS.values()), *_DRAWN_ONLY_MM)


def humidity_growth_mm(length_mm: float) -> tuple[float, float]:
    """Return the change of length of bond paper between dry and damp air, least and most [mm].

    Parameters
    ----------
    length_mm : float
        Length on the sheet [mm].

    Returns
    -------
    (float, float)
        Along the grain at its least, across the grain at its most [mm]; common test values, not a limit.
    """
    return length_mm * GROWTH_ALONG_GRAIN[0], length_mm * GROWTH_ACROSS_GRAIN[1]
