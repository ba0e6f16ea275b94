"""The paper of an order of sheets: each sheet with its pieces by number, yield, remnant, how to load it, and the cautions."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from cutplan.cutting.nest.drawings import kerf_notes, sheet_figure, speaking, stock_notes
from cutplan.cutting.nest.parts import Part, Room, part_said
from cutplan.cutting.nest.sheet_plan import SheetPlan
from cutplan.drawing.model import Document, placed
from cutplan.drawing.placer.picture import set_texts
from cutplan.geometry.vector import Box
from cutplan.pattern.job import Job
from cutplan.pattern.shop import Shop
from cutplan.sheets.cautions import cautions
from cutplan.sheets.page import Builder
from cutplan.tables.at_most import at_most
from cutplan.texts import every, mm, number, plural, say, size

#: Height of texts with a box to tick over that of plain paragraphs, at most [1].
_TICKS = 1.25
#: Share of an empty page that the picture may take [-].
_PICTURE = 0.5


def nest_paper(plans: Sequence[SheetPlan], parts: Sequence[Part], room: Room, job: Job, shop: Shop) -> Document:
    """Return the paper of an order: one or more for each sheet, then the cautions.

    Parameters
    ----------
    plans : sequence of SheetPlan
        The sheets in their order.
    parts : sequence of Part
        What was wanted.
    room : Room
        Metal kept between pieces and along the edge.
    job : Job
        The first job: its language, units and paper.
    shop : Shop
        The calibration that its path was made with.
    """
    read = Builder(job, shop, job.shown.language).read
    title = read(
        say("several parts on one sheet: {parts}", parts=every(map(part_said, dict.fromkeys(p.name for p in parts))))
    )
    b = Builder(replace(job, about=replace(job.about, title=title)), shop, job.shown.language)
    for n, plan in enumerate(plans, 1):
        _sheet(b, n, len(plans), plan, parts, room)
    told = cautions(job, b.lang)
    b.page(say("Read before you cut"), need_mm=_TICKS * b.height_of(told))
    b.cautions_here()
    for words in told:
        b.tick(words)
    return Document(b.pages(), title, b.say("sheet.subject"), language=b.lang)


def _sheet(b: Builder, n: int, total: int, plan: SheetPlan, parts: Sequence[Part], room: Room) -> None:
    b.page(say("Sheet {n} of {total}", n=n, total=total), need_mm=1e6)
    stock = plan.stock.shape.box
    tall = min(_PICTURE * b.full, b.wide * stock.height / stock.width)
    picture = Box(b.left, b.y - tall, b.right, b.y)
    items, _ = placed(sheet_figure(plan, parts, b.wide), picture)
    b.add(*set_texts(items, picture))
    b.y = picture.ymin - 4.0
    told = [
        *stock_notes(plan, parts),
        say("{part} of the stock up to the last piece", part=number(100.0 * plan.used_to, "%", 1)),
        say("cut {cut}, moves without cutting {moves}", cut=mm(plan.cut_mm, 0), moves=mm(plan.rapid_mm, 0)),
        say("metal kept: {gap} between pieces, {border} along the edge", gap=mm(room.spacing_mm), border=mm(room.border_mm)),
        say("proved before it was written: bites {bite} into a piece at most", bite=at_most(plan.proof.bite_mm)),
    ]  # fmt: skip
    for facts, bold in ((kerf_notes(plan, parts), True), (told, False)):
        b.para(b.say(say("{facts}.", facts=every(facts, "; "))), bold=bold)
    _to_do(b, plan, parts)
    _places(b, plan, parts)


def _to_do(b: Builder, plan: SheetPlan, parts: Sequence[Part]) -> None:
    """What is done at the table, and what must be known before."""
    b.tick(b.say(say("Lay the stock with its left lower corner at the table's zero and clamp it along two edges.")))
    b.tick(b.say(say("Run the program once with the torch off and watch the corners of the stock.")))
    if plan.remnant is not None:
        b.tick(
            b.say(say("Keep the remnant: write the sheet's number on it; its drawing is given as stock the next time."))
        )
    first = speaking(plan, parts)
    drilled = sum(len(parts[p.part].plan.drilled) for p in plan.placed)
    if drilled:
        words = plural("{count} hole is only marked and drilled afterwards.",
                       "{count} holes are only marked and drilled afterwards.", drilled)  # fmt: skip
        b.tick(b.say(words))
    for finding in [f for f in (*plan.findings, *first.findings) if f.severity == "warning"][:6]:
        message = finding.message
        b.box(b.say(message) if not isinstance(message, str) else message)


def _places(b: Builder, plan: SheetPlan, parts: Sequence[Part]) -> None:
    """Every piece by its number, and where it lies."""
    stock = plan.stock.shape.box
    rows = [
        [b.say(word) for word in (say("no."), say("piece"), say("size"), say("turned"), say("left lower corner at"))]
    ]
    for k, (copy, net) in enumerate(zip(plan.placed, plan.nets, strict=True), 1):
        part = say("{part}", part=part_said(parts[copy.part].name))
        if copy.host >= 0:
            part = say("{part}, in a hole of no. {host}", part=part_said(parts[copy.part].name), host=copy.host + 1)
        box = net.box
        rows.append(
            [
                str(k),
                b.say(part),
                b.say(say("{size}", size=size(box.width, box.height))),
                b.say(say("{turn}", turn=number(copy.turn_deg, "deg", digits=0))),
                b.say(say("{x}, {y}", x=mm(box.xmin - stock.xmin), y=mm(box.ymin - stock.ymin))),
            ]
        )
    b.table(rows, [1.0, 4.4, 4.0, 1.5, 3.6], align=["left"] * 5)
