"""Which order is taken, what brace and preset do to it, and what is to be noticed."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from cutplan.errors import JobError
from cutplan.findings import Finding
from cutplan.texts import every, mm, name, number, say
from cutplan.welding.distortion.compare import (
    End,
    Judged,
    World,
    chance_within,
    drawn_band,
    enough,
    equal,
    judge_orders,
)
from cutplan.welding.distortion.model.condensed import Model
from cutplan.welding.distortion.result import MUCH_QUICKER, TOLD_MM, OrderResult, Preset, WithoutBrace
from cutplan.welding.distortion.search.judge import Judge
from cutplan.welding.words import shown

#: Orders that people can follow from a rule, without a table, the easiest to keep to first.
FOLLOWED: tuple[str, ...] = (
    "opposite pairs",
    "sectors",
    "skip",
    "once round, back-step",
    "once round",
    "ends last",
)


def choose(judged: Sequence[Judged], best: int, wanted: str | None, allowed_mm: float | None = None) -> int:
    """Return the number of the order to weld.

    The one that the job names; else, of all that are equal to the best, the quickest that people can follow; else the
    best itself. Much time is not spent on what the pads do not ask for: where they keep what they allow in nearly all
    draws and lose little of it, a much quicker order that people can follow is taken instead.

    Parameters
    ----------
    judged : sequence of Judged
        All orders.
    best : int
        Number of the best one.
    wanted : str or None
        Name from the job.
    allowed_mm : float or None
        Least flatness that a pad allows [mm]; None without pads.

    Raises
    ------
    JobError
        When the job names no order of these.
    """
    names = [j.result.name for j in judged]
    if wanted is not None:
        if wanted not in names:
            raise JobError(
                say("no order of welding is called {order}", order=name(wanted)),
                "welding.order",
                say("one of: {orders}", orders=every(names)),
            )
        return names.index(wanted)
    minutes = [round(j.result.minutes or 0.0, 1) for j in judged]

    def quickest(able: list[int]) -> int:
        return min(able, key=lambda i: (minutes[i], FOLLOWED.index(names[i])))

    followed = [i for i, n in enumerate(names) if n in FOLLOWED]
    able = [i for i in followed if equal(judged[i], judged[best])]
    taken = quickest(able) if able else best
    if allowed_mm is None:
        return taken
    quick = [
        i
        for i in followed
        if minutes[i] < MUCH_QUICKER * minutes[taken] and enough(judged[i], judged[best], allowed_mm)
    ]
    return quickest(quick) if quick else taken


def without_brace(worlds: list[World], judge: Judge, chosen: Judged, end: End) -> WithoutBrace:
    """Return what the chosen order does without the brace, draw against draw.

    Parameters
    ----------
    worlds : sequence of World
        The same states and draws without the brace.
    judge : Judge
        What is measured.
    chosen : Judged
        The chosen order with the brace.
    end : callable
        Orders after the last stitch as they end after all welds.
    """
    [bare] = end(worlds, judge_orders(worlds, judge, {chosen.result.name: chosen.order}))
    return WithoutBrace(
        bare.result.flatness_mm, bare.result.chance_within, float(np.mean(chosen.flatness < bare.flatness))
    )


def preset_of(model: Model, judge: Judge, chosen: Judged) -> Preset | None:
    """Return what it would do to set the pads off against the lift to be expected, by shims under each.

    A shim moves a pad as a whole: how each pad tilts and bends in itself stays as it is. None where a pad stands alone, and
    where no shim would be as thick as the thinnest feeler.

    Parameters
    ----------
    model : Model
        Its pads.
    judge : Judge
        What is measured.
    chosen : Judged
        The chosen order.
    """
    if len(model.task.pads) < 2:
        return None
    sizes, points = model.pads.sizes, len(model.pads.place)
    whole = np.repeat(np.eye(len(sizes)), sizes, axis=0)
    rise = judge.residual @ np.median(chosen.outputs, axis=0)
    lifts = np.linalg.lstsq(judge.residual[:, :points] @ whole, rise, rcond=1e-9)[0]
    if np.abs(lifts).max() < TOLD_MM:
        return None
    left = chosen.outputs.copy()
    left[:, :points] -= whole @ lifts
    flatness = judge.flatness_mm(left)
    return Preset(
        tuple((n, float(g)) for n, g in zip(model.pads.names, lifts, strict=True)),
        drawn_band(flatness, "mm"),
        chance_within(model, flatness, judge.pitch_mm(chosen.outputs)),
    )


def findings_of(model: Model, chosen: OrderResult) -> tuple[Finding, ...]:
    """Return what is to be noticed about the chosen order."""
    found = []
    gap = model.task.ligament_mm
    if chosen.closing_mm.high > gap and not model.task.lap:
        likely = chosen.closing_mm.mid > gap
        found.append(
            Finding(
                "gap-closes" if likely else "gap-may-close",
                "warning" if likely else "note",
                say(
                    "of a gap of {gap}, {closing} closes ahead of the arc before bead {bead}",
                    gap=mm(gap, 2),
                    closing=shown(chosen.closing_mm),
                    bead=name(chosen.closing_at),
                ),
                "joint.gap",
                say("keep wedges in the gap between tacks, one more tack there, or a wider gap"),
            )
        )
    if model.task.pads and chosen.chance_within < 0.5:
        found.append(
            Finding(
                "flatness-unlikely",
                "warning",
                say(
                    "the pads stay within what they allow in {share} of the drawn cases only",
                    share=number(100.0 * chosen.chance_within, "%", 0),
                ),
                "pad",
                say("allow more, machine or shim the pads after welding, or hold them by a stiffer brace"),
            )
        )
    if len(model.pads.place) < 3 or not model.task.pads:
        found.append(Finding("no-pads", "note", say("no pads are given, so the plate's rim stands for them")))
    return tuple(found)
