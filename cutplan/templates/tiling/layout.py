"""Templates placed on sheets: which sheet prints what, where the seams lie, and what registers them."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import pi

from cutplan.geometry.vector import Box, Point
from cutplan.templates.shapes.template import Template
from cutplan.templates.tiling.cells import LEAST_SEAM_MM, Cell, Tiling, shared_side
from cutplan.templates.tiling.sheet import SheetForm, shortened

#: Shortest seam that holds a registration mark with its number, clear of the overlaps at its ends [mm].
_LEAST_MARKED_MM = 33.0


@dataclass(frozen=True, slots=True)
class Placed:
    """A template turned and moved into the layout; ``shift`` is where its own origin lies after the turn [mm]."""

    template: Template
    angle_rad: float
    shift: Point


@dataclass(frozen=True, slots=True)
class SheetPlace:
    """One sheet of a layout; boxes in layout coordinates [mm].

    ``cell`` is what the sheet is answerable for, ``window`` its whole room, ``printed`` what it prints: the window,
    cut off half an overlap beyond each seam.
    """

    row: int
    column: int
    form: SheetForm
    cell: Box
    window: Box
    printed: Box
    page: int = 0

    @property
    def name(self) -> str:
        """The number of the page it is printed on: what is read off the paper, and nothing else of a job is called so."""
        return str(self.page)

    @property
    def origin(self) -> Point:
        """Where the layout's origin lies on the sheet [mm]."""
        return Point(self.form.live.xmin - self.window.xmin, self.form.live.ymin - self.window.ymin)


@dataclass(frozen=True, slots=True)
class Seam:
    """The common side of two sheets: x = ``at`` when ``upright``, else y = ``at``, from ``low`` to ``high`` [mm].

    ``under`` is the left or lower sheet, which keeps its flap; ``over`` is trimmed and laid on it.
    """

    upright: bool
    at: float
    low: float
    high: float
    under: int
    over: int

    def point(self, along: float) -> Point:
        return Point(self.at, along) if self.upright else Point(along, self.at)


@dataclass(frozen=True, slots=True)
class Layout:
    """Templates and the sheets they are printed on; one sheet, or several joined by seams."""

    placed: tuple[Placed, ...]
    sheets: tuple[SheetPlace, ...]
    seams: tuple[Seam, ...]

    @property
    def name(self) -> str:
        return " + ".join(p.template.name for p in self.placed)

    @property
    def title(self) -> str:
        """The names of its templates as printed."""
        return " + ".join(p.template.shown for p in self.placed)


def numbered(layout: Layout, first: int) -> Layout:
    """Return the layout with its sheets on pages from ``first`` on."""
    sheets = tuple(replace(s, page=first + k) for k, s in enumerate(layout.sheets))
    return replace(layout, sheets=sheets)


def place(template: Template, angle_rad: float, shift: Point) -> Placed:
    """Return the template turned and moved."""
    angle_rad = (angle_rad + pi) % (2.0 * pi) - pi if angle_rad else 0.0
    return Placed(template.turned(angle_rad).moved(shift.x, shift.y), angle_rad, shift)


def tiled(placed: tuple[Placed, ...], tiling: Tiling, forms: tuple[SheetForm, ...], overlap_mm: float) -> Layout:
    """Return the layout of templates over the cells of a tiling."""
    given = tiling.cells
    names = _from_top([c.box for c in given], [c.row for c in given], [c.column for c in given])
    order = sorted(range(len(given)), key=lambda k: names[k])
    cells, rows = _held([given[k] for k in order]), [names[k] for k in order]
    seams: list[Seam] = []
    for i, a in enumerate(cells):
        for j, b in enumerate(cells):
            if i == j or shared_side(a.box, b.box) <= 0.0:
                continue
            if abs(a.box.xmax - b.box.xmin) < 1e-6:
                low, high = max(a.box.ymin, b.box.ymin), min(a.box.ymax, b.box.ymax)
                seams.append(Seam(True, a.box.xmax, low, high, i, j))
            elif abs(a.box.ymax - b.box.ymin) < 1e-6:
                low, high = max(a.box.xmin, b.box.xmin), min(a.box.xmax, b.box.xmax)
                seams.append(Seam(False, a.box.ymax, low, high, i, j))
    sheets: list[SheetPlace] = []
    for k, cell in enumerate(cells):
        sides = [False] * 4  # left, lower, right, upper
        for s in seams:
            if k in (s.under, s.over):
                sides[(0 if s.upright else 1) + (2 if s.under == k else 0)] = True
        form = forms[cell.form]
        half = 0.5 * overlap_mm
        form = shortened(form, cell.box.height + half * (sides[1] + sides[3]) + 1.0)
        xmin = _start(cell.box.xmin, cell.box.xmax, form.live.width, half, sides[0], sides[2])
        ymin = _start(cell.box.ymin, cell.box.ymax, form.live.height, half, sides[1], sides[3])
        window = Box(xmin, ymin, xmin + form.live.width, ymin + form.live.height)
        printed = Box(
            cell.box.xmin - half if sides[0] else window.xmin,
            cell.box.ymin - half if sides[1] else window.ymin,
            cell.box.xmax + half if sides[2] else window.xmax,
            cell.box.ymax + half if sides[3] else window.ymax,
        )
        row, column = rows[k]
        sheets.append(SheetPlace(row, column, form, cell.box, window, printed))
    return Layout(placed, tuple(sheets), tuple(seams))


def _held(cells: list[Cell]) -> list[Cell]:
    """Return the cells of a narrow template widened over the white paper beside it, so that its seams hold marks."""
    boxes = [c.box for c in cells]
    whole = boxes[0]
    for b in boxes[1:]:
        whole = whole.joined(b)
    more_x, more_y = (max(0.0, 0.5 * (LEAST_SEAM_MM - size)) for size in (whole.width, whole.height))
    return [
        replace(c, box=Box(c.box.xmin - more_x, c.box.ymin - more_y, c.box.xmax + more_x, c.box.ymax + more_y))
        for c in cells
    ]


def long_enough(seam: Seam) -> bool:
    """Return whether a seam is long enough to carry a registration mark."""
    return seam.high - seam.low >= _LEAST_MARKED_MM


def _start(low: float, high: float, room: float, half: float, before: bool, after: bool) -> float:
    """Where the sheet's window starts: the cell in its middle, with room for the overlap beyond each seam."""
    spare = room - (high - low)
    least, most = half if before else 0.0, spare - (half if after else 0.0)
    return low - min(max(0.5 * spare, least), max(most, least))


def _from_top(boxes: list[Box], rows: list[int], columns: list[int]) -> list[tuple[int, int]]:
    """Rows counted from the top; in column bands each column counts its own."""
    bands = {r: {b.ymin for b, other in zip(boxes, rows, strict=True) if other == r} for r in rows}
    if all(len(levels) == 1 for levels in bands.values()):
        top = max(rows)
        return [(top - r, c) for r, c in zip(rows, columns, strict=True)]
    tops = {c: max(r for r, other in zip(rows, columns, strict=True) if other == c) for c in columns}
    return [(tops[c] - r, c) for r, c in zip(rows, columns, strict=True)]
