"""Lay all copies of all parts on sheets: small ones in big holes, the rest densely, what is left into what is free."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from math import cos, radians, sin
from typing import TYPE_CHECKING

from cutplan.cutting.nest.fill import Spot, spot_for
from cutplan.cutting.nest.halo import MARGIN_MM, halo, inside_of, turned
from cutplan.cutting.nest.parts import Part, Placed, Room, Stock, stock_of
from cutplan.cutting.nest.race import Beside
from cutplan.cutting.nest.strip import Laid, strip
from cutplan.errors import JobError
from cutplan.geometry.flatten import to_shapely
from cutplan.texts import code, mm, name, plural, say

if TYPE_CHECKING:
    from shapely import Polygon
    from shapely.geometry.base import BaseGeometry

#: Angles allowed for each wish [deg]: any is searched in steps where our own step lays.
TURNS: dict[str, tuple[float, ...]] = {
    "free": tuple(15.0 * k for k in range(24)),
    "quarter": (0.0, 90.0, 180.0, 270.0),
    "rolling": (0.0, 180.0),
}
#: Lays shapes in their counts on a strip of a height [mm] in turns [deg].
Dense = Callable[["list[Polygon]", list[int], float, "tuple[float, ...] | None"], tuple[list[Laid], float]]
#: Most sheets of one order.
SHEETS = 50
#: Decimals of a place [mm] and of an angle [deg].
PLACE_DIGITS, TURN_DIGITS = 3, 6


@dataclass(frozen=True, slots=True)
class _Inside:
    """A copy that lies in a hole of a part's copy: numbers of both parts, and where in the host's own place."""

    part: int
    host: int
    spot: Spot


def lay(
    parts: Sequence[Part],
    stocks: Sequence[Stock],
    room: Room,
    turning: str = "quarter",
    seconds: int = 5,
    workers: int = 1,
    beside: Beside | None = None,
) -> list[list[Placed]]:
    """Return the copies on each sheet.

    Parameters
    ----------
    parts : sequence of Part
        What is wanted.
    stocks : sequence of Stock
        What is cut from, in its order: sheets, or remnants of any shape; a sheet that comes last is there as often as
        needed.
    room : Room
        Metal to keep.
    turning : {"free", "quarter", "rolling"}
        How parts may be turned.
    seconds : int
        Time for the dense search of each sheet [s].
    workers : int
        Processors for that search.
    beside : callable or None
        Starts a work in another process.

    Raises
    ------
    JobError
        When a part fits on no empty sheet, nothing fits on a stock that is not the last, or the stock is used up.
    """
    half = 0.5 * room.spacing_mm
    halos = [halo(p.net.outer, half) for p in parts]
    wanted = [p.quantity for p in parts]
    nested = _into_holes(parts, halos, wanted, half, TURNS[turning])
    waiting = list(nested)
    sheets: list[list[Placed]] = []
    while any(wanted):
        if len(sheets) == SHEETS:
            raise JobError(
                say("more than {count} sheets are needed", count=SHEETS), "--stock", say("use a larger sheet")
            )
        stock, last = stock_of(stocks, len(sheets)), len(sheets) >= len(stocks) - 1
        if len(sheets) >= len(stocks) and not stock.rectangle:
            raise JobError(
                plural(
                    "{count} piece is left over: a remnant is there once",
                    "{count} pieces are left over: a remnant is there once",
                    sum(wanted),
                ),
                "--stock",
                say("name the next sheet too: {command}", command=code("--stock remnant.dxf --stock 1000x500")),
            )
        spots = _one_sheet(
            halos, wanted, stock, room, turning, partial(strip, seconds=seconds, workers=workers, beside=beside)
        )
        if not spots and not last:
            raise JobError(
                say("nothing fits on stock no. {number}", number=len(sheets) + 1),
                "--stock",
                say("leave this stock out"),
            )
        if not spots:
            raise _too_large(parts[next(k for k, n in enumerate(wanted) if n)], room)
        placed: list[Placed] = []
        for k, spot in spots:
            wanted[k] -= 1
            placed.append(_placed(k, spot))
            host = len(placed) - 1
            for inside in [n for n in waiting if n.host == k][: len({n.spot for n in nested if n.host == k})]:
                waiting.remove(inside)
                placed.append(_in_host(inside, placed[host], host))
        sheets.append(placed)
    return sheets


def _too_large(part: Part, room: Room) -> JobError:
    box = part.net.box
    return JobError(
        say(
            "{part} ({width} x {height}) fits on no empty sheet with {border} of border",
            part=name(part.name),
            width=mm(box.width),
            height=mm(box.height),
            border=mm(room.border_mm),
        ),
        "--stock",
        say("use a larger sheet, less border, or allow more turns"),
    )


def _into_holes(
    parts: Sequence[Part], halos: list[Polygon], wanted: list[int], half_mm: float, turns: tuple[float, ...]
) -> list[_Inside]:
    """Lay small copies in the holes that are cut of larger parts, and take them off what is wanted."""
    inside: list[_Inside] = []
    hosts = sorted(range(len(parts)), key=lambda k: -parts[k].net.outer.area)
    for host in hosts:
        if not wanted[host]:
            continue
        spaces = [inside_of(h, half_mm) for h in parts[host].net.holes]
        spots: list[tuple[int, Spot]] = []
        for space in spaces:
            free: BaseGeometry = space
            for k in sorted(range(len(parts)), key=lambda k: -halos[k].area):
                # a host's own copies and larger parts stay outside, and nothing is laid in what lies in a hole
                while halos[k].area < 0.5 * parts[host].net.outer.area and k != host:
                    left = wanted[k] - sum(1 for n, _ in spots if n == k) * wanted[host]
                    spot = spot_for(halos[k], free, turns) if left >= wanted[host] else None
                    if spot is None:
                        break
                    spots.append((k, _rounded(spot)))
                    free = free.difference(_at(halos[k], spot))
        for k, spot in spots:
            for _ in range(wanted[host]):
                inside.append(_Inside(k, host, spot))
            wanted[k] -= wanted[host]
    return _grouped(inside, parts)


def _grouped(inside: list[_Inside], parts: Sequence[Part]) -> list[_Inside]:
    """Order small copies so that each copy of a host takes one of each place."""
    grouped: list[_Inside] = []
    for host in dict.fromkeys(n.host for n in inside):
        mine = [n for n in inside if n.host == host]
        kinds = list(dict.fromkeys((n.part, n.spot) for n in mine))
        grouped += [_Inside(k, host, spot) for _ in range(len(mine) // len(kinds)) for k, spot in kinds]
    return grouped


def _one_sheet(
    halos: list[Polygon], wanted: list[int], stock: Stock, room: Room, turning: str, dense: Dense
) -> list[tuple[int, Spot]]:
    """Return the copies that one empty sheet takes."""
    half = 0.5 * room.spacing_mm
    free: BaseGeometry = to_shapely(stock.shape, 0.02).buffer(-(room.border_mm - half + MARGIN_MM), join_style="mitre")
    left = list(wanted)
    spots: list[tuple[int, Spot]] = []
    if stock.rectangle and sum(wanted) > 1:
        x0, y0, x1, y1 = free.bounds
        turns = None if turning == "free" else TURNS[turning]
        fits = [_fits(h, TURNS[turning], x1 - x0, y1 - y0) for h in halos]
        counts = [n if ok else 0 for n, ok in zip(wanted, fits, strict=True)]
        if any(counts):
            laid, _ = dense(halos, counts, y1 - y0, turns)
            for one in laid:
                spot = _rounded(Spot(one.turn_deg, one.x_mm + x0, one.y_mm + y0))
                if _at(halos[one.shape], spot).bounds[2] <= x1 + MARGIN_MM:
                    spots.append((one.shape, spot))
                    left[one.shape] -= 1
    for k, spot in spots:
        free = free.difference(_at(halos[k], spot))
    for k in sorted(range(len(halos)), key=lambda k: -halos[k].area):
        while left[k]:
            spot_ = spot_for(halos[k], free, TURNS[turning])
            if spot_ is None:
                break
            spots.append((k, _rounded(spot_)))
            free = free.difference(_at(halos[k], spot_))
            left[k] -= 1
    return spots


def _fits(shape: Polygon, turns: tuple[float, ...], wide_mm: float, tall_mm: float) -> bool:
    for turn in turns:
        x0, y0, x1, y1 = turned(shape, turn).bounds
        if x1 - x0 <= wide_mm and y1 - y0 <= tall_mm:
            return True
    return False


def _at(shape: Polygon, spot: Spot) -> Polygon:
    from shapely import affinity

    return affinity.translate(turned(shape, spot.turn_deg), spot.x_mm, spot.y_mm)


def _rounded(spot: Spot) -> Spot:
    return Spot(round(spot.turn_deg, TURN_DIGITS), round(spot.x_mm, PLACE_DIGITS), round(spot.y_mm, PLACE_DIGITS))


def _placed(part: int, spot: Spot) -> Placed:
    return Placed(part, spot.turn_deg, spot.x_mm, spot.y_mm)


def _in_host(inside: _Inside, host: Placed, number: int) -> Placed:
    """Return the place on the sheet of a copy that lies in its host's hole."""
    a = radians(host.turn_deg)
    x, y = inside.spot.x_mm, inside.spot.y_mm
    return Placed(
        inside.part,
        round((inside.spot.turn_deg + host.turn_deg) % 360.0, TURN_DIGITS),
        round(host.x_mm + x * cos(a) - y * sin(a), PLACE_DIGITS),
        round(host.y_mm + x * sin(a) + y * cos(a), PLACE_DIGITS),
        number,
    )
