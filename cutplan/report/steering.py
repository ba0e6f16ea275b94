"""The steering in the report: the linkage before and after, played over the travel of the gear, with its figures."""

from __future__ import annotations

from typing import Any

import numpy as np

from cutplan.linkage.cautions import cautions
from cutplan.linkage.places.placed import Placed
from cutplan.linkage.plan_view import played
from cutplan.linkage.solved.course import course
from cutplan.linkage.solved.vectors import Floats
from cutplan.linkage.study import Layout
from cutplan.linkage.wording import DEFINITIONS
from cutplan.report.figure import figure_page, svg
from cutplan.report.html import Raw, bullets, table, tag
from cutplan.report.parts import player
from cutplan.sheets.results import Results
from cutplan.sheets.steering_page import figure_rows, moved_words
from cutplan.texts import Message, Reader, mm, number, say

#: Steps of the slider each way from straight ahead.
_EACH_WAY = 12


def steps_of(placed: Placed) -> Floats:
    """Return the travels of the gear that the slider shows, (steps,), from right to left [mm]."""
    right, left = placed.study.travel
    return np.concatenate([-np.linspace(0.0, right, _EACH_WAY + 1)[:0:-1], np.linspace(0.0, left, _EACH_WAY + 1)])


def steering_section(results: Results, lang: str) -> list[Raw]:
    """Return the section, empty where the job follows no study."""
    placed, moved = results.steering, results.job.origin.moved
    if placed is None or placed.best is None or moved is None:
        return []
    read = Reader(lang, results.job.shown.display)
    layout, travels = Layout(placed.study), list(steps_of(placed))
    pictures = []
    for ident, shift, words in (
        ("steering-now", np.zeros(3), say("Linkage from above, gear where it is")),
        ("steering-moved", placed.best.shift, say("Linkage from above, gear moved (grey: where it was)")),
    ):
        title = read(words)
        page = figure_page(played(layout, shift, travels, read), lang=lang)
        pictures.append(tag("figure", svg(page, ident, title), tag("figcaption", title), id=f"{ident}-figure"))
    head, *rows = figure_rows(placed, read)
    named = [[label, read(DEFINITIONS[figure])] for figure, (label, *_) in zip(placed.best.values, rows, strict=True)]
    return [
        tag("p", read(moved_words(placed, moved)), class_="box"),
        player("steering", len(travels) - 1, read(say("travel of the gear")), lang),
        tag("div", *pictures, class_="two"),
        table(read(say("figures of the steering")), head, rows),
        table(read(say("how each figure is defined")), [head[0], read(say("definition"))], named),
        bullets([read(c) for c in cautions()]),
    ]


def steering_steps(results: Results, lang: str) -> list[str]:
    """Return what is said at each step of the slider; empty without a study."""
    placed = results.steering
    if placed is None or placed.best is None:
        return []
    read = Reader(lang, results.job.shown.display)
    layout, travels = Layout(placed.study), steps_of(placed)
    both = [course(layout, layout.values, shift, travels, False) for shift in (np.zeros(3), placed.best.shift)]
    out = []
    for k, travel in enumerate(travels):
        now, moved = (_wheels(c.left[k], c.right[k]) for c in both)
        out.append(
            read(
                say(
                    "Gear {travel} {side}. Now: {now}. Moved: {moved}.",
                    travel=mm(abs(travel)),
                    side=say("to the left") if travel >= 0.0 else say("to the right"),
                    now=now,
                    moved=moved,
                )
            )
        )
    return out


def _wheels(left: Any, right: Any) -> Message:
    if not (np.isfinite(left) and np.isfinite(right)):
        return say("cannot be reached, over centre")
    to_left = left + right >= 0.0
    both = [number(abs(float(np.degrees(angle))), "deg", 1) for angle in (left, right)]
    return say(
        "left wheel {left}, right wheel {right} {side}",
        left=both[0],
        right=both[1],
        side=say("to the left") if to_left else say("to the right"),
    )
