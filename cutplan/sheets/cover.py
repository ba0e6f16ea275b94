"""First pages of the job sheet: what is made, the key figures, what to look at first, and the cautions."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from cutplan.drawing.font import text_width
from cutplan.drawing.layout import filled, frame, paragraph
from cutplan.drawing.model import Pen, Text
from cutplan.findings import Finding, by_severity
from cutplan.geometry.vector import Box, Point
from cutplan.pattern.directions import view
from cutplan.report.key_figures import key_figures
from cutplan.sheets.cautions import cautions
from cutplan.sheets.page import BODY, CELL, SMALL, Builder, sentence
from cutplan.sheets.pictures import place
from cutplan.sheets.plate.plate_drawing import plate_figure
from cutplan.sheets.results import Results
from cutplan.sheets.sign_off import SIGN_MM, signoff
from cutplan.texts import Message, Reader, say
from cutplan.texts.values import Listing, Value

#: At most so many findings stand on the cover; all are in the report.
_MOST_FINDINGS = 5
#: Width of a caution's name [mm].
_CAUTION_NAME = 36.0
#: A lower picture shows nothing at arm's length [mm].
_LEAST_PICTURE_MM = 55.0
#: The same above the signatures: they have room on the next page as a rule [mm].
_BESIDE_SIGNED_MM = 75.0
#: A lower one has no room for names of holes and pads [mm].
_NAMED_PICTURE_MM = 60.0


def cover(b: Builder, results: Results, findings: Sequence[Finding]) -> bool:
    """Write the cover and return whether it had room for the signatures."""
    job = results.job
    b.page("cover.title")
    items, b.y = paragraph(job.about.title, b.left, b.y, b.wide, 8.5, bold=True, tag="job-title")
    b.add(*items)
    b.skip(2.0)
    rows = [
        (b.say("cover.area"), job.about.area or b.say("cover.not_given")),
        (b.say("cover.revision"), f"{job.about.revision}   {job.about.date}".rstrip()),
        (
            b.say("cover.source"),
            " · ".join(t for t in (job.origin.source, job.origin.drawing) if t) or b.say("cover.not_given"),
        ),
        (b.say("cover.shop"), results.shop.source or b.say("cover.no_shop")),
    ]
    seen = view(job.marks)
    if seen is not None:
        read = Reader(b.lang, job.shown.display)
        rows.insert(1, (read(say("View")), read(seen.words)))
    if job.about.note:
        rows.append((b.say("cover.note"), job.about.note))
    first = max(text_width(label, CELL, bold=True) for label, _ in rows) + 4.0
    for label, value in rows:
        b.add(Text(label, Point(b.left, b.y - 0.8 * CELL), CELL, bold=True, tag="label"))
        items, below = paragraph(value, b.left + first, b.y, b.wide - first, CELL)
        b.add(*items)
        b.y = below - 1.6
    b.skip(2.0)
    _figures(b, results)
    _look(b, findings)
    # cautions come next, on page 2 where that can be: there the signatures stand where the picture takes their room
    picture = b.room >= _LEAST_PICTURE_MM + 2.0
    signed = b.room >= SIGN_MM + (_BESIDE_SIGNED_MM + 4.0 if picture else 0.0)
    tall = min(b.room - (SIGN_MM if signed else 0.0) - 2.0, 110.0)
    if picture:
        # a small picture shows the shape alone: names would cover it
        room = tall >= _NAMED_PICTURE_MM
        place(b, plate_figure(job, pads=room, names=room, short=True), tall)
    if signed:
        signoff(b)
    return signed


def _figures(b: Builder, results: Results) -> None:
    """Three key figures side by side, large."""
    found = key_figures(results, b.lang)
    if not found:
        return
    gap = 4.0
    wide = (b.wide - gap * (len(found) - 1)) / len(found)
    cells = []
    for i, (label, value, below) in enumerate(found):
        x = b.left + i * (wide + gap)
        size = min(8.0, 8.0 * (wide - 6.0) / max(text_width(value, 8.0, bold=True), 1.0))
        head, y = paragraph(label, x + 3.0, b.y - 3.0, wide - 6.0, CELL)
        big = Text(value, Point(x + 3.0, y - 9.0), size, bold=True, tag="key-figure")
        foot, low = paragraph(below, x + 3.0, y - 13.0, wide - 6.0, SMALL)
        cells.append((x, (*head, big, *foot), low))
    low = min(c[2] for c in cells) - 1.0
    for x, items, _ in cells:
        b.add(filled(Box(x, low, x + wide, b.y), "#f2f2f2", "box", Pen(0.5)), *items)
    b.y = low - 5.0


def unsourced(text: Message | str) -> Message | str:
    """Return a message with its sources left to the report: no maker's page stands on the bench."""
    if isinstance(text, str):
        return text
    return replace(text, values=tuple((k, _unsourced_value(k, v)) for k, v in text.values))


def _unsourced_value(key: str, value: Value) -> Value:
    """A source is left out by its name, in whatever message it stands."""
    if key == "source":
        return say("source: see the report")
    if isinstance(value, Message):
        return replace(value, values=tuple((k, _unsourced_value(k, v)) for k, v in value.values))
    if isinstance(value, Listing):
        return replace(value, items=tuple(_unsourced_value("", v) for v in value.items))
    return value


def _look(b: Builder, findings: Sequence[Finding]) -> None:
    """Errors and warnings, worst first."""
    serious = [f for f in by_severity(findings) if f.severity != "note"]
    if not serious:
        return
    b.heading(b.say("cover.look", count=len(serious)))
    for f in serious[:_MOST_FINDINGS]:
        b.tick(" ".join(sentence(b.read(unsourced(t))) for t in (f.message, f.fix) if t), size=CELL)
    more = len(serious) - _MOST_FINDINGS
    if more > 0:
        b.para(b.say("cover.look_one" if more == 1 else "cover.look_more", count=more), CELL)


def cautions_page(b: Builder, results: Results) -> None:
    """Write the cautions on a page of their own; every box is to be ticked before work starts."""
    b.page("caution.title", need_mm=b.full)
    b.cautions_here()
    b.para(b.say("caution.lead"), BODY)
    for words in cautions(results.job, b.lang, results.opening):
        name, _, rest = words.partition(": ")
        top = b.y
        b.add(frame(Box(b.left, top - 5.5, b.left + 5.5, top), Pen(0.5), "tick"))
        head, below = paragraph(name, b.left + 8.0, top, _CAUTION_NAME, CELL, bold=True, tag="caution-name")
        x = b.left + 9.0 + _CAUTION_NAME
        body, low = paragraph(rest[:1].upper() + rest[1:], x, top, b.right - x, CELL)
        b.add(*head, *body)
        b.y = min(below, low, top - 6.0) - 2.2
