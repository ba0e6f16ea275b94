"""One label set: beside what it names, in one of its forms; else farther off with a leader; else not at all."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import atan2, hypot, pi

import numpy as np
from numpy.typing import NDArray

from cutplan.drawing.font import text_width
from cutplan.drawing.placer.ground import Floats, Ground, boxed, holds
from cutplan.drawing.placer.leader import Target, Ways, way_points, ways_to
from cutplan.geometry.vector import Box, Point

#: Air at both ends of a label and under it [mm], and from one base line to the next [font sizes].
END_MM, UNDER_MM, LEADING = 0.3, 0.2, 1.2
#: What a leader, a bend in it and a turn away from the wanted side cost, in font sizes of way.
_LED, _BENT, _TURNED = 0.8, 1.5, 0.5
#: What a label led the other way than it should costs by half, in font sizes of way.
_ASTRAY = 2.0
#: A label beside its thing that costs no more than this is taken without looking farther [font sizes].
_GOOD = 2.0
#: Places tried for a label with a leader, the cheapest first, how many at once, fewest and most, and each how manieth with a bend.
_MOST, _AT_ONCE, _EACH_BENT = 720, (48, 384), 6
#: A ring of so many font sizes is large, such as a pad; how much nearer to it than to another one its name's middle is, in widths.
_LARGE, _CLEARLY = 1.25, 0.25
#: A leader shorter than this would be taken for a dot [font sizes].
SHORT = 0.3
#: What rounding may add to the length of a leader [mm].
_SLACK_MM = 1e-6
#: Sides of a thing, as rows: what each costs [font sizes], its direction, and to which side of the place the box lies.
_ANGLE = 0.25 * pi * np.array((1, 7, 3, 5, 0, 4, 2, 6))
_SIDES: Floats = np.vstack(
    (
        0.02 * np.arange(8),
        np.cos(_ANGLE),
        np.sin(_ANGLE),
        np.sign(np.round(np.cos(_ANGLE), 3)),
        np.sign(np.round(np.sin(_ANGLE), 3)),
    )
)


@dataclass(frozen=True, slots=True)
class Label:
    """What to write about a thing.

    Parameters
    ----------
    forms : tuple of tuple of str
        The lines of each form, the fullest first.
    target : Target
        What it names [mm].
    height_mm : float
        Font size [mm].
    steps_mm : tuple of float
        Distances from the edge at which it still belongs to the thing without a leader [mm].
    reach_mm : float
        How far from the edge it may be led from [mm]; 0: no leader.
    arms_mm : float
        Length of a cross's arms beyond the edge, along both axes [mm].
    bold : bool
        Whether it is bold.
    away : Point or None
        The side where it should stand, as a vector.
    home : Box or None
        Where it stands if that is free [mm].
    size_mm : (float, float) or None
        Width and height that it takes [mm]; None: as its lines ask.
    bears : float
        Weight of lines that it may lie on: it has a ground of its own [1].
    """

    forms: tuple[tuple[str, ...], ...]
    target: Target
    height_mm: float
    steps_mm: tuple[float, ...] = (1.5, 4.0)
    reach_mm: float = 0.0
    arms_mm: float = 0.0
    bold: bool = False
    away: Point | None = None
    home: Box | None = None
    size_mm: tuple[float, float] | None = None
    bears: float = 0.0


@dataclass(frozen=True, slots=True)
class Setting:
    """Where a label came to stand: its lines, their box, and the way of its leader, empty for none."""

    lines: tuple[str, ...]
    box: Box
    way: tuple[Point, ...]
    cost: float

    def bases(self, height_mm: float) -> list[Point]:
        """Return where each line starts on its base line [mm], for letters of a height [mm]."""
        top = self.box.ymax - 0.76 * height_mm
        return [Point(self.box.xmin + END_MM, top - LEADING * height_mm * k) for k in range(len(self.lines))]


def set_label(label: Label, ground: Ground, others: Floats | None = None) -> Setting | None:
    """Return where a label stands, or None where it finds no room; the caller takes the place.

    Parameters
    ----------
    label : Label
        What to write.
    ground : Ground
        What is drawn.
    others : array or None
        Other things that are named near it, as rows (x, y, radius) [mm]: a label without a leader stands nearer to its own.
    """
    best: Setting | None = None
    for lines in label.forms:
        best = _cheaper(best, _beside(label, lines, ground, others, best.cost if best else float("inf")))
        if best is not None and best.cost < _GOOD:
            return best
    if not label.reach_mm:
        return best
    ways = ways_to(label.target, ground, label.height_mm)
    for lines in label.forms:
        led = _led(label, lines, ways, best.cost if best else float("inf"), others)
        if led is not None:
            return led
    return best


def take(setting: Setting, grounds: Sequence[Ground], apart_mm: float) -> None:
    """Take a label's place and its leader's way on rasters, with so much air round it [mm]."""
    for ground in grounds:
        ground.write(setting.box.grown(apart_mm))
        if setting.way:
            ground.lead(way_points(setting.way))


def _cheaper(a: Setting | None, b: Setting | None) -> Setting | None:
    return b if a is None or (b is not None and b.cost < a.cost) else a


def _size(label: Label, lines: tuple[str, ...]) -> tuple[float, float]:
    if label.size_mm is not None:
        return label.size_mm
    wide = max(text_width(t, label.height_mm, label.bold) for t in lines) + 2.0 * END_MM
    return wide, label.height_mm * (1.0 + LEADING * (len(lines) - 1)) + UNDER_MM


def _beside(
    label: Label, lines: tuple[str, ...], ground: Ground, others: Floats | None, below: float
) -> Setting | None:
    wide, tall = _size(label, lines)
    best: Setting | None = None
    if label.home is not None and ground.free(label.home):
        best = Setting(lines, label.home, (), ground.cost(label.home, label.bears))
        below = min(below, best.cost)
    costs, boxes = _round(label, wide, tall)
    for k in np.flatnonzero(ground.perhaps(boxes) & (costs < below)):
        if costs[k] >= below:
            continue
        box = Box(*boxes[k].tolist())
        if not ground.free(box) or not _belongs(label, others, box):
            continue
        cost = float(costs[k]) + ground.cost(box, label.bears)
        if cost < below:
            best, below = Setting(lines, box, (), cost), cost
    return best


def _round(label: Label, wide: float, tall: float) -> tuple[Floats, Floats]:
    """What each place round a thing costs (n), nearest first, and its box (n, 4); in the quarters of its cross, too."""
    r = label.target.radius_mm
    turned, ux, uy, sx, sy = _SIDES if label.away is None else _turned_to(label.away)
    steps = np.array(label.steps_mm)[:, None]
    # on the axes the label must also clear the arms of the cross
    out = r + steps + np.where(sx * sy == 0.0, label.arms_mm, 0.0)
    x = (out * ux + 0.5 * wide * (sx - 1.0)).ravel()
    y = (out * uy + 0.5 * tall * (sy - 1.0)).ravel()
    costs = (steps / label.height_mm + turned).ravel()
    if label.steps_mm and label.away is None and r > 2.8 * label.height_mm:
        x = np.concatenate((x, [3.3, 3.3, -3.3 - wide, -3.3 - wide]))
        y = np.concatenate((y, [3.4, -3.4 - tall, 3.4, -3.4 - tall]))
        costs = np.concatenate((costs, np.full(4, 0.1)))
    x, y = x + label.target.at.x, y + label.target.at.y
    return costs, np.column_stack((x, y, x + wide, y + tall))


def _turned_to(away: Point) -> Floats:
    """The sides of a thing, those first that face a direction."""
    turn = np.arctan2(_SIDES[2], _SIDES[1]) - atan2(away.y, away.x)
    sides = np.vstack((_TURNED * np.abs((turn + pi) % (2.0 * pi) - pi), _SIDES[1:]))
    return sides[:, np.argsort(sides[0], kind="stable")]


def _belongs(label: Label, others: Floats | None, box: Box) -> bool:
    """Whether a label's box is nearer to its own thing's edge than to any other's; between two large rings, by its middle too."""
    if others is None or not len(others):
        return True
    target, c = label.target, label.target.at
    own = abs(
        hypot(c.x - min(max(c.x, box.xmin), box.xmax), c.y - min(max(c.y, box.ymin), box.ymax)) - target.radius_mm
    )
    dx = others[:, 0] - np.clip(others[:, 0], box.xmin, box.xmax)
    dy = others[:, 1] - np.clip(others[:, 1], box.ymin, box.ymax)
    if not (np.abs(np.hypot(dx, dy) - others[:, 2]) > own).all():
        return False
    large = (
        others[others[:, 2] >= 0.5 * target.radius_mm] if target.radius_mm >= _LARGE * label.height_mm else others[:0]
    )
    m = box.centre
    theirs = np.hypot(large[:, 0] - m.x, large[:, 1] - m.y) - large[:, 2]
    return bool((theirs - (hypot(c.x - m.x, c.y - m.y) - target.radius_mm) > _CLEARLY * box.width).all())


def _cheapest(cost: Floats, of: NDArray[np.intp], most: int) -> NDArray[np.intp]:
    """The numbers of the cheapest among some, the cheapest first; of those alike the first."""
    if len(of) > most:
        of = of[cost[of] <= np.partition(cost[of], most)[most]]
    return of[np.argsort(cost[of], kind="stable")][:most]


def _led(label: Label, lines: tuple[str, ...], ways: Ways, below: float, others: Floats | None) -> Setting | None:
    """The cheapest free place within reach from which a leader's way is clear."""
    target, ground = ways.target, ways.ground
    wide, tall = _size(label, lines)
    half, goal = np.array([0.5 * wide, 0.5 * tall]), np.array(target.at)
    reach = target.radius_mm + label.reach_mm
    within = Box(target.at.x, target.at.y, target.at.x, target.at.y).grown(reach + max(wide, tall))
    at, cost = ground.places(wide, tall, within, label.bears)
    seen = [w for w in ground.windows if w.holds(target.at)]
    near = np.clip(goal, at - half, at + half)
    gap = np.hypot(near[:, 0] - goal[0], near[:, 1] - goal[1]) - target.radius_mm
    cost = cost + _LED + np.maximum(gap, 0.0) / label.height_mm
    if not label.steps_mm and label.away is not None:
        out = at - goal
        facing = (out @ np.array(label.away)) / np.maximum(np.hypot(*out.T) * label.away.length(), 1e-9)
        cost = cost + _ASTRAY * (1.0 - facing)
    fits = (gap > 0.5) & (gap < label.reach_mm) & (cost < below)
    # every other cell each way is enough
    fits &= (np.floor((at[:, 0] + at[:, 1]) / ground.cell_mm) % 2.0) == 0.0
    cheapest = _cheapest(cost, np.flatnonzero(fits), _MOST)
    at, cost, near, gap = at[cheapest], cost[cheapest], near[cheapest], gap[cheapest]
    # a leader so short is left out of a picture: the label must belong to its thing without one
    unseen = gap - target.clear_mm <= SHORT * label.height_mm
    best: Setting | None = None
    first, many = 0, _AT_ONCE[0]
    while first < len(cost) and (best is None or cost[first] < best.cost):
        part = np.arange(first, min(first + many, len(cost)))
        first, many = first + many, min(2 * many, _AT_ONCE[1])
        ends, clear = ways.straight(near[part])
        some = part[::_EACH_BENT]
        # a way that would cost more than what is found, or may be asked, is not looked for
        most = min(below, best.cost if best is not None else below)
        straight = np.hypot(near[some, 0] - goal[0], near[some, 1] - goal[1])
        bends = ways.bent(at[some], half, straight + (most - cost[some] - _BENT) * label.height_mm + _SLACK_MM)
        for n, (k, end, ok) in enumerate(zip(part, ends, clear, strict=True)):
            if best is not None and cost[k] >= best.cost:
                break
            if not ok and n % _EACH_BENT:
                continue
            box = boxed(at[k], wide, tall)
            if seen and not any(holds(w, box) for w in seen):
                continue
            if unseen[k] and not _belongs(label, others, box):
                continue
            if ok:
                best = _cheaper(best, Setting(lines, box, (Point(*near[k]), Point(*end)), float(cost[k])))
                break
            plain = float(straight[n // _EACH_BENT])
            most = min(below, best.cost if best is not None else below)
            longest = plain + (most - float(cost[k]) - _BENT) * label.height_mm
            bent = bends.shortest(n // _EACH_BENT, longest + _SLACK_MM)
            if bent is not None:
                total = float(cost[k]) + _BENT + (bent[1] - plain) / label.height_mm
                if best is None or total < best.cost:
                    best = Setting(lines, box, tuple(Point(*p) for p in bent[0].tolist()), total)
    return best if best is not None and best.cost < below else None
