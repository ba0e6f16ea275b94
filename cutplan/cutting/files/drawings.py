"""What goes into the two drawing files of the plate: the net shape, and the path of the torch centre.

Both say in a notes layer which of the two they are, so that the kerf is taken off once and only once.
"""

from __future__ import annotations

from cutplan.cutting.path.tidy import without_short_segments
from cutplan.cutting.result import CutPlan, Drilled
from cutplan.files.dxf.sketch import Note, SketchLayer
from cutplan.geometry.contour import Contour, rectangle
from cutplan.geometry.vector import Box, Point
from cutplan.pattern.job import Job
from cutplan.tables.cut_process import process_word
from cutplan.texts import Message, inch_or_mm, name, say, together

#: Side of the reference square [mm]: exact, to check the scale after loading.
SQUARE_MM = 100.0
#: Length of the lines of a drill mark [mm].
CROSS_MM = 6.0
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
    holes = tuple(without_short_segments(h)[0] for h in plan.net.holes)
    outline = without_short_segments(plan.net.outer)[0]
    lines = [
        say("NET: the shape wanted, kerf NOT taken off"),
        say("saw outside the line: kerf {kerf}", kerf=_kerf(plan))
        if plan.by_hand
        else say("let the table compensate: kerf {kerf}", kerf=_kerf(plan)),
    ]
    layers = [
        SketchLayer("net inner", contours=holes, colour=3),
        SketchLayer("net outer", contours=(outline,), colour=7),
    ]
    return (*layers, *_common(job, plan, lines))


def path_layers(job: Job, plan: CutPlan) -> tuple[SketchLayer, ...]:
    """Return the layers of ``plate-path.dxf``: the torch centre with leads, for a table that does not compensate.

    Each cut is one line in the direction of travel, from the pierce over the lead-in once round to the lift, and the
    cuts stand in their order: inner ones first. A path led by hand is a closed line without leads.

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
        inner = tuple(p.contour for p in plan.paths if p.inner)
        outer = tuple(p.contour for p in plan.paths if not p.inner)
        layers = [
            SketchLayer("saw line inner", contours=inner, colour=3),
            SketchLayer("saw line outer", contours=outer),
        ]
        return (*layers, *_common(job, plan, lines))
    if plan.compensated:
        lines = [
            say("PATH: middle of the torch, kerf {kerf} taken off", kerf=_kerf(plan)),
            say("turn the table's own kerf compensation OFF"),
        ]
    else:
        lines = [
            say("PATH on the net line, kerf NOT taken off on purpose (trial piece)"),
            say("turn the table's own kerf compensation OFF"),
        ]
    layers = [
        SketchLayer("path inner", chains=tuple(p.segments for p in plan.paths if p.inner), colour=3),
        SketchLayer("path outer", chains=tuple(p.segments for p in plan.paths if not p.inner), colour=7),
    ]
    return (*layers, *_common(job, plan, lines))


#: Words for where a kerf comes from.
_ORIGIN = {"shop": say("measured"), "job": say("stated"), "table": say("table value, not measured")}


def _kerf(plan: CutPlan) -> Message:
    return say("{kerf} ({origin})", kerf=inch_or_mm(plan.kerf_mm, 2), origin=_ORIGIN[plan.kerf.origin])


def _common(job: Job, plan: CutPlan, first_lines: list[Message]) -> tuple[SketchLayer, ...]:
    """Drill marks, notes and the reference square: on layers that are not cut."""
    box = _drawn(plan)
    height = max(2.5, min(5.0, box.diagonal / 80.0))
    plate = job.plate
    lines = [
        *first_lines,
        say("{title}, revision {revision}", title=name(job.title), revision=name(job.revision))
        if job.title
        else say("revision {revision}", revision=name(job.revision)),
        say(
            "unit mm, drawn 1:1, thickness {thickness}, steel {steel}, quantity {quantity}",
            thickness=inch_or_mm(plan.thickness_mm, None),
            steel=name(plate.steel),
            quantity=plate.quantity,
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
    layers = [SketchLayer("notes not cut", notes=notes, colour=8)]
    if plan.drilled:
        layers.insert(
            0,
            SketchLayer(
                "drill marks",
                points=tuple(d.centre for d in plan.drilled),
                colour=1,
                cross_mm=CROSS_MM,
            ),
        )
    if job.cutting.reference_square:
        square, label = _square(box, height)
        layers.append(SketchLayer("reference not cut", contours=(square,), notes=(label,), colour=8))
    return tuple(layers)


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
        lines.append(say("and {count} more holes to drill, see the job sheet", count=len(drilled) - LISTED))
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
