"""What planning the templates gives: pages to print and everything known about them."""

from __future__ import annotations

from dataclasses import dataclass

from cutplan.drawing.model import Page
from cutplan.findings import Finding
from cutplan.geometry.vector import Point
from cutplan.templates.drawn.check_crosses import Check
from cutplan.templates.printed.correction import Correction
from cutplan.templates.tiling.layout import Layout
from cutplan.templates.tiling.registration import Registration


@dataclass(frozen=True, slots=True)
class Tile:
    """One template on one sheet.

    Parameters
    ----------
    sheet : int
        Number of its page in ``TemplateSet.pages``, from 1.
    row, col : int
        Place in its layout, from 0 at the upper left.
    origin : Point
        Where the template's own origin lies on the paper, from the lower left corner [mm].
    rotation_deg : float
        How far the template is turned on the sheet, counter-clockwise [deg].
    size : tuple of float
        Width and height of the sheet [mm].
    template : str
        Name of the template.
    """

    sheet: int
    row: int
    col: int
    origin: Point
    rotation_deg: float
    size: tuple[float, float]
    template: str


@dataclass(frozen=True, slots=True)
class Joined:
    """Sheets that are joined: the layout, its registration marks and distances to check, and the page of its first sheet.

    Marks and distances are in layout coordinates; ``first_page`` counts from 1.
    """

    layout: Layout
    registrations: tuple[Registration, ...]
    checks: tuple[Check, ...]
    first_page: int


@dataclass(frozen=True, slots=True)
class TemplateSet:
    """Printed templates of a job.

    Parameters
    ----------
    pages : tuple of Page
        All sheets; the first is the map of the sheets when there is more than one.
    paper : str
        Name of the paper.
    overlap_mm : float
        Overlap of neighbouring sheets [mm].
    tiles : tuple of Tile
        Which template lies where on which sheet.
    joined : tuple of Joined
        Sheets that belong together, in page order.
    seams_through_holes : int
        Holes and pads that a seam runs through.
    correction : Correction
        What was measured of the printer and undone.
    plain_sheets : int
        Sheets that the plain grid would take, for comparison; the map is not counted.
    findings : tuple of Finding
        What was noticed.
    language : str
        Language of what is printed.
    """

    pages: tuple[Page, ...]
    paper: str
    overlap_mm: float
    tiles: tuple[Tile, ...]
    joined: tuple[Joined, ...]
    seams_through_holes: int
    correction: Correction
    plain_sheets: int
    findings: tuple[Finding, ...] = ()
    language: str = "en"

    @property
    def sheets(self) -> int:
        """Sheets with templates on them; the map is not counted."""
        return sum(len(j.layout.sheets) for j in self.joined)

    @property
    def checks(self) -> tuple[Check, ...]:
        """Distances to measure on the paper that is kept."""
        return tuple(d for j in self.joined for d in j.checks)

    @property
    def scale(self) -> tuple[float, float]:
        """How much the drawing is stretched along x and y so that it prints true; 1.0 is as drawn."""
        return 1.0 / self.correction.x, 1.0 / self.correction.y
