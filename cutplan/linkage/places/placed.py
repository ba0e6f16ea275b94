"""The whole answer to a study: the gear where it is, the map, the place recommended, and what must be said about them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cutplan.findings import Finding
from cutplan.linkage.places.margins import HELD
from cutplan.linkage.places.place_map import PlaceMap, place_map
from cutplan.linkage.places.recommend import Recommended, at_place, recommend
from cutplan.linkage.solved.course import course, travels
from cutplan.linkage.solved.over_centre import over_centre
from cutplan.linkage.solved.vectors import Floats
from cutplan.linkage.study import Layout, Study
from cutplan.linkage.wording import shown, wish_text
from cutplan.texts import mm, say


@dataclass(frozen=True, slots=True)
class Placed:
    """A study answered.

    Parameters
    ----------
    study : Study
        What was asked.
    chart : PlaceMap or None
        The map; None where a job has chosen its place already.
    now : Recommended
        The gear where it is.
    best : Recommended or None
        The place recommended, or the one the job chose; None: the linkage closes nowhere on the map.
    findings : tuple of Finding
        What must be said.
    """

    study: Study
    chart: PlaceMap | None
    now: Recommended
    best: Recommended | None
    findings: tuple[Finding, ...]


def place(study: Study, shift: tuple[float, float, float] | None = None) -> Placed:
    """Return the answer to a study.

    Parameters
    ----------
    study : Study
        What was measured and wished.
    shift : tuple of float or None
        A shift chosen by the job, forward, left, up [mm]; None: the one recommended.
    """
    layout = Layout(study)
    now = at_place(layout, np.zeros(3))
    chart = place_map(layout) if shift is None else None
    best = recommend(layout, chart) if chart is not None else at_place(layout, np.array(shift))
    return Placed(study, chart, now, best, tuple(_findings(layout, now, best)))


def over_centre_travel(layout: Layout, shift: Floats) -> tuple[float, float]:
    """Return the nearest travels of the gear, right and left, at which either side is in line [mm], both positive; ``shift`` is (3,) [mm]."""
    loops = course(layout, layout.values, shift, travels(layout), False).loops
    ends = [over_centre(loop) for loop in loops]
    return -max(float(e[0]) for e in ends), min(float(e[1]) for e in ends)


def _findings(layout: Layout, now: Recommended, best: Recommended | None) -> list[Finding]:
    found = _beyond(layout, now.shift, "place-now-over-centre", "warning")
    if best is None:
        return [
            *found,
            Finding(
                "place-nowhere-closes",
                "error",
                say("at no place of the map does the linkage close over the whole travel of the gear"),
                "map",
                say("map a larger area, or limit the travel of the gear with stops"),
            ),
        ]
    found += _beyond(layout, best.shift, "place-over-centre", "error")
    wishes = layout.study.wishes
    for wish, margin in zip(wishes, best.margins, strict=True):
        if margin >= HELD:
            continue
        value, error = best.values[wish.figure], best.errors[wish.figure]
        told, off = shown(wish.figure, float(value)), shown(wish.figure, float(error))
        if margin < 0.0:
            text = say(
                "not held at the best place: {wish}; there it is {value}, standard error {error}",
                wish=wish_text(wish),
                value=told,
                error=off,
            )
            fix = say("ease a wish, or change an arm or a rod")
            found.append(Finding("place-wish-missed", "error", text, "wish", fix))
        else:
            text = say(
                "held by less than two standard errors: {wish}; there it is {value}, standard error {error}",
                wish=wish_text(wish),
                value=told,
                error=off,
            )
            fix = say("measure the points again, more exactly")
            found.append(Finding("place-wish-close", "warning", text, "wish", fix))
    if best.at_edge:
        found.append(
            Finding(
                "place-at-edge",
                "warning",
                say("the best place lies on the edge of the map"),
                "map",
                say("map a larger area: a better place may lie beyond"),
            )
        )
    if best.tolerance_mm is None and min(best.margins) >= HELD:
        found.append(
            Finding(
                "place-no-tolerance",
                "warning",
                say("the wishes leave the mount no tolerance that welded work can hold"),
                "wish",
                say("measure the points more exactly, or ease the wish with the least margin"),
            )
        )
    return found


def _beyond(layout: Layout, shift: Floats, code: str, severity: str) -> list[Finding]:
    """Over centre inside the travel, said with the travel where it happens."""
    found = []
    for reach, end, to_left in zip(over_centre_travel(layout, shift), layout.study.travel, (False, True), strict=True):
        if reach > end:
            continue
        text = say(
            "with the gear {reach} {side}, rod and arm come over centre; its travel is {end}: beyond, the linkage "
            "cannot close and may lock",
            reach=mm(reach, 1),
            side=say("to the left") if to_left else say("to the right"),
            end=mm(end, 1),
        )
        found.append(
            Finding(
                code,
                "error" if severity == "error" else "warning",
                text,
                "gear.travel",
                say("move the gear, or limit its travel with stops"),
            )
        )
    return found
