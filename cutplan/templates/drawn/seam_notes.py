"""What is written along seams and folds, where nothing else is drawn."""

from __future__ import annotations

from cutplan.drawing.font import text_width
from cutplan.drawing.model import Item, Stroke, Text
from cutplan.drawing.placer.ground import Ground
from cutplan.geometry.segment import Line
from cutplan.geometry.vector import Box, Point
from cutplan.templates.drawn.labels import READ_MM
from cutplan.templates.drawn.pens import TRIM
from cutplan.templates.tiling.layout import Layout, Seam, long_enough
from cutplan.templates.tiling.registration import MARK_MM
from cutplan.texts.by_id import told


def block_band(seam: Seam, half_mm: float, room: Ground) -> None:
    """Keep texts off the overlap, so that each is printed whole and once."""
    if seam.upright:
        room.block(Box(seam.at - half_mm, seam.low - half_mm, seam.at + half_mm, seam.high + half_mm))
    else:
        room.block(Box(seam.low - half_mm, seam.at - half_mm, seam.high + half_mm, seam.at + half_mm))


def seam_notes(
    seam: Seam, marks: list[float], layout: Layout, room: Ground, by_sheet: list[list[Item]], lang: str = "en"
) -> None:
    """Trim line on both sheets; what to do written on the trimmed strip of one and on the flap of the other; marks along the seam [mm]."""
    # the trim line is broken at the marks, which guide the scissors there
    stops = [seam.low, *(v for m in marks for v in (m - MARK_MM, m + MARK_MM)), seam.high]
    runs = tuple(Line(seam.point(a), seam.point(b)) for a, b in zip(stops[::2], stops[1::2], strict=True) if b > a)
    for index in (seam.under, seam.over):
        by_sheet[index].append(Stroke(runs, TRIM, tag="trim"))
    if not long_enough(seam):
        return
    under, over = layout.sheets[seam.under].name, layout.sheets[seam.over].name
    notes = (
        (seam.over, -1.0, (told("paper.trim", lang, under=under), told("paper.trim.short", lang))),
        (seam.under, 1.0, (told("paper.flap", lang, over=over), told("paper.flap.short", lang, over=over))),
    )
    for index, side, texts in notes:
        note = next((n for n in (_along(seam, side, t, room) for t in texts) if n is not None), None)
        note = note or _at_end(seam, side, texts[0], room)
        if note is not None:
            by_sheet[index].append(note)


def _along(seam: Seam, side: float, words: str, room: Ground, clear_mm: float = 1.2) -> Text | None:
    """A text along a seam on its near (-1) or far (+1) side, where nothing is drawn; the room is taken."""
    height = READ_MM
    wide, tall = text_width(words, height) + 2.0, 0.76 * height
    low = seam.low + 1.0
    middle = 0.5 * (seam.low + seam.high - wide)
    for step in range(int(max(0.0, seam.high - seam.low - wide)) // 2 + 1):
        for start in (middle + step, middle - step):
            if start < low or start + wide > seam.high - 1.0:
                continue
            near, far = sorted((seam.at + side * clear_mm, seam.at + side * (clear_mm + 0.3 + tall)))
            box = Box(near, start, far, start + wide) if seam.upright else Box(start, near, start + wide, far)
            if room.free(box):
                room.block(box)
                base = far - 0.1 if seam.upright else near + 0.1
                at = Point(base, start + 1.0) if seam.upright else Point(start + 1.0, base)
                return Text(words, at, height, angle_deg=90.0 if seam.upright else 0.0, tag="seam note")
    return None


def _at_end(seam: Seam, side: float, words: str, room: Ground) -> Text | None:
    """A text across an end of a seam that is too short to be written along, on its near (-1) or far (+1) side."""
    wide, tall = text_width(words, READ_MM) + 1.0, READ_MM
    for end, out in ((seam.low, -1.0), (seam.high, 1.0)):
        for away in (2.0, 5.0, 9.0, 14.0):
            if seam.upright:
                x = seam.at - side * 1.5 - (wide if side > 0.0 else 0.0)
                y = end + out * away - (tall if out < 0.0 else 0.0)
            else:
                x = end + out * away - (wide if out < 0.0 else 0.0)
                y = seam.at - side * 1.5 - (tall if side > 0.0 else 0.0)
            box = Box(x, y, x + wide, y + tall)
            if room.free(box):
                room.block(box)
                return Text(words, Point(x + 0.5, y + 0.24 * tall), READ_MM, tag="seam note")
    return None


def fold_note(stroke: Stroke, room: Ground, lang: str = "en") -> list[Item]:
    """What a fold line is for, written along it where there is room."""
    a, b = stroke.segments[0].start, stroke.segments[0].end
    upright = a.x == b.x
    low, high = sorted((a.y, b.y) if upright else (a.x, b.x))
    across = Seam(upright, a.x if upright else a.y, low, high, 0, 0)
    for key in ("paper.fold", "paper.fold.short", "paper.fold.least"):
        note = _along(across, -1.0, told(key, lang), room, clear_mm=3.4)
        if note is not None:
            return [note]
    return []
