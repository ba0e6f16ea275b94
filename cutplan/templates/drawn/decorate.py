"""What a layout shows beside the template's own lines: crosses, slits, labels, tape, folds, seams, distances to check."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from cutplan.drawing.model import Item, Stroke
from cutplan.findings import Finding
from cutplan.templates.drawn.check_crosses import Check
from cutplan.templates.drawn.grounds import whole_room
from cutplan.templates.drawn.seam_notes import block_band, fold_note, seam_notes
from cutplan.templates.drawn.written import MANNERS, QUICK, Written, written
from cutplan.templates.tiling.layout import Layout
from cutplan.templates.tiling.registration import Registration, mark_items
from cutplan.texts import ENGLISH, Message, Reader, every, name, plural, say

#: Most names that one finding tells.
_TOLD = 8


@dataclass(frozen=True, slots=True)
class Decor:
    """Items in layout coordinates, items for single sheets, the distances to check and what found no room.

    ``plain`` tells that everything is written in the best manner.
    """

    items: tuple[Item, ...]
    by_sheet: tuple[tuple[Item, ...], ...]
    checks: tuple[Check, ...]
    findings: tuple[Finding, ...]
    plain: bool


def decorate(
    layout: Layout,
    drawn: tuple[Stroke, ...],
    marks: tuple[Registration, ...],
    overlap_mm: float,
    next_check: int,
    read: Reader = ENGLISH,
    *,
    quick: bool = False,
) -> Decor:
    """Return all that is added to the templates of a layout.

    Parameters
    ----------
    layout : Layout
        Templates on their sheets.
    drawn : tuple of Stroke
        Crosses, slits and folds, from :func:`cutplan.templates.drawn.aids.aids`.
    marks : tuple of Registration
        Registration marks of the seams.
    overlap_mm : float
        Overlap of neighbouring sheets [mm].
    next_check : int
        Number of the set's next check cross.
    read : Reader
        Language of what is written, and the units in which distances to check are round.
    quick : bool
        Whether it is enough to see if there is room for all words.
    """
    lang = read.language
    items: list[Item] = list(drawn)
    for mark in marks:
        items += mark_items(mark, layout.seams[mark.seam])
    strokes = [s for p in layout.placed for s in p.template.lines]
    room = whole_room(layout, [*strokes, *(i for i in items if isinstance(i, Stroke))], items)
    by_sheet: list[list[Item]] = [[] for _ in layout.sheets]
    for k, seam in enumerate(layout.seams):
        along = sorted(m.at.y if seam.upright else m.at.x for m in marks if m.seam == k)
        seam_notes(seam, along, layout, room, by_sheet, lang)
    for seam in layout.seams:
        block_band(seam, 0.5 * overlap_mm + 0.5, room)
    for stroke in [i for i in items if isinstance(i, Stroke) and i.tag == "fold"]:
        items += fold_note(stroke, room, lang)
    found: list[Written] = []
    for p in layout.placed:
        own = written(p.template, layout, room, next_check, read, QUICK if quick else MANNERS)
        next_check += len({n for c in own.checks for n in (c.start, c.end)})
        items += own.items
        found.append(own)
    checks = tuple(c for own in found for c in own.checks)
    plain = all(own.plain for own in found)
    return Decor(tuple(items), tuple(tuple(b) for b in by_sheet), checks, tuple(_wanting(layout, found)), plain)


def _wanting(layout: Layout, found: list[Written]) -> Iterator[Finding]:
    """Findings for words and labels that stand nowhere, or on paper that is cut off."""
    for placed, own in zip(layout.placed, found, strict=True):
        if own.crowded:
            yield Finding(
                "label-no-room",
                "note",
                say("no room for all words and arrows of a template"),
                say("{template}", template=name(placed.template.name)),
                say("the title of its sheet names it; write the rest by hand"),
            )
    lost = [label for own in found for label in own.lost]
    if lost:
        yield Finding(
            "hole-label-no-room",
            "note",
            plural(
                "no room for the label of 1 hole or bend", "no room for {count} labels of holes or bends", len(lost)
            ),
            _named(lost),
            say("read their names in the job sheet"),
        )
    trimmed = [words for own in found for words in own.trimmed]
    if trimmed:
        yield Finding(
            "label-on-waste",
            "note",
            say("words of a template stand on paper that is cut off: there is no room inside its line"),
            _named(trimmed),
            say("copy them onto the plate before you cut the paper"),
        )


def _named(words: list[str]) -> Message:
    return say("{names}", names=every([*words[:_TOLD], *(["..."] if len(words) > _TOLD else [])]))
