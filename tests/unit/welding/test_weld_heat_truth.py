"""The waits' temperatures against a finite-difference sheet whose gap lets heat through only where it has been welded.

The rival solves the heat equation on square cells (explicit steps): insert and skin of one thickness, the gap closed to
heat until the arc has passed, the same surface loss, edges far away or, where the skin is the face of a box, four walls: sheet
folded down conducts as if it lay flat, the walls' lower edges let nothing out, and the corners between the walls are empty. Only
places and times of the beads are shared.
"""

from __future__ import annotations

from copy import deepcopy
from functools import cache

import numpy as np
import pytest
from numpy.typing import NDArray

from cutplan.geometry.contour import rectangle
from cutplan.pattern.joint import Span
from cutplan.pattern.wishes import Welding
from cutplan.welding.heat.kernels import SURFACE_W_PER_M2K
from cutplan.welding.heat.timing import Turn, order_starts
from cutplan.welding.heat.wait import HeatRoom
from cutplan.welding.settings.machine import settings_for
from cutplan.welding.stitches.along import nodes
from cutplan.welding.stitches.tacks import sequence_by_rule

Floats = NDArray[np.float64]
CELL, MARGIN, SHEET, BEAD = 4.0, 120.0, 3.0, 40.0
K, RHO_C = 0.041, 0.0045


class GappedSheet:
    """A sheet on cells with an insert that is cut loose, welded in by and by; with walls it is the face of a box."""

    def __init__(self, width: float, height: float, walls: tuple[float, float] | None = None) -> None:
        self.margin = sum(walls) if walls else MARGIN
        self.n = (round((width + 2 * self.margin) / CELL), round((height + 2 * self.margin) / CELL))
        x, y = (-self.margin + (np.arange(n) + 0.5) * CELL for n in self.n)
        loose = ((x > 0) & (x < width))[:, None] & ((y > 0) & (y < height))[None, :]
        self.rise = np.zeros(self.n)
        self.open_x, self.open_y = loose[1:, :] == loose[:-1, :], loose[:, 1:] == loose[:, :-1]
        if walls:
            # beyond both folds there is no metal
            empty = ((x < -walls[0]) | (x > width + walls[0]))[:, None] & ((y < -walls[0]) | (y > height + walls[0]))
            self.open_x &= ~(empty[1:, :] | empty[:-1, :])
            self.open_y &= ~(empty[:, 1:] | empty[:, :-1])
        self.step = 0.2 * CELL**2 * RHO_C / K
        self.now = 0.0

    def sides(self, place: Floats) -> tuple[tuple[int, int], tuple[int, int]]:
        """The two cells beside a place on the edge of the insert."""
        u, v = (place + self.margin) / CELL
        if abs(u - round(u)) < 1e-6:
            return (round(u) - 1, int(v)), (round(u), int(v))
        return (int(u), round(v) - 1), (int(u), round(v))

    def weld(self, place: Floats, heat_J: float) -> None:
        """Put heat in on both sides of a place and let heat through from now on."""
        (c, r), (c2, r2) = self.sides(place)
        for cell in ((c, r), (c2, r2)):
            self.rise[cell] += 0.5 * heat_J / (RHO_C * SHEET * CELL**2)
        (self.open_x if c2 > c else self.open_y)[c, r] = True

    def run_to(self, time: float) -> None:
        """Let heat flow until a time [s]."""
        loss = 2.0 * SURFACE_W_PER_M2K * 1e-6 / (RHO_C * SHEET)
        while self.now < time:
            step = min(self.step, time - self.now)
            across = np.diff(self.rise, axis=0) * self.open_x
            along = np.diff(self.rise, axis=1) * self.open_y
            across *= K / RHO_C / CELL**2 * step
            along *= K / RHO_C / CELL**2 * step
            self.rise *= 1.0 - loss * step
            self.rise[:-1, :] += across
            self.rise[1:, :] -= across
            self.rise[:, :-1] += along
            self.rise[:, 1:] -= along
            self.now += step


@cache
def temperatures(
    width: float, height: float, pairs: bool, interpass_C: float, walls: tuple[float, float] | None = None
) -> tuple[Floats, Floats, Floats, Floats]:
    """Low, middle, high of the plan and the rival's temperature before each bead [degC]."""
    outline = rectangle(0.0, 0.0, width, height)
    count = round(outline.length / BEAD)
    spans = tuple(Span(i * BEAD, (i + 1) * BEAD) for i in range(count))
    middles = tuple(s.start_mm + 0.5 * BEAD for s in spans)
    order = sequence_by_rule(middles, outline.length, closed=True) if pairs else tuple(range(count))
    settings = settings_for("butt", SHEET, Welding())
    room = HeatRoom(SHEET, SHEET, 0.5, (0.0, 0.0, width, height), outline.length)
    turns = tuple(Turn(i, False) for i in order)
    starts = order_starts(outline, spans, turns, settings, room, interpass_C, 20.0)
    heat, speed = settings.arc.heat_input_J_per_mm.mid, settings.arc.speed_mm_per_s.mid
    sheet = GappedSheet(width, height, walls)
    found = []
    for turn, start in zip(turns, starts, strict=True):
        places = nodes(outline, spans[turn.bead], 10, False)
        sheet.run_to(start.start_s)
        unlit = deepcopy(sheet)  # what each place is just before the arc gets there, without the bead's own heat
        warmest = 0.0
        for i in (0, 5, 9):
            unlit.run_to(start.start_s + (i + 0.5) * 4.0 / speed)
            warmest = max(warmest, *(unlit.rise[cell] for cell in unlit.sides(places[i])))
        found.append(20.0 + warmest)
        for i, place in enumerate(places):
            sheet.run_to(start.start_s + (i + 0.5) * 4.0 / speed)
            sheet.weld(place, heat * 4.0)
    low, mid, high = (np.array([getattr(s, name) for s in starts]) for name in ("low_C", "mid_C", "high_C"))
    return low, mid, high, np.array(found)


@pytest.mark.parametrize("size", [(120.0, 80.0), (200.0, 120.0), (80.0, 80.0)])
@pytest.mark.parametrize("pairs", [True, False])
@pytest.mark.parametrize("interpass_C", [100.0, 150.0])
def test_truth_lies_in_the_band_and_near_its_middle(size: tuple[float, float], pairs: bool, interpass_C: float) -> None:
    low, mid, high, truth = temperatures(*size, pairs, interpass_C)
    slack = 1.0  # the rounding of its cells [K]
    assert np.all(truth >= low - slack)
    assert np.all(truth <= high + slack)
    rise = mid - 20.0
    warm = rise > 20.0
    assert np.all(np.abs(truth - mid)[warm] <= 0.40 * rise[warm])
    assert np.mean(np.abs(truth - mid)[warm] / rise[warm]) <= 0.30


@pytest.mark.parametrize("walls", [(24.0, 48.0), (40.0, 80.0), (24.0, 100.0)])
@pytest.mark.parametrize("size", [(120.0, 80.0), (200.0, 120.0), (80.0, 80.0)])
@pytest.mark.parametrize("pairs", [True, False])
def test_walls_near_the_joint_keep_the_truth_in_the_band(
    walls: tuple[float, float], size: tuple[float, float], pairs: bool
) -> None:
    """Walls so many millimetres beside the joint and so deep hold some of the heat that a wide sheet would lead away."""
    low, mid, high, truth = temperatures(*size, pairs, 100.0, walls)
    wide = temperatures(*size, pairs, 100.0)[3]
    assert np.all(truth >= wide - 0.1) and np.max(truth - wide) > 0.5  # less metal is warmer, by up to 15 K here
    rise = mid - 20.0
    warm = rise > 20.0
    assert np.all(truth >= low - 1.0)
    assert np.all(
        truth - high <= np.maximum(1.0, 0.02 * (high - 20.0))
    )  # a shallow box may pass the insulated insert by a little
    # walls bring the truth above the middle: by up to two fifths of the rise, which is what the band is for
    assert np.all((truth - mid)[warm] <= 0.40 * rise[warm])
    assert np.mean(np.abs(truth - mid)[warm] / rise[warm]) <= 0.30
