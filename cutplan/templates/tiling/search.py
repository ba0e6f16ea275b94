"""Fewest sheets: the template is turned and shifted, and rows of upright and turned sheets are mixed.

For each angle the template is cut into bands, each band into columns; every band is as wide as what lies in it, so
corners without lines cost no sheet, and sheets that would stay blank are left out. Seams keep off crosses and pads,
and off lines that run along them, while any other choice is left.
"""

from __future__ import annotations

from math import pi

from cutplan.geometry.vector import Box
from cutplan.templates.tiling.bands import INFINITE, banded_cells, cheapest_bands, count_for, even_edges, strips
from cutplan.templates.tiling.cells import Cell, Content, Tiling, cut_through, run_along, without_blank

#: How finely band ends are tried at a glance and closely, and how many angles get the close look.
_GLANCE, _CLOSE, _CLOSE_LOOKS = 60, 180, 8
_Rooms = tuple[tuple[float, float], ...]


def plain_grid(box: Box, form: tuple[float, float], overlap_mm: float) -> int:
    """Return how many sheets the plain grid takes: upright sheets in rows and columns over the box, nothing turned.

    ``form`` is the room on a sheet [mm].
    """
    return count_for(box.width, form[0], overlap_mm) * count_for(box.height, form[1], overlap_mm)


def best_tiling(content: Content, forms: _Rooms, overlap_mm: float, angles_rad: tuple[float, ...]) -> Tiling:
    """Return the tiling with the fewest sheets.

    Parameters
    ----------
    content : Content
        Points, discs and walls of the template.
    forms : tuple of (width, height)
        Room on a sheet in each orientation, upright first [mm].
    overlap_mm : float
        Overlap of neighbouring sheets [mm].
    angles_rad : tuple of float
        Angles to try, the preferred ones first [rad].

    Returns
    -------
    Tiling
        Of those that take no more sheets than the plain grid: none cut through a cross or pad if that can be had, then
        the fewest sheets, then no seam along a line, then square to the sheet, then the shortest seams.
    """
    most = plain_grid(content.box, forms[0], overlap_mm)
    tilings = [(0, _plain(content, forms[0], overlap_mm, angles_rad[0]))]
    for swap in (False, True):
        tilings += [(0, t) for t in _banded(content.turned(angles_rad[0]), forms, overlap_mm, angles_rad[0], swap)]

    def key(entry: tuple[int, Tiling]) -> tuple[float, ...]:
        number, t = entry
        square = _square(t)
        seams = sum(c.box.width + c.box.height for c in t.cells)
        return (t.sheets > most, t.cut_through > 0, t.sheets, t.cut_through, t.along, not square, number, seams)

    best = min(tilings, key=key)[1]
    if best.sheets == 1 or (
        best.sheets == 2 and not (best.cut_through or best.along or _fits_one(content, forms, angles_rad))
    ):
        return best  # no other angle can be better
    for number, angle, swap in _promising(content, forms, overlap_mm, angles_rad):
        tilings += [(number, t) for t in _banded(content.turned(angle), forms, overlap_mm, angle, swap)]
        if any(t.sheets == 1 for _, t in tilings):
            break
    # a template lies askew only where that saves a sheet: askew it is harder to lay out and to read
    upright = min(t.sheets for _, t in tilings if _square(t))
    return min((e for e in tilings if _square(e[1]) or e[1].sheets < upright), key=key)[1]


def _square(tiling: Tiling) -> bool:
    return abs(tiling.angle_rad % (0.5 * pi)) < 1e-9


def _fits_one(content: Content, forms: _Rooms, angles: tuple[float, ...]) -> bool:
    """Whether the content fits a single sheet at any of the angles."""
    boxes = [content.turned(angle).box for angle in angles]
    return any(
        min(box.width, box.height) <= min(form) and max(box.width, box.height) <= max(form)
        for box in boxes
        for form in forms
    )


def _promising(
    content: Content, forms: _Rooms, overlap: float, angles: tuple[float, ...]
) -> list[tuple[int, float, bool]]:
    """Return (number, angle, swap) of the angles beside the first that look best at a glance."""
    glances: list[tuple[float, int, float, bool]] = []
    for number, angle in enumerate(angles):
        turned = content.turned(angle)
        for swap in (False, True):
            seen = turned.swapped() if swap else turned
            rooms = tuple((b, a) for a, b in forms) if swap else forms
            glance = strips(seen, rooms, overlap, seen.box, _GLANCE)
            glances.append((cheapest_bands(seen, glance, 0)[1], number, angle, swap))
    least = min(g[0] for g in glances)
    return [g[1:] for g in sorted(glances) if g[0] < least + 1.0 and g[1] > 0][:_CLOSE_LOOKS]


def _measured(angle: float, cells: list[Cell], content: Content) -> Tiling:
    return Tiling(angle, tuple(cells), cut_through(cells, content.discs), run_along(cells, content))


def _plain(content: Content, form: tuple[float, float], overlap: float, angle: float) -> Tiling:
    """Return the plain grid itself, without the sheets that would stay blank."""
    box = content.box
    xs = even_edges(box.xmin, box.xmax, count_for(box.width, form[0], overlap), overlap)
    ys = even_edges(box.ymin, box.ymax, count_for(box.height, form[1], overlap), overlap)
    cells = [
        Cell(r, c, Box(xs[c], ys[r], xs[c + 1], ys[r + 1]), 0) for r in range(len(ys) - 1) for c in range(len(xs) - 1)
    ]
    return _measured(angle, without_blank(cells, content), content)


def _banded(content: Content, forms: _Rooms, overlap: float, angle: float, swap: bool) -> list[Tiling]:
    """Return tilings in bands along x (or along y when ``swap``), from the most careful about seams to the least."""
    seen = content.swapped() if swap else content
    rooms = tuple((b, a) for a, b in forms) if swap else forms
    made: list[Tiling] = []
    cut = strips(seen, rooms, overlap, seen.box, _CLOSE)
    for care in (2, 1, 0):
        bands, cost = cheapest_bands(seen, cut, care)
        if cost == INFINITE:
            continue
        cells = without_blank(banded_cells(seen, bands, rooms, overlap, care), seen)
        if swap:
            cells = [Cell(c.column, c.row, Box(c.box.ymin, c.box.xmin, c.box.ymax, c.box.xmax), c.form) for c in cells]
        made.append(_measured(angle, cells, content))
        if len(cells) == 1:
            break
    return made
