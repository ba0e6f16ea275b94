"""What goes into the files of a sheet: one path over all copies, the remnant, and a picture of both."""

from __future__ import annotations

from collections.abc import Sequence
from math import hypot
from typing import TYPE_CHECKING, cast

from cutplan.cutting.files.classes import class_layer
from cutplan.cutting.nest.parts import TRIAL, Part, part_said
from cutplan.cutting.nest.sheet_plan import SheetPlan
from cutplan.cutting.path.moves import moves_of, slow_chains
from cutplan.cutting.result import CutPlan
from cutplan.drawing.font import text_width
from cutplan.drawing.model import Figure, Item, Pen, Stroke, centred, outline, ring, tied
from cutplan.files.dxf.sketch import Note, SketchLayer
from cutplan.geometry.flatten import to_shapely
from cutplan.geometry.region import Region
from cutplan.geometry.vector import Point
from cutplan.tables.cutting.cut_process import process_word
from cutplan.texts import Message, every, inch_or_mm, number, plural, say

if TYPE_CHECKING:
    from shapely import MultiPolygon, Polygon

#: Width of a letter over its height, at most, in the fonts of machines [-].
_LETTER = 0.85
#: Height of a piece's number or name in the picture [paper mm].
_NAME = 3.2
_EDGE, _CUT, _RAPID = Pen(0.35), Pen(0.3), Pen(0.12, dash_mm=(2.0, 1.2))


def sheet_layers(plan: SheetPlan, parts: Sequence[Part]) -> tuple[SketchLayer, ...]:
    """Return the layers of a sheet's path file: cuts in their order, drill marks, names, and the stock's own edge."""
    first = speaking(plan, parts)
    box = plan.stock.shape.box
    height = max(4.0, box.diagonal / 120.0)
    layers = [
        SketchLayer(class_layer(c.path), chains=(c.path.segments,), colour=7 if not c.path.inner else 3)
        for c in plan.cuts
    ]
    slow = tuple(c for cut in plan.cuts for c in slow_chains(moves_of(cut.path, first.process)))
    if slow:
        layers.append(SketchLayer("slow spans not cut", chains=slow, colour=2))
    for placed in plan.placed:
        for mark in parts[placed.part].plan.drilled:
            layers.append(
                SketchLayer("drill marks not cut", points=(placed.point(mark.centre),), colour=1, cross_mm=6.0)
            )
    names = tuple(
        _name(f"{n + 1} {parts[p.part].name}", net, height)
        for n, (p, net) in enumerate(zip(plan.placed, plan.nets, strict=True))
    )
    layers.append(SketchLayer("names not cut", notes=names, colour=8))
    layers.append(SketchLayer("stock not cut", contours=plan.stock.shape.contours, colour=9))
    lines = notes(plan, parts)
    written = tuple(
        Note(line, Point(box.xmin, box.ymin - (k + 2) * 1.6 * height), height) for k, line in enumerate(lines)
    )
    layers.append(SketchLayer("notes not cut", notes=written, colour=8))
    return tuple(layers)


def speaking(plan: SheetPlan, parts: Sequence[Part]) -> CutPlan:
    """Return the plan whose process, thickness and kerf speak for a sheet: of the first job's part that lies on it."""
    return parts[min(p.part for p in plan.placed)].plan


def notes(plan: SheetPlan, parts: Sequence[Part]) -> list[Message]:
    """Return what the person at the table must know of a sheet."""
    return [*kerf_notes(plan, parts), *stock_notes(plan, parts)]


def kerf_notes(plan: SheetPlan, parts: Sequence[Part]) -> list[Message]:
    """Return what the lines of a sheet are, and that the table must not compensate."""
    laid = [parts[k] for k in sorted({p.part for p in plan.placed})]
    kerfs = dict.fromkeys(round(p.plan.kerf_mm, 3) for p in laid if p.name != TRIAL)
    told = [say("the {piece} is cut on its own lines, no kerf taken off", piece=part_said(TRIAL))]
    return [
        say("SHEET: middle of the torch, kerf {kerf} taken off", kerf=every(inch_or_mm(k, 2) for k in kerfs or (0.0,))),
        *(told if any(p.name == TRIAL for p in laid) else ()),
        say("turn the table's own kerf compensation OFF"),
    ]


def stock_notes(plan: SheetPlan, parts: Sequence[Part]) -> list[Message]:
    """Return what a sheet is cut from, and how much is cut of it."""
    first = speaking(plan, parts)
    box = plan.stock.shape.box
    return [
        say(
            "stock {width} x {height}, {thickness}, process {process}",
            width=inch_or_mm(box.width, 1),
            height=inch_or_mm(box.height, 1),
            thickness=inch_or_mm(first.thickness_mm, None),
            process=process_word(first.process),
        ),
        say(
            "{pieces}, {cuts}, {used} of the stock used",
            pieces=plural("{count} piece", "{count} pieces", len(plan.placed)),
            cuts=plural("{count} cut", "{count} cuts", len(plan.cuts)),
            used=number(100.0 * plan.used, "%", 1),
        ),
    ]


def remnant_layers(plan: SheetPlan, title: Message) -> tuple[SketchLayer, ...]:
    """Return the layers of the remnant's drawing, to be given as stock the next time; empty when nothing whole is left."""
    if plan.remnant is None:
        return ()
    box = plan.remnant.box
    height = max(4.0, box.diagonal / 120.0)
    note = Note(title, Point(box.xmin, box.ymin - 3.0 * height), height)
    return (
        SketchLayer("remnant", contours=plan.remnant.contours, colour=7),
        SketchLayer("notes not cut", notes=(note,), colour=8),
    )


def sheet_figure(plan: SheetPlan, parts: Sequence[Part], width_mm: float = 250.0) -> Figure:
    """Return the picture of a sheet: pieces with their numbers, cuts, moves, and the stock's edge."""
    box = plan.stock.shape.box
    unit = max(box.width, box.height) / width_mm
    items: list[Item] = [outline(plan.stock.shape.outer, _EDGE, "#ffffff", "stock")]
    items += [outline(h, _EDGE, "#dddddd", "stock") for h in plan.stock.shape.holes]
    for net in plan.nets:
        items.append(outline(net.outer, _CUT, "#e4e4e4", "piece"))
        items += [outline(h, _CUT, "#ffffff", "piece") for h in net.holes]
    for move in plan.rapids:
        items.append(Stroke((move,), _RAPID, tag="rapid"))
    for cut in plan.cuts:
        items.append(Stroke(cut.path.segments, _CUT, tag="path"))
        items.append(ring(cut.path.pierce, 0.6 * unit, None, "#000000", "pierce"))
    for placed in plan.placed:
        for mark in parts[placed.part].plan.drilled:
            items.append(ring(placed.point(mark.centre), max(0.5 * mark.diameter_mm, unit), _RAPID, "", "drill"))
    whole = box.grown(4.0 * unit)
    for n, (copy, net) in enumerate(zip(plan.placed, plan.nets, strict=True), 1):
        middle, radius = _on_metal(
            net,
            [(copy.point(mark.centre), max(0.5 * mark.diameter_mm, unit)) for mark in parts[copy.part].plan.drilled],
        )
        fits = [w for w in (f"{n} {parts[copy.part].name}", str(n)) if text_width(w, _NAME) * unit <= 1.9 * radius]
        # the number alone stands beside a piece that is too narrow for it
        place = centred(fits[0], middle, _NAME, tag="name") if fits else tied(str(n), middle, _NAME, tag="name")
        items.append(place)
    return Figure(tuple(items), whole)


def _name(text: str, net: Region, tallest_mm: float) -> Note:
    """Return a name in the middle of the metal of a piece, small enough to stay on it."""
    middle, radius = _on_metal(net)
    height = min(tallest_mm, 0.06 * net.box.height + 2.0, 1.8 * radius / (_LETTER * len(text)))
    return Note(text, Point(middle.x - 0.5 * _LETTER * len(text) * height, middle.y - 0.5 * height), height)


def _on_metal(net: Region, marks: Sequence[tuple[Point, float]] = ()) -> tuple[Point, float]:
    """The middle of the largest circle in the metal of a piece and beside round marks on it, and its radius [mm]."""
    from shapely import get_coordinates, maximum_inscribed_circle, points, union_all

    drilled = union_all([points(*centre).buffer(radius) for centre, radius in marks])
    free = cast("Polygon | MultiPolygon", to_shapely(net, 0.1).difference(drilled))
    (x, y), (u, v) = get_coordinates(maximum_inscribed_circle(free, tolerance=0.5))
    return Point(float(x), float(y)), float(hypot(u - x, v - y))
