"""Closed outlines that may be read in two ways: letters, countersinks, boxes around a text, openings nobody can see."""

from __future__ import annotations

from dataclasses import dataclass

from cutplan.files.layer_words import marks_only
from cutplan.files.outline.account import Aside
from cutplan.files.outline.judged.border import concentric, is_rectangle
from cutplan.files.outline.judged.lettering import words_of
from cutplan.files.outline.loops import Loop
from cutplan.files.outline.nesting import Nest
from cutplan.files.outline.sheet import Sheet
from cutplan.files.reading_options import LAYERS, REPAIR
from cutplan.files.repair import Repair
from cutplan.findings import Finding
from cutplan.texts import Message, mm, place, plural, say

_LETTERS = say("lettering")
_STEP = say("countersink or step of a hole")
_RING = say("circle around holes")
#: Round openings up to this size with a text in them may be the balloons of item numbers [mm].
_BALLOON_MM = 20.0


@dataclass(frozen=True, slots=True)
class Answered:
    """What is left of a nest (None: all of it), findings, and what was left aside."""

    loops: list[Loop] | None
    findings: list[Finding]
    asides: list[Aside]


def two_readings(tree: Nest, repair: Repair, sheet: Sheet) -> Answered:
    """Return the findings about outlines that may be read in two ways; repair takes the reading that removes less metal.

    Naming the layers to be cut states that all on them is cut; then these are only warnings.
    """
    gone: dict[int, Message] = {}
    findings = _letters(tree, repair, sheet.stated, gone) + _steps(tree, repair, sheet.stated, gone)
    findings += _rings(tree, repair, sheet.stated, gone) + _text_boxes(tree, sheet) + _unseen(tree, sheet)
    if not gone:
        return Answered(None, findings, [])
    asides = [Aside(tree.loops[i].xy, tree.loops[i].bulge, "left_aside", why) for i, why in sorted(gone.items())]
    return Answered([loop for i, loop in enumerate(tree.loops) if i not in gone], findings, asides)


def _letters(tree: Nest, repair: Repair, stated: bool, gone: dict[int, Message]) -> list[Finding]:
    found = words_of(tree)
    if not found:
        return []
    letters = [i for word in found for i in word]
    in_plate = any(tree.depth[i] % 2 for i in letters)
    inside = tree.children()
    islands = in_plate and any(inside[i] for i in letters)  # the eye of a letter that is cut through falls out
    where = _place(tree.loops[letters[0]])
    count = len(letters)
    marks = all(marks_only(tree.loops[i].layer) for i in letters) and not stated
    if marks or repair.takes("lettering", where):
        gone.update(dict.fromkeys([*letters, *(j for i in letters for j in inside[i])], _LETTERS))
        message = plural("{count} outline that looks like lettering was left aside",
                         "{count} outlines that look like lettering were left aside", count)  # fmt: skip
        return [Finding("lettering", "warning", message, where,
                        say("its layer is one of marks") if marks else say("left out by repair"), True)]  # fmt: skip
    if in_plate:
        message = plural("{count} opening of the plate looks like lettering: cut through, or only a mark?",
                         "{count} openings of the plate look like lettering: cut through, or only marks?", count)  # fmt: skip
    else:
        message = plural("{count} outline beside the plate looks like lettering and was read as a part",
                         "{count} outlines beside the plate look like lettering and were read as parts", count)  # fmt: skip
    hint = say(
        "delete it, or use {repair} to leave it aside; name the layers to cut with {layers} if it is cut",
        repair=REPAIR,
        layers=LAYERS,
    )
    return [Finding("lettering", "error" if islands and not stated else "warning", message, where, hint)]


def _steps(tree: Nest, repair: Repair, stated: bool, gone: dict[int, Message]) -> list[Finding]:
    """Return the finding about plain discs in round holes of the same centre: countersinks are drawn like that."""
    inside = tree.children()
    discs = [
        i
        for i, loop in enumerate(tree.loops)
        if tree.depth[i] >= 2 and tree.depth[i] % 2 == 0 and concentric(loop, tree.loops[tree.parent[i]])
    ]
    bare = [i for i in discs if not inside[i] and len(inside[tree.parent[i]]) == 1]
    if not discs:
        return []
    first = tree.loops[(bare or discs)[0]]
    around = tree.loops[tree.parent[(bare or discs)[0]]]
    assert first.circle is not None and around.circle is not None
    small, large = mm(2.0 * first.circle[2], None), mm(2.0 * around.circle[2], None)
    if bare and repair.takes("disc-in-hole", _place(first)):
        gone.update(dict.fromkeys([tree.parent[i] for i in bare], _STEP))
        message = plural("a circle of {large} around a hole of {small} was taken for a countersink and left aside",
                         "{count} circles around holes, the first of {large} around {small}, were taken for "
                         "countersinks and left aside", len(bare), small=small, large=large)  # fmt: skip
        return [Finding("disc-in-hole", "warning", message, _place(first), say("the smaller circle is cut"), True)]
    message = plural("a round part of {small} lies in a round hole of {large} of the same centre: either a countersink "
                     "or step, where {small} is cut, or a disc cut from the waste of the hole",
                     "{count} round parts lie in round holes of the same centre, the first {small} in {large}: either "
                     "countersinks or steps, where the smaller ones are cut, or discs cut from the waste of the holes",
                     len(bare or discs), small=small, large=large)  # fmt: skip
    hint = say("delete the circles that are not cut through, or use {repair} to cut the smaller ones; "
               "name the layers to cut with {layers} if both are cut", repair=REPAIR, layers=LAYERS)  # fmt: skip
    return [Finding("disc-in-hole", "error" if bare and not stated else "warning", message, _place(first), hint)]


def _rings(tree: Nest, repair: Repair, stated: bool, gone: dict[int, Message]) -> list[Finding]:
    """Return the finding about circles around holes: a face or an aid drawn as a plain circle makes parts of the holes."""
    inside = tree.children()
    rings = [
        i
        for i, loop in enumerate(tree.loops)
        if tree.depth[i] % 2
        and loop.circle is not None
        and inside[i]
        and not any(inside[k] for k in inside[i])
        and not all(concentric(tree.loops[k], loop) for k in inside[i])
    ]
    if not rings:
        return []
    first = tree.loops[rings[0]]
    assert first.circle is not None
    across, count = mm(2.0 * first.circle[2], None), len(inside[rings[0]])
    if repair.takes("circle-around-holes", _place(first)):
        gone.update(dict.fromkeys(rings, _RING))
        message = plural("a circle of {across} around holes was left aside",
                         "{count} circles around holes were left aside, the first of {across}", len(rings),
                         across=across)  # fmt: skip
        return [
            Finding(
                "circle-around-holes", "warning", message, _place(first), say("what is in it is cut as holes"), True
            )
        ]
    message = plural("a circle of {across} lies around a plain outline: either a face or an aid, and that is a hole, "
                     "or an opening, and that is a part cut from its waste",
                     "a circle of {across} lies around {count} plain outlines: either a face or an aid, and they are holes, "
                     "or an opening, and they are parts cut from its waste", count, across=across)  # fmt: skip
    hint = say("delete the circle if it is not cut, or use {repair} to leave it aside; "
               "name the layers to cut with {layers} if all is cut", repair=REPAIR, layers=LAYERS)  # fmt: skip
    return [Finding("circle-around-holes", "warning" if stated else "error", message, _place(first), hint)]


def _text_boxes(tree: Nest, sheet: Sheet) -> list[Finding]:
    """Return the warning about sharp rectangles and small circles with a text in them: boxes and balloons of notes."""
    found = []
    for i, loop in enumerate(tree.loops):
        if tree.depth[i] % 2 and sheet.texts:
            small = loop.circle is not None and 2.0 * loop.circle[2] <= _BALLOON_MM
            x0, y0, x1, y1 = loop.box
            if (small or is_rectangle(loop)) and any(x0 <= x <= x1 and y0 <= y <= y1 for x, y in sheet.texts):
                found.append(loop)
    if not found:
        return []
    message = plural("a box or circle with text in it was read as an opening of the plate",
                     "{count} boxes or circles with text in them were read as openings of the plate", len(found))  # fmt: skip
    hint = say("delete it if it is only drawn around a note")
    return [Finding("text-in-opening", "warning", message, _place(found[0]), hint)]


def _unseen(tree: Nest, sheet: Sheet) -> list[Finding]:
    """Return the warning about openings painted in the colour of the plate: nobody sees them in the drawing."""
    found = []
    for i, loop in enumerate(tree.loops):
        if tree.depth[i] % 2 == 0:
            continue
        around = tree.loops[tree.parent[i]]
        colour = sheet.paints.get(loop.where)
        if colour is not None and around.where != loop.where and sheet.paints.get(around.where) == colour:
            found.append(loop)
    if not found:
        return []
    message = plural("an opening is painted in the colour of the plate around it and cannot be seen",
                     "{count} openings are painted in the colour of the plate around them and cannot be seen",
                     len(found))  # fmt: skip
    hint = say("delete it if it is no opening")
    return [Finding("opening-unseen", "warning", message, _place(found[0]), hint)]


def _place(loop: Loop) -> Message:
    x0, y0, x1, y1 = loop.box
    return say("{at}; {what}", at=place(0.5 * (x0 + x1), 0.5 * (y0 + y1), 3), what=loop.where.said())
