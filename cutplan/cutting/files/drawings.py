"""What goes into the two drawing files of the plate: the net shape, and the path of the torch centre.

Both say in a notes layer which of the two they are, so that the kerf is taken off once and only once.
"""

from __future__ import annotations

from cutplan.cutting.files.classes import class_layer, class_lines
from cutplan.cutting.path.moves import moves_of, slow_chains
from cutplan.cutting.path.tidy import without_short_segments
from cutplan.cutting.result import CutPath, CutPlan, Drilled
from cutplan.files.dxf.sketch import Note, SketchLayer
from cutplan.geometry.contour import Contour, rectangle
from cutplan.geometry.vector import Box, Point
from cutplan.pattern.job import Job
from cutplan.tables.cutting.cut_process import process_word
from cutplan.texts import Message, inch_or_mm, name, plural, say, together
from cutplan.tolerance import SHORTEST_CUT_MM

#: Side of the reference square [mm]: exact, to check the scale after loading.
SQUARE_MM = 100.0
#: Shortest and longest lines of a drill mark [mm].
CROSS_MM = 6.0
MOST_CROSS_MM = 25.0
#: Lines of the drill list beyond which the rest is left to the job sheet.
LISTED = 40
_GAP_MM = 15.0


def net_layers(job: Job, plan: CutPlan) -> tuple[SketchLayer, ...]:
    """Return the layers of ``plate-net.dxf``: the shape wanted, for a table that compensates its own kerf.

    Parameters
    ----------
    job : Job
        Plate, quantity and wishes.
    plan : CutPlan
        What is cut and what is drilled.
    """
    outline, off = without_short_segments(plan.net.outer)
    offs = [off]
    slow = {p.name for p in plan.paths if p.inner and p.speed_share < 1.0}
    layers: list[SketchLayer] = []
    for hole in plan.cut_holes:
        edge, off = without_short_segments(hole.contour)
        offs.append(off)
        name_ = "net slow holes" if hole.name in slow else "net openings"
        layers.append(SketchLayer(name_, contours=(edge,), colour=6 if hole.name in slow else 3))
    layers.append(SketchLayer("net outline", contours=(outline,), colour=7))
    lines = [
        say("NET: the shape wanted, kerf NOT taken off"),
        say("saw outside the line: kerf {kerf}", kerf=_kerf(plan))
        if plan.by_hand
        else say("let the table compensate: kerf {kerf}", kerf=_kerf(plan)),
    ]
    if max(offs) > 0.0:
        lines.append(
            say(
                "steps shorter than {least} were bridged: the line moved by up to {off}",
                least=inch_or_mm(SHORTEST_CUT_MM, None),
                off=inch_or_mm(max(offs), 4),
            )
        )
    return (*layers, *common_layers(job, plan, lines, _drawn(plan)))


def path_layers(job: Job, plan: CutPlan) -> tuple[SketchLayer, ...]:
    """Return the layers of ``plate-path.dxf``: the torch centre with leads, for a table that does not compensate.

    Each cut is one line in the direction of travel, from the pierce over the lead-in once round to the lift, on the layer
    of its class, and the cuts stand in their order: inner ones first. A path led by hand is a closed line without leads.

    Parameters
    ----------
    job : Job
        Plate, quantity and wishes.
    plan : CutPlan
        Paths in order.
    """
    if plan.by_hand:
        lines = [
            say(
                "SAW LINE: middle of the {process}, kerf {kerf} taken off",
                process=process_word(plan.process),
                kerf=_kerf(plan),
            ),
            say("do not move it again"),
        ]
        layers = [
            SketchLayer(
                "saw line openings" if p.inner else "saw line outline", contours=(p.contour,), colour=_colour(p)
            )
            for p in plan.paths
        ]
        return (*layers, *common_layers(job, plan, lines, _drawn(plan)))
    if plan.compensated:
        lines = [say("PATH: middle of the torch, kerf {kerf} taken off", kerf=_kerf(plan))]
    else:
        lines = [say("PATH on the net line, kerf NOT taken off on purpose (trial piece)")]
    lines.append(say("turn the table's own kerf compensation OFF"))
    layers = [SketchLayer(class_layer(p), chains=(p.segments,), colour=_colour(p)) for p in plan.paths]
    slow = tuple(c for p in plan.paths for c in slow_chains(moves_of(p, plan.process)))
    if slow:
        layers.append(SketchLayer("slow spans not cut", chains=slow, colour=2))
    lines.extend(class_lines(plan, job))
    return (*layers, *common_layers(job, plan, lines, _drawn(plan)))


def _colour(path: CutPath) -> int:
    if not path.inner:
        return 7
    return 6 if path.speed_share < 1.0 else 3


#: Words for where a kerf comes from.
_ORIGIN = {"shop": say("measured"), "job": say("stated"), "table": say("table value, not measured")}


def _kerf(plan: CutPlan) -> Message:
    return say("{kerf} ({origin})", kerf=inch_or_mm(plan.kerf_mm, 2), origin=_ORIGIN[plan.kerf.origin])


def common_layers(job: Job, plan: CutPlan, first_lines: list[Message], box: Box) -> tuple[SketchLayer, ...]:
    """Return drill marks, names of holes, notes and the reference square: on layers that are not cut."""
    height = max(2.5, min(5.0, box.diagonal / 80.0))
    plate = job.plate
    lines = [
        *first_lines,
        say("{title}, revision {revision}", title=name(job.about.title), revision=name(job.about.revision))
        if job.about.title
        else say("revision {revision}", revision=name(job.about.revision)),
        say(
            "unit mm, drawn 1:1, thickness {thickness}, steel {steel}, quantity {quantity}",
            thickness=inch_or_mm(plan.thickness_mm, None),
            steel=name(plate.steel),
            quantity=job.plates_to_cut,
        ),
        say(
            "process {process}; net size {width} x {height}",
            process=process_word(plan.process),
            width=inch_or_mm(plan.net.box.width, 2),
            height=inch_or_mm(plan.net.box.height, 2),
        ),
        *_drill_lines(plan.drilled),
    ]
    top = box.ymin - _GAP_MM
    notes = tuple(Note(line, Point(box.xmin, top - (k + 1) * 1.6 * height), height) for k, line in enumerate(lines))
    layers = [
        SketchLayer("drill marks not cut", points=(d.centre,), colour=1, cross_mm=_cross_mm(d.diameter_mm))
        for d in plan.drilled
    ]
    called = _hole_names(plan, height)
    if called:
        layers.append(SketchLayer("names not cut", notes=called, colour=8))
    layers.append(SketchLayer("notes not cut", notes=notes, colour=8))
    if job.cutting.reference_square:
        square, label = _square(box, height)
        layers.append(SketchLayer("reference not cut", contours=(square,), notes=(label,), colour=8))
    return tuple(layers)


def _cross_mm(diameter_mm: float) -> float:
    """Length of the lines of a drill mark: a little over the hole, but no more than a centre punch needs to be found."""
    return max(CROSS_MM, min(1.25 * diameter_mm, MOST_CROSS_MM))


def _hole_names(plan: CutPlan, height_mm: float) -> tuple[Note, ...]:
    """The name of each hole beside it: in a hole that is large enough, else to the right of it."""
    notes: list[Note] = []
    for hole in plan.cut_holes:
        box = hole.contour.box
        tall = min(height_mm, max(1.5, 0.3 * box.height))
        wide = 0.8 * tall * len(hole.name)
        inside = wide < 0.6 * box.width and tall < 0.4 * box.height
        at = (
            Point(hole.centre.x - 0.5 * wide, hole.centre.y - 0.5 * tall)
            if inside
            else Point(box.xmax + 0.5 * tall, hole.centre.y - 0.5 * tall)
        )
        notes.append(Note(hole.name, at, tall))
    for mark in plan.drilled:
        tall = min(height_mm, max(1.5, 0.4 * mark.diameter_mm))
        reach = 0.5 * _cross_mm(mark.diameter_mm)
        notes.append(Note(mark.name, Point(mark.centre.x + reach + 0.4 * tall, mark.centre.y + 0.3 * tall), tall))
    return tuple(notes)


def _drill_lines(drilled: tuple[Drilled, ...]) -> list[Message]:
    lines = []
    for d in drilled[:LISTED]:
        parts: list[Message | str] = [
            say(
                "{hole}: {how} {size} at {place}",
                hole=name(d.name),
                how=d.how,
                size=inch_or_mm(d.diameter_mm),
                place=name(f"{d.centre.x:.2f}, {d.centre.y:.2f}"),
            )
        ]
        if d.pilot_mm:
            parts.append(say("pilot {size}", size=inch_or_mm(d.pilot_mm, None)))
        if d.fit:
            parts.append(d.fit)
        lines.append(together(*parts, sep=", "))
    if len(drilled) > LISTED:
        lines.append(
            plural(
                "and {count} more hole to drill, see the job sheet",
                "and {count} more holes to drill, see the job sheet",
                len(drilled) - LISTED,
            )
        )
    if lines:
        lines.insert(0, say("drill, do not cut:"))
    return lines


def _square(box: Box, height_mm: float) -> tuple[Contour, Note]:
    x = box.xmax + 2.0 * _GAP_MM
    square = rectangle(x, box.ymin, SQUARE_MM, SQUARE_MM)
    text = Note(say("100 x 100 mm, to check the scale"), Point(x + 5.0, box.ymin + 5.0), min(height_mm, 4.0))
    return square, text


def _drawn(plan: CutPlan) -> Box:
    box = plan.net.box
    for path in plan.paths:
        for s in path.segments:
            box = box.joined(s.box)
    return box
