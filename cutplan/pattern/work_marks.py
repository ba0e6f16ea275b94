"""What the opening's work template shows besides its line: holes, cuts, bridges, ribs, brace and datum marks, at 1:1."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from cutplan.geometry.segment import Segment
from cutplan.geometry.vector import Box, Point

WorkKind = Literal["second line", "across", "bridge", "rib", "suspected rib", "brace"]


@dataclass(frozen=True, slots=True)
class WorkHole:
    """A hole or window to drill, or a mark to punch (diameter 0) [mm]."""

    name: str
    centre: Point
    diameter_mm: float


@dataclass(frozen=True, slots=True)
class WorkLine:
    """A line on the work template; ``path`` may be several stretches."""

    kind: WorkKind
    path: tuple[Segment, ...]


@dataclass(frozen=True, slots=True)
class WorkNote:
    """A word beside a place: name of a cut, bridge or rib, and how deep the tool may go there [mm] (None: not said)."""

    name: str
    at: Point
    depth_mm: float | None = None


@dataclass(frozen=True, slots=True)
class WorkMarks:
    """All that is marked out on the skin.

    Parameters
    ----------
    holes : tuple of WorkHole
        Holes, windows and datum marks.
    lines : tuple of WorkLine
        Lines, clipped to the paper's margin.
    notes : tuple of WorkNote
        Words.
    margin : Box
        What the paper covers: the line with the margin that holds the datum marks [mm].
    """

    holes: tuple[WorkHole, ...]
    lines: tuple[WorkLine, ...]
    notes: tuple[WorkNote, ...]
    margin: Box
