"""Ways to weld the job side by side, each with what it costs, and why the chosen one is taken."""

from __future__ import annotations

from collections.abc import Sequence

from cutplan.pattern.job import Job
from cutplan.tables.band import Band
from cutplan.tables.welding.order_names import order_name
from cutplan.texts import Message, every, mm, name, number, say, template, together
from cutplan.welding.distortion import OrderPlan, OrderResult, WithoutBrace
from cutplan.welding.distortion.result import MUCH_QUICKER, NEARLY_ALL, TOLD_CHANCE, TOLD_MM, Way
from cutplan.welding.result import Choice
from cutplan.welding.words import shown

#: Time that one more tack takes, and a bar: cut, tacked, cut off and ground after [min] (common practice).
TACK_MIN, BAR_MIN = 0.5, 10.0
#: How much warmer the metal may be between beads in the row of shorter waits [K] (our own).
WARMER_K = 50.0
#: Thinnest shim worth cutting [mm] (common practice: feeler stock begins at 0.05 mm).
LEAST_SHIM_MM = 0.05


def choices(
    job: Job, plan: OrderPlan, minutes: dict[str, float], warmer_min: float | None = None
) -> tuple[Choice, ...]:
    """Return ways to weld the job side by side: order, tacks, brace, preset and waits, each with what it costs.

    Parameters
    ----------
    job : Job
        The job.
    plan : OrderPlan
        The comparison.
    minutes : dict of str to float
        Time of each order [min].
    warmer_min : float or None
        Time of the chosen order with shorter waits [min].
    """
    now = minutes[plan.chosen.name]
    found = [_choice(plan.chosen, minutes, say("as planned"), True), *_flatter_order(plan, minutes)]
    found += _preset(plan, now) or [_way(plan, way, now) for way in _worth_showing(plan)]
    bare = plan.without_brace
    if bare is not None:
        what = say("{order}, no brace while welding", order=order_name(plan.chosen.name))
        cost = say("nothing holds the mount while the skin is open")
        found.append(Choice(what, bare.flatness_mm, bare.chance_within, now, cost, False))
    quick = [*_quicker_order(plan, minutes), *_shorter_waits(job, plan, warmer_min)]
    quick = [c for c in quick if c.minutes < MUCH_QUICKER * now and c.what not in [f.what for f in found]]
    return (*found, *sorted(quick, key=lambda c: round(c.minutes, 1))[:1])


def _flatter_order(plan: OrderPlan, minutes: dict[str, float]) -> list[Choice]:
    """The flattest order, where it is another than the chosen one; of those alike to a micrometre the quickest."""

    def flat(order: OrderResult) -> float:
        return round(order.flatness_mm.mid, 3)

    other = min(plan.orders, key=lambda o: (flat(o), round(minutes[o.name], 1)))
    if flat(other) >= flat(plan.chosen):
        return []
    cost = say("follow the table bead by bead") if other.name == "computed order" else say("nothing more")
    return [_choice(other, minutes, cost, False)]


def _quicker_order(plan: OrderPlan, minutes: dict[str, float]) -> list[Choice]:
    """The quickest order."""
    quick = min(plan.orders, key=lambda o: (round(minutes[o.name], 1), round(o.score_mm.mid, 3)))
    return [_choice(quick, minutes, say("nothing more"), False)]


def _shorter_waits(job: Job, plan: OrderPlan, warmer_min: float | None) -> list[Choice]:
    """The chosen order with hotter metal between beads."""
    if warmer_min is None:
        return []
    limit = number(job.welding.interpass_C + WARMER_K, "degC", 0)
    what = say("{order}, shorter waits: {limit} between beads", order=order_name(plan.chosen.name), limit=limit)
    cost = say("hotter metal beside the joint; the flatness shown does not see it")
    return [Choice(what, plan.chosen.flatness_mm, plan.chosen.chance_within, warmer_min, cost, False)]


def _worth_showing(plan: OrderPlan) -> list[Way]:
    """Of more tacks and braces the best way; where none is told to be better the flattest, so that it is seen."""
    better = [w for w in plan.ways if _better(w.flatness_mm, w.chance_within, plan.chosen)]
    return sorted(better or plan.ways, key=lambda w: (-round(w.chance_within, 2), w.flatness_mm.mid))[:1]


def _way(plan: OrderPlan, way: Way, now_min: float) -> Choice:
    """The chosen order with one more tack, a bar, or both."""
    costs, minutes = [], now_min
    if way.tack is not None:
        x, y = (mm(v, 0) for v in way.tack.at_mm)
        costs.append(say("one more tack at x {x}, y {y}", x=x, y=y))
        minutes += TACK_MIN
    if way.bar is not None:
        start, end = way.bar.ends
        costs.append(say("a bar from {start} to {end}, on and off again", start=name(start), end=name(end)))
        minutes += BAR_MIN
    texts = {
        (True, False): template("{order}, one more tack"),
        (False, True): template("{order}, a bar between pads"),
        (True, True): template("{order}, one more tack and a bar"),
    }
    what = texts[way.tack is not None, way.bar is not None].fill(order=order_name(plan.chosen.name))
    return Choice(what, way.flatness_mm, way.chance_within, minutes, together(*costs, sep=", "), False)


def _preset(plan: OrderPlan, now_min: float) -> list[Choice]:
    """Pads set off beforehand, where that is told to be better."""
    preset = plan.preset
    if preset is None or not _better(preset.flatness_mm, preset.chance_within, plan.chosen):
        return []
    # a pad that rises begins as much farther from the brace; only what one pad needs more than another counts
    least = min(lift for _, lift in preset.lifts_mm)
    shims = [(pad, lift - least) for pad, lift in preset.lifts_mm if lift - least >= LEAST_SHIM_MM]
    if not shims:
        return []
    lifts = [say("{pad} {lift}", pad=name(pad), lift=mm(thick, 2)) for pad, thick in shims]
    what = say("{order}, pads set off beforehand", order=order_name(plan.chosen.name))
    cost = say("shims between brace and pads before tacking: {lifts}", lifts=every(lifts))
    return [Choice(what, preset.flatness_mm, preset.chance_within, now_min, cost, False)]


def choice_reason(found: Sequence[Choice]) -> Message:
    """Return why the chosen way is taken, from the table of choices."""
    if len(found) < 2:
        return Message("")
    chosen, others = found[0], found[1:]
    better = [
        c
        for c in others
        if c.chance_within > chosen.chance_within + TOLD_CHANCE or c.flatness_mm.mid < chosen.flatness_mm.mid - TOLD_MM
    ]
    if not better:
        return say(
            "Taken as planned: no other way is told to be flatter or likelier to stay within what the pads allow."
        )
    best = max(better, key=lambda c: (round(c.chance_within, 2), -c.flatness_mm.mid))
    text = (
        template(
            "Taken as planned: {other} would be flatter, {flatness}, for {minutes}, but as planned the pads stay within what "
            "they allow in nearly all drawn cases."
        )
        if chosen.chance_within >= NEARLY_ALL
        else template(
            "Taken as planned, with what the job has. Told to be better is {other}: {flatness} for {minutes}. Put it into the "
            "job where the pads matter more than the time."
        )
    )
    return text.fill(other=best.what, flatness=shown(best.flatness_mm), minutes=number(best.minutes, "min", 0))


def _choice(order: OrderResult, minutes: dict[str, float], cost: Message, chosen: bool) -> Choice:
    return Choice(order_name(order.name), order.flatness_mm, order.chance_within, minutes[order.name], cost, chosen)


def _better(flatness: Band, chance: float, than: OrderResult | WithoutBrace) -> bool:
    """Whether a way to weld is told to be better than another."""
    return chance > than.chance_within + TOLD_CHANCE or flatness.mid < than.flatness_mm.mid - TOLD_MM
