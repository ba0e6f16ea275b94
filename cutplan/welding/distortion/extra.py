"""One more tack, or a brace between two pads: candidates, and what each would give to the chosen order."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations, islice

import numpy as np

from cutplan.fem.mesh import Floats
from cutplan.fem.outline import lengths_along, place_at
from cutplan.welding.distortion.chain.elastic import make_chain
from cutplan.welding.distortion.chain.yielding import Run, Yielded, at_once, follow_together
from cutplan.welding.distortion.draws import Draws, drawn
from cutplan.welding.distortion.model.condensed import Model, restricted
from cutplan.welding.distortion.result import ExtraPlace
from cutplan.welding.distortion.search.judge import Judge
from cutplan.welding.distortion.search.orders import Order
from cutplan.welding.distortion.task import Bead, BracePath, FixedBrace, Inherent, OrderOptions, WeldTask

#: Bar tried between pads: square tube 40 x 40 x 3 mm.
TUBE_SECOND_MOMENT_MM4 = (40.0**4 - 34.0**4) / 12.0
TUBE_AREA_MM2 = 40.0**2 - 34.0**2


def extra_tacks(
    task: WeldTask, beads: Sequence[Bead], inherent: Sequence[Inherent], most: int
) -> list[tuple[Bead, Inherent]]:
    """Return tacks half way between neighbouring tacks, where a stitch will pass, the widest gaps first.

    Parameters
    ----------
    task : WeldTask
        Joint path.
    beads, inherent : sequences
        Beads of the plan; each new tack shrinks like the tack before it.
    most : int
        Number wanted at most.
    """
    whole = float(lengths_along(task.path, True)[-1])
    tacks = sorted((0.5 * (b.start_mm + b.end_mm) % whole, i) for i, b in enumerate(beads) if b.kind == "tack")
    stitches = [b for b in beads if b.kind == "stitch"]
    found = []
    for (place, number), (following, _) in zip(tacks, tacks[1:] + tacks[:1], strict=True):
        gap = (following - place) % whole or whole
        middle = place + 0.5 * gap
        half = 0.5 * (beads[number].end_mm - beads[number].start_mm)
        if gap > 4.0 * half and any((middle - s.start_mm) % whole < s.end_mm - s.start_mm for s in stitches):
            found.append((-round(gap, 6), round(middle % whole, 6), number, half))
    found.sort()
    chosen = found[:most]
    return [
        (Bead(f"T+{k + 1}", "tack", middle - half, middle + half, beads[n].throat_mm), inherent[n])
        for k, (_, middle, n, half) in enumerate(chosen)
    ]


def extra_braces(task: WeldTask, most: int) -> list[BracePath]:
    """Return bars between two pads, the longest first, of a common tube.

    Parameters
    ----------
    task : WeldTask
        Pads and brace.
    most : int
        Number wanted at most.
    """
    pairs = sorted(
        combinations(task.pads, 2), key=lambda p: -round(float(np.hypot(*np.subtract(p[0].centre, p[1].centre))), 3)
    )
    return [
        BracePath(
            f"bar {a.name} to {b.name}",
            (a.centre, b.centre),
            TUBE_SECOND_MOMENT_MM4,
            TUBE_AREA_MM2,
            ends=(a.name, b.name),
        )
        for a, b in pairs
        if a.centre != b.centre
    ][:most]


def tack_place(task: WeldTask, bead: Bead) -> tuple[float, float]:
    """Return the middle of a bead on the joint path [mm]."""
    x, y = place_at(task.path, True, np.array([0.5 * (bead.start_mm + bead.end_mm)]))[0]
    return float(x), float(y)


def extras_tried(
    every: Model,
    judge: Judge,
    counts: tuple[int, int],
    order: Order,
    options: OrderOptions,
    added: Floats | None = None,
) -> tuple[ExtraPlace, ...]:
    """Return what one more tack, or a brace, would do to an order, the best first.

    Parameters
    ----------
    every : Model
        Condensed with all tacks and braces that are tried.
    judge : Judge
        What is measured.
    counts : (int, int)
        Beads of the plan, and braces of the job, 0 or 1; those beyond are tried.
    order : Order
        The order.
    options : OrderOptions
        Draws and seed of the search.
    added : ndarray (draws, outputs) or None
        What welds after the stitches add to the pad outputs [mm].
    """
    count, own = counts
    draws = drawn(every, options.training, options.seed)
    kinds = [every.beads[int(b)].kind for b in order.beads]
    places = sorted({0, kinds.count("tack") if "stitch" in kinds else len(kinds)})

    def tacked() -> Iterator[Run]:
        for number in range(count, len(every.beads)):
            kept = [*range(count), number]
            model, mine = restricted(every, kept, range(own)), _some(draws, every, kept)
            longer = (Order(np.insert(order.beads, p, count), np.insert(order.backward, p, False)) for p in places)
            chain = make_chain(model)
            yield from (Run(chain, o.sequence(model.stations), mine) for o in longer)

    def braced() -> Iterator[Run]:
        for number in range(own, len(every.brace_parts) - 1):
            model = restricted(every, range(count), [*range(own), number])
            yield Run(make_chain(model), order.sequence(model.stations), _some(draws, every, range(count)))

    tried = _tried(judge, tacked(), added)
    tacks = len(tried)
    tried += _tried(judge, braced(), added)
    result = []
    for number in range(count, len(every.beads)):
        first = len(places) * (number - count)
        score, flat = min(tried[first : first + len(places)])
        bead = every.beads[number]
        result.append(ExtraPlace("tack", bead.name, tack_place(every.task, bead), flat, score))
    for bar, (score, flat) in zip(every.bars[own:], tried[tacks:], strict=True):
        middle = np.mean(bar.places if isinstance(bar, FixedBrace) else np.array(bar.points), axis=0)
        result.append(ExtraPlace("brace", bar.name, (float(middle[0]), float(middle[1])), flat, score, bar.ends))
    return tuple(sorted(result, key=lambda e: (e.score, e.where)))


def _tried(judge: Judge, runs: Iterator[Run], added: Floats | None) -> list[tuple[float, float]]:
    """What each of some like orders is worth; only those that are followed together are there at a time."""
    found: list[tuple[float, float]] = []
    for first in runs:
        found += [_worth(judge, left, added) for left in follow_together([first, *islice(runs, at_once(first) - 1)])]
    return found


def _some(draws: Draws, every: Model, beads: Sequence[int]) -> Draws:
    """The draws of some beads' stations."""
    kept = np.flatnonzero(np.isin(every.stations.bead, beads))
    return Draws(draws.wishes[:, :, kept], draws.limits[:, kept])


def _worth(judge: Judge, left: Yielded, added: Floats | None) -> tuple[float, float]:
    """Mean score and median out of flat of what an order leaves after all welds [mm]."""
    outputs = left.outputs if added is None else left.outputs + added
    score = float(judge.full_score(outputs, left.closing.max(axis=1)).mean())
    return score, float(np.median(judge.flatness_mm(outputs)))
