"""The list of beads in their order, with boxes to tick, and how high a map leaves room for it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from cutplan.drawing.model import Anchor, Figure
from cutplan.sheets.page import CELL, SMALL, Builder
from cutplan.sheets.results import Results
from cutplan.units import format_length, inch_text

if TYPE_CHECKING:
    from cutplan.welding.result import PlacedBead

#: Height of a map, the least that can be read, and the height of a table row [mm].
_MAP_MM, _LEAST_MAP_MM, _ROW_MM = 128.0, 84.0, 6.0
#: More beads than this have a map as large as the paper allows, and their list whole on one page.
MANY = 36
#: What a map's caption and border take [mm].
_CAPTION_MM = 10.0
#: Air round the map and the table, and the head of the table [mm].
_AIR_MM = 12.0


def map_height(b: Builder, beads: int, between: Sequence[str] = ()) -> float:
    """Height of the map that leaves room for the table on the same page, where the map stays readable [mm].

    ``between`` are the paragraphs between the two, besides what is said of the ways.
    """
    left = b.room - _list_height(b, beads, between)
    if left >= _LEAST_MAP_MM:
        return min(left, _MAP_MM)
    return min(_MAP_MM, max(b.room - 2.0, _LEAST_MAP_MM))


def map_need(b: Builder, beads: int, above: Sequence[str], between: Sequence[str] = ()) -> float:
    """Height that a map needs with its table, where one page holds both; else with what stands above it alone [mm]."""
    lead = b.height_of(above, CELL) + _LEAST_MAP_MM + 2.0
    whole = lead + _list_height(b, beads, between)
    return max(whole, 0.7 * b.full) if whole <= b.full else lead


def large_map(b: Builder, figure: Figure, above: Sequence[str]) -> float:
    """Height of a map over the whole width, no higher than a page holds below the words above it [mm]."""
    wide = b.wide * figure.box.height / figure.box.width + _CAPTION_MM
    return min(wide, b.full - b.height_of(above, CELL) - 2.0)


def _list_height(b: Builder, beads: int, between: Sequence[str]) -> float:
    return _AIR_MM + b.height_of([*between, _ways(b)], CELL) + (beads + 1) // 2 * _ROW_MM


def _ways(b: Builder) -> str:
    return f"{b.say('weld.ways')} {b.say('weld.waits')}"


def bead_cells(b: Builder, results: Results, beads: tuple[PlacedBead, ...]) -> list[list[str]]:
    """One row for each bead: box to tick, number, name, way, length, wait."""
    ccw = results.job.plate.outline.ccw
    return [
        [
            "☐",
            str(bead.number),
            bead.name,
            ("↻" if bead.backward == ccw else "↺") + (f" {bead.position}" if bead.kind == "stitch" else ""),
            _length(b, bead.length_mm),
            _wait(bead.wait_s),
        ]
        for bead in beads
    ]


def bead_list(b: Builder, results: Results, beads: tuple[PlacedBead, ...], tag: str) -> None:
    """The beads in their order, two blocks side by side, with boxes to tick."""
    cells = bead_cells(b, results, beads)
    b.para(_ways(b), CELL)
    many = len(beads) > MANY
    if many:
        b.need(_AIR_MM + (len(beads) + 1) // 2 * _ROW_MM)
    head = ["", b.say("weld.number"), b.say("weld.bead"), "", b.say("weld.length"), b.say("weld.wait")]
    align: tuple[Anchor, ...] = ("left", "right", "left", "left", "right", "right")
    b.two_blocks(head, cells, (0.3, 0.5, 0.74, 0.6, 0.98, 0.76), align, tag, SMALL if many else CELL)


def _length(b: Builder, length_mm: float) -> str:
    """In the units of the shop alone: an inch with its millimetres is too wide for half a page."""
    return f"{inch_text(length_mm)} in" if b.job.shown.display == "in" else format_length(length_mm)


def _wait(seconds: float) -> str:
    if seconds < 0.5:
        return "–"
    return f"{seconds:.0f} s"
