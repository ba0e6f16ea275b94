"""What a form names beads and stages by, as the weld page spells them; what the plan does not have is refused."""

from __future__ import annotations

from dataclasses import replace

from cutplan.errors import JobError
from cutplan.texts import Message, every, name, say
from cutplan.welding.bench.result import FIT, TACKS, BenchReadings
from cutplan.welding.result import WeldPlan


def computed_parts(plan: WeldPlan) -> tuple[str, ...]:
    """Return sleeves and ribs in their planned turn, those that the order model could take."""
    return plan.order.later.chosen.parts if plan.order.later is not None else ()


def spelled(plan: WeldPlan, readings: BenchReadings) -> BenchReadings:
    """Return readings with beads, sleeves and ribs named as the weld page names them, whatever their capitals.

    Parameters
    ----------
    plan : WeldPlan
        The plan.
    readings : BenchReadings
        As they were written.

    Raises
    ------
    JobError
        For beads and stages that are not on the plan, with all of them in one report, and for sleeves and ribs whose welds
        were not computed.
    """
    beads = [b.name for b in (*plan.tacks, *plan.stitches)]
    names = (*beads, *(w.name for w in plan.later))
    known = {n.casefold(): n for n in (*reversed(names), FIT, TACKS)} | {n: n for n in names}
    stages = [g.after for g in readings.gaps] + [d.after for d in readings.dials]
    written = dict.fromkeys([*stages, *(n for n, _ in readings.done)])
    found = {w: known.get(w, known.get(w.casefold())) for w in written}
    unknown = sorted(w for w, n in found.items() if n is None)
    if unknown:
        raise JobError(say("not on the weld plan: {beads}", beads=every(unknown)), "after", _hint(plan, unknown))
    blind = sorted({n for n in found.values() if n in names and n not in (*beads, *computed_parts(plan))})
    if blind:
        raise JobError(
            say(
                "what the welds of {parts} do was not computed, so readings after them re-plan nothing",
                parts=every(blind),
            ),
            "after",
            say("leave those lines empty, and measure the finished part"),
        )
    as_is = {w: n or w for w, n in found.items()}
    return BenchReadings(
        tuple(replace(g, after=as_is[g.after]) for g in readings.gaps),
        tuple(replace(d, after=as_is[d.after]) for d in readings.dials),
        tuple((as_is[n], turned) for n, turned in readings.done),
    )


def _hint(plan: WeldPlan, unknown: list[str]) -> Message:
    """What to write; a number stands on the map, its name in the list."""
    numbers = {str(b.number): b.name for b in plan.stitches}
    number = next((u for u in unknown if u in numbers), None)
    if number is not None:
        return say(
            "write the name that stands beside the number in the list: stitch {number} of the plan is {bead}",
            number=name(number),
            bead=name(numbers[number]),
        )
    last = max((b.name for b in plan.stitches), key=lambda n: int(n[1:]))
    return say("give tacks, or a bead as the weld pages name it, such as {bead}", bead=name(last))
