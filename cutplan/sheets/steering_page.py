"""Where the steering gear sits: the linkage from above before and after, its figures with their bands, and cautions."""

from __future__ import annotations

import numpy as np

from cutplan.linkage.cautions import cautions
from cutplan.linkage.places.placed import Placed
from cutplan.linkage.plan_view import plan_view
from cutplan.linkage.study import Layout
from cutplan.linkage.wording import LABELS, shown
from cutplan.pattern.moved import WAYS, Moved, told_parts
from cutplan.sheets.page import CELL, SMALL, Builder
from cutplan.sheets.pictures import place
from cutplan.sheets.results import Results
from cutplan.texts import Message, Reader, listed, mm, name, say
from cutplan.texts.render import shown as shown_value

#: Least and most height of each picture [mm], and the columns' shares of the table.
_PICTURE_MM, _SHARES = (28.0, 60.0), (3.9, 1.4, 1.7, 1.1)


def steering_page(b: Builder, results: Results) -> None:
    """Write the page of the steering, where the job follows a study."""
    placed, moved = results.steering, results.job.origin.moved
    if placed is None or placed.best is None or moved is None:
        return
    b.page(say("Steering: where the gear sits"))
    b.para(b.say(moved_words(placed, moved)), CELL)
    layout = Layout(placed.study)
    b.para(b.say(say("Firm: straight ahead; dashed: left lock; dotted: right lock.")), SMALL)
    rows, warned = figure_rows(placed, b.read), ["– " + b.say(c) for c in cautions()]
    spare = b.room - b.table_height(rows, _SHARES, SMALL) - b.height_of(warned, SMALL) - 8.0
    tall = min(max(0.5 * spare, _PICTURE_MM[0]), _PICTURE_MM[1])
    for shift, words in (
        (np.zeros(3), say("Linkage from above, gear where it is")),
        (placed.best.shift, say("Linkage from above, gear moved (grey: where it was)")),
    ):
        place(b, plan_view(layout, shift, b.read), tall, caption=b.say(words))
    b.table(rows, _SHARES, SMALL, tag="steering")
    for caution in warned:
        b.para(caution, SMALL)


def moved_words(placed: Placed, moved: Moved) -> Message:
    """Return what is moved how far, and how exactly."""
    parts = told_parts(moved.shift_mm, WAYS)
    study = name(placed.study.title)
    if moved.tolerance_mm is None:
        return say("The gear moves {parts} ({study}).", parts=listed(parts), study=study)
    return say(
        "The gear moves {parts} ({study}); its mount may be off by {tolerance} in any direction.",
        parts=listed(parts),
        study=study,
        tolerance=mm(moved.tolerance_mm),
    )


def figure_rows(placed: Placed, read: Reader) -> list[list[str]]:
    """Return head and rows of the figures: now, moved with its band of two standard errors, and the limit."""
    best = placed.best
    assert best is not None
    limits: dict[str, list[str]] = {}
    for wish in placed.study.wishes:
        sign = "≥ " if wish.kind == "at least" else "≤ "
        limits.setdefault(wish.figure, []).append(sign + _said(read, wish.figure, wish.limit))
    head = [say("figure"), say("gear now"), say("gear moved, ± two standard errors"), say("wished")]
    rows = [[read(h) for h in head]]
    for figure, value in best.values.items():
        now, band = float(placed.now.values[figure]), 2.0 * float(best.errors[figure])
        rows.append(
            [
                read(LABELS[figure]),
                _said(read, figure, now) if np.isfinite(now) else read(say("not reached")),
                f"{_said(read, figure, float(value))} ± {_said(read, figure, band)}",
                ", ".join(limits.get(figure, [])),
            ]
        )
    return rows


def _said(read: Reader, figure: str, value: float) -> str:
    return str(shown_value(shown(figure, value), read))
