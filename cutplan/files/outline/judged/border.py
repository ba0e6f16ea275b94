"""Whether a rectangle around everything is the border of a drawing sheet and not the plate."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from cutplan.files.outline.judged.lettering import words_of
from cutplan.files.outline.loops import Loop
from cutplan.files.outline.nesting import Nest
from cutplan.files.outline.sheet import Sheet
from cutplan.files.reading_options import FRAME_BORDER, FRAME_PLATE, LAYERS
from cutplan.files.traces import Floats
from cutplan.findings import Finding
from cutplan.tables.paper import drawn_sheets_mm
from cutplan.texts import Message, every, plural, say, size
from cutplan.texts import name as named

_NAMES = re.compile(r"border|frame|title|sheet|format|rahmen|blatt|page|cadre", re.IGNORECASE)
_SCALES = (1.0, 2.0, 2.5, 5.0, 10.0, 20.0, 0.5, 0.2)
#: Usual margins between the cut edge of a sheet and its frame, on one side or summed over two [mm].
_MARGINS = (0.0, 10.0, 12.7, 15.0, 20.0, 25.0, 25.4, 30.0, 35.0)
#: Evidence from which a rectangle around parts is the border of a sheet without asking.
_CLEAR = 4.5
#: Evidence from which it is asked about although nothing in it looks like a part.
_ASKED = 3.0

#: Share of the rectangle from which an opening shaped like a plate may be the plate [-].
_LARGE = 0.05
#: Two rectangles closer than this are the edges of one line [mm].
_LEAST_MM = 0.5

#: Why a rectangle around everything is not cut.
SHEET = say("border or title block of the sheet")


@dataclass(frozen=True, slots=True)
class Bordered:
    """The loops that are left when a border and its title block are taken away."""

    loops: list[Loop]
    box: tuple[float, float, float, float] | None
    finding: Finding | None
    removed: Counter[Message]
    gone: list[Loop]


@dataclass(slots=True)
class _Evidence:
    """What speaks for a border: a score [-] and words; the rectangles of the frame, what they hold, which are parts."""

    score: float
    words: list[Message]
    frame: list[int]
    contents: list[int]
    parts: list[int]


def without_border(tree: Nest, sheet: Sheet, branched: bool) -> Bordered:
    """Return the loops without a sheet border, if the outermost rectangle is one.

    Evidence counted: a second rectangle close inside it, the size of a sheet, a layer named for it, text beside the
    parts, parts that have holes of their own, and lines of a title block that branch. A plain plate with holes has none
    of these, so it stays a plate. Where both readings are possible it is an error that shows both, until it is stated
    which one holds.
    """
    loops = tree.loops
    kept = Bordered(loops, None, None, Counter(), [])
    outer = loops[0]
    inside = tree.children()
    if tree.depth[0] != 0 or not is_rectangle(outer) or not _holds_all(tree, outer):
        return kept
    if any(2.0 * (outer.area - loops[k].area) < _LEAST_MM * (outer.length + loops[k].length) for k in inside[0]):
        return kept  # the two edges of one line
    places = np.array(sheet.texts, dtype=np.float64).reshape(-1, 2)
    stated = sheet.frame
    seen = _evidence(tree, inside, places, branched, outer.where in sheet.backs)
    if not seen.contents or stated == "plate":
        return kept
    kind = stated or _kind(seen, loops)
    if kind == "plate":
        return kept if seen.score < _ASKED else Bordered(loops, None, _maybe(outer, seen.words), Counter(), [])
    frames = [loops[f] for f in seen.frame]
    block = {k for k in seen.contents if is_rectangle(loops[k]) and _is_block(loops[k], frames, places)}
    gone = set(seen.frame) | block | {j for k in block for j in _below(k, inside)}
    if len(gone) == len(loops):
        return kept
    left = [loop for i, loop in enumerate(loops) if i not in gone]
    if kind == "question":
        return Bordered(loops, None, _question(tree, seen, gone), Counter(), [])
    removed = Counter({say("sheet border"): len(seen.frame)})
    if block:
        removed[say("title block")] = len(block)
    finding = _left_aside(outer, seen.words, stated == "border")
    return Bordered(left, outer.box, finding, removed, [loops[i] for i in sorted(gone)])


def _evidence(tree: Nest, inside: list[list[int]], places: Floats, branched: bool, painted: bool) -> _Evidence:
    """Return what speaks for the first loop being a border."""
    loops, outer = tree.loops, tree.loops[0]
    out = _Evidence(0.0, [], [0], [], [])

    def count(points: float, word: Message) -> None:
        out.score += points
        out.words.append(word)

    if painted:
        count(3.5, say("it is painted behind everything, as large as the page"))
    second = next((k for k in inside[0] if is_rectangle(loops[k]) and _close_inside(loops[k], outer)), None)
    if second is not None and len(inside[second]) + len(inside[0]) > 1:
        count(1.5, say("a second rectangle runs close inside it"))
        out.frame.append(second)
    if _sheet_size(outer):
        count(1.5, say("it has the size of a sheet of paper"))
    if _NAMES.search(outer.layer):
        count(2.0, say("its layer is called '{layer}'", layer=named(outer.layer)))
    letters = {i for word in words_of(tree) for i in word}
    out.contents = [k for f in out.frame for k in inside[f] if k not in out.frame and k not in letters]
    out.parts = [k for k in out.contents if any(not concentric(loops[j], loops[k]) for j in inside[k])]
    if second is not None:  # what lies in the opening of a ring is material again
        out.parts += [k for k in inside[second] if k not in out.parts and k not in letters]
    if any(_in_corner(loops[k], loops[f], places) for k in out.contents for f in out.frame):
        count(1.0, say("a rectangle with text stands in its corner"))
    beside = _in_box(places, outer.box)
    for k in out.parts:
        beside &= ~_in_box(places, loops[k].box)
    if int(beside.sum()) >= 2:
        count(1.5, say("text stands beside what it holds"))
    if out.parts:
        count(1.0, say("what it holds has holes of its own"))
    if branched:
        count(1.0, say("lines of a title block branch from it"))
    return out


def _kind(seen: _Evidence, loops: list[Loop]) -> str:
    """Return 'plate', 'border' or 'question'.

    Circles without anything in them are holes: no sheet holds discs beside its parts, so what is around them is a plate.
    """
    bare = any(loops[k].circle is not None and k not in seen.parts for k in seen.contents)
    if seen.parts:
        return "border" if seen.score >= _CLEAR and not bare else "question"
    if bare:
        return "plate"
    like_a_plate = any(_like_a_plate(loops[k], loops[0]) for k in seen.contents)
    return "question" if seen.score >= _ASKED or like_a_plate else "plate"


def _like_a_plate(loop: Loop, around: Loop) -> bool:
    """Return whether what lies in a rectangle is large and shaped like a plate, not like a window or a slot in one."""
    corners, turns, even = _shape_of(loop)
    window = (corners <= 4 and turns <= 4) or (turns == 0 and even)  # slots, windows with or without radii, hexagons
    return loop.circle is None and not window and loop.area >= _LARGE * around.area


def _shape_of(loop: Loop) -> tuple[int, int, bool]:
    """Return how many straight sides and how many arcs a loop has, however often each is cut, and if sides are even."""
    straight = loop.bulge == 0.0
    v = loop.xy[1:] - loop.xy[:-1]
    angle = np.arctan2(v[:, 1], v[:, 0])
    turn = np.abs((angle - np.roll(angle, 1) + np.pi) % (2.0 * np.pi) - np.pi)
    first = np.flatnonzero(straight & ~(np.roll(straight, 1) & (turn < 1e-4)))
    arcs = int(np.count_nonzero(~straight & np.roll(straight, 1)))
    corners = loop.xy[first]
    sides = np.hypot(*(np.roll(corners, -1, axis=0) - corners).T) if len(corners) else np.zeros(1)
    return len(first), arcs, bool(np.ptp(sides) <= 0.01 * sides.mean())


def concentric(inner: Loop, around: Loop) -> bool:
    """Return whether a loop is a circle about the centre of another circle: how countersinks are drawn."""
    if inner.circle is None or around.circle is None:
        return False
    return max(abs(a - b) for a, b in zip(inner.circle[:2], around.circle[:2], strict=True)) < 0.01


def _left_aside(outer: Loop, words: list[Message], stated: bool) -> Finding:
    x0, y0, x1, y1 = outer.box
    over_all = size(x1 - x0, y1 - y0, digits=None)
    if stated:
        message = say("a rectangle of {size} around everything is the border of the sheet, as stated", size=over_all)
        return Finding("border-left-aside", "note", message, outer.where.said())
    return Finding(
        "border-left-aside",
        "warning",
        say(
            "a rectangle of {size} around everything was taken for the border of the sheet: {why}",
            size=over_all,
            why=every(words, "; "),
        ),
        outer.where.said(),
        say("if it is the plate, state it with {plate}", plate=FRAME_PLATE),
    )


def _question(tree: Nest, seen: _Evidence, gone: set[int]) -> Finding:
    """Return the error that shows both readings of a rectangle around everything."""
    outer = tree.loops[0]
    x0, y0, x1, y1 = outer.box
    left = [i for i in range(len(tree.loops)) if i not in gone]
    parts = [i for i in left if sum(1 for j in _around(tree, i) if j not in gone) % 2 == 0]
    first = max(parts, key=lambda i: tree.loops[i].area)
    a0, b0, a1, b1 = tree.loops[first].box
    return Finding(
        "frame-or-plate",
        "error",
        say(
            "a rectangle around everything is either the plate, {size} with {holes}, or the border of the "
            "sheet around {parts}, the largest {part} ({why})",
            size=size(x1 - x0, y1 - y0, digits=None),
            holes=plural("{count} opening", "{count} openings", len(tree.children()[0])),
            parts=plural("{count} part", "{count} parts", len(parts)),
            part=size(a1 - a0, b1 - b0, digits=None),
            why=every(seen.words, "; ") if seen.words else say("nothing else tells"),
        ),
        outer.where.said(),
        say(
            "state which one with {plate} or {border}, or read only the plate's layer with {layers}",
            plate=FRAME_PLATE,
            border=FRAME_BORDER,
            layers=LAYERS,
        ),
    )


def _around(tree: Nest, i: int) -> list[int]:
    """Return the loops around a loop, the closest first."""
    out: list[int] = []
    while tree.parent[i] >= 0:
        i = tree.parent[i]
        out.append(i)
    return out


def _maybe(outer: Loop, words: list[Message]) -> Finding:
    """Return the warning for a rectangle that was read as the plate though it may be the border of a sheet."""
    x0, y0, x1, y1 = outer.box
    return Finding(
        "border-or-plate",
        "warning",
        say(
            "a rectangle of {size} around everything was read as the plate, though {why}",
            size=size(x1 - x0, y1 - y0, digits=None),
            why=every(words, "; "),
        ),
        outer.where.said(),
        say("if it is only the border of the sheet, state it with {border}", border=FRAME_BORDER),
    )


def is_rectangle(loop: Loop) -> bool:
    """Return whether a loop is a sharp rectangle along the axes (its sides may be drawn in pieces)."""
    if loop.circle is not None or loop.bulge.any() or len(loop.bulge) < 4:
        return False
    x0, y0, x1, y1 = loop.box
    slack = 1e-4 * max(x1 - x0, y1 - y0)
    x, y = loop.xy[:, 0], loop.xy[:, 1]
    on_edge = np.minimum(np.minimum(np.abs(x - x0), np.abs(x - x1)), np.minimum(np.abs(y - y0), np.abs(y - y1)))
    return bool((on_edge <= slack).all()) and abs(loop.area - (x1 - x0) * (y1 - y0)) <= 1e-4 * loop.area


def _holds_all(tree: Nest, outer: Loop) -> bool:
    return sum(1 for d in tree.depth if d == 0) == 1 and outer.area > 0.0


def _close_inside(inner: Loop, outer: Loop) -> bool:
    """Return whether a rectangle follows another within a tenth of its size on every side."""
    a, b = inner.box, outer.box
    reach = 0.1 * max(b[2] - b[0], b[3] - b[1])
    return all(_LEAST_MM < d <= reach for d in (a[0] - b[0], a[1] - b[1], b[2] - a[2], b[3] - a[3]))


def _sheet_size(loop: Loop) -> bool:
    """Return whether a rectangle is a sheet at a usual scale, whole or less a usual margin."""
    x0, y0, x1, y1 = loop.box
    short, long = sorted((x1 - x0, y1 - y0))
    for scale in _SCALES:
        for a, b in drawn_sheets_mm():
            da, db = a - short / scale, b - long / scale
            if any(abs(da - m) < 0.3 for m in _MARGINS) and any(abs(db - m) < 0.3 for m in _MARGINS):
                return True
    return False


def _is_block(loop: Loop, frames: list[Loop], places: Floats) -> bool:
    """Return whether a rectangle in a border is a field of the title block: at the frame's edge, or with text in it."""
    x0, y0, x1, y1 = loop.box
    for frame in frames:
        a0, b0, a1, b1 = frame.box
        slack = 0.002 * max(a1 - a0, b1 - b0)
        if min(abs(x0 - a0), abs(y0 - b0), abs(x1 - a1), abs(y1 - b1)) <= slack:
            return True
    return bool(_in_box(places, loop.box).any())


def _in_corner(loop: Loop, frame: Loop, places: Floats) -> bool:
    """Return whether a rectangle with text in it shares a corner with the frame: how title blocks are drawn."""
    if not is_rectangle(loop) or not _in_box(places, loop.box).any():
        return False
    slack = 0.002 * max(frame.box[2] - frame.box[0], frame.box[3] - frame.box[1])
    near = [abs(a - b) <= slack for a, b in zip(loop.box, frame.box, strict=True)]
    return (near[0] or near[2]) and (near[1] or near[3])


def _in_box(places: Floats, box: tuple[float, float, float, float]) -> NDArray[np.bool_]:
    """Return which of places (n, 2) lie in a box."""
    x, y = places[:, 0], places[:, 1]
    inside: NDArray[np.bool_] = (box[0] <= x) & (x <= box[2]) & (box[1] <= y) & (y <= box[3])
    return inside


def _below(k: int, inside: list[list[int]]) -> list[int]:
    """Return all loops within a loop."""
    out: list[int] = []
    todo = list(inside[k])
    while todo:
        j = todo.pop()
        out.append(j)
        todo.extend(inside[j])
    return out
