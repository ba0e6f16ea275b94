"""What is said about orders, brace and choices: every sentence from the figures of one comparison."""

from __future__ import annotations

from cutplan.pattern.job import Job
from cutplan.tables.band import Band
from cutplan.texts import Message, every, mm, name, number, say, template
from cutplan.welding.distortion import ExtraPlace, OrderPlan, OrderResult, WithoutBrace
from cutplan.welding.distortion.compare import TOLD_CHANCE, TOLD_MM
from cutplan.welding.result import BraceFigure, Choice
from cutplan.welding.words import shown

#: Orders to be read; keys are those of the job file.
ORDER_NAMES: dict[str, Message] = {
    "once round": template("once round"),
    "once round, back-step": template("once round, back-step"),
    "opposite pairs": template("opposite pairs"),
    "sectors": template("sectors"),
    "skip": template("skip"),
    "ends last": template("ends last"),
    "computed order": template("computed order"),
    "opposite pairs, back-step (rule)": template("opposite pairs, back-step (rule)"),
    "as planned": template("as planned"),
}
#: A change below this share of what is there is not worth a tack or a brace [1] (our own).
WORTH = 0.1
#: A chance at which the draws tell the sign of a difference [1] (our own).
TOLD_SIGN = 0.7
#: An order that takes less than this share of the chosen order's time is worth a row of its own [1] (our own).
FASTER = 0.8


def order_name(key: str) -> Message:
    """Return the name of an order to be read."""
    return ORDER_NAMES[key]


def chance_words(allowed_mm: float, chance: float) -> Message:
    """Return how likely the pads keep what they allow [mm], never surer than its draws [1]."""
    if chance >= 0.985:
        text = template("The pads stay within the {flatness} out of flat that they allow in nearly all drawn cases.")
    elif chance <= 0.015:
        text = template("The pads stay within the {flatness} out of flat that they allow in hardly any drawn case.")
    else:
        text = template(
            "The pads stay within the {flatness} out of flat that they allow in {share} of the drawn cases."
        )
        return text.fill(flatness=mm(allowed_mm, 2), share=number(100.0 * chance, "%", 0))
    return text.fill(flatness=mm(allowed_mm, 2))


def reasons(job: Job, plan: OrderPlan) -> tuple[Message, ...]:
    """Return why this order, sentence by sentence.

    Parameters
    ----------
    job : Job
        Its pads say what is allowed.
    plan : OrderPlan
        The comparison.
    """
    chosen, best = plan.chosen, plan.best
    said = [_main(plan)]
    if job.pads:
        said.append(chance_words(min(p.flatness_mm for p in job.pads), chosen.chance_within))
    others = [o for o in plan.orders if o.equal_to_best and o.name != chosen.name]
    if others and chosen.equal_to_best:
        said.append(
            say(
                "Not to be told from it: {orders}. Any of them may be welded instead.",
                orders=every([order_name(o.name) for o in others]),
            )
        )
    elif not others and best.name == chosen.name and len(plan.orders) > 1:
        rival = min((o for o in plan.orders if o.name != chosen.name), key=lambda o: o.score_mm.mid)
        said.append(
            say(
                "The next best, {rival}, leaves {flatness}.",
                rival=order_name(rival.name),
                flatness=shown(rival.flatness_mm),
            )
        )
    return tuple(said)


def _main(plan: OrderPlan) -> Message:
    chosen, best = plan.chosen, plan.best
    if plan.wanted:
        if chosen.name == best.name:
            return say(
                "The job asks for {order}; no order tried can be told to be better. It leaves the pads {flatness} out of flat.",
                order=order_name(chosen.name),
                flatness=shown(chosen.flatness_mm),
            )
        text = (
            template(
                "The job asks for {order}: {flatness} out of flat, not to be told from the {best_flatness} "
                "of the best one, {best}."
            )
            if chosen.equal_to_best
            else template(
                "The job asks for {order}: {flatness} out of flat; the best one, {best}, leaves {best_flatness}."
            )
        )
        return _against(text, chosen, best)
    if chosen.name == best.name:
        return say(
            "No order tried can be told to be better than {order}: it leaves the pads {flatness} out of flat.",
            order=order_name(chosen.name),
            flatness=shown(chosen.flatness_mm),
        )
    if chosen.flatness_mm.mid <= best.flatness_mm.mid:
        return say(
            "{order} is taken: it leaves the pads {flatness} out of flat, no order tried can be told to be better, and "
            "of those as good that can be followed by hand it takes the least time.",
            order=order_name(chosen.name),
            flatness=shown(chosen.flatness_mm),
        )
    return _against(
        template(
            "{order} is taken: it leaves the pads {flatness} out of flat, not to be told from the {best_flatness} "
            "of the best one, {best}, and of those as good that can be followed by hand it takes the least time."
        ),
        chosen,
        best,
    )


def _against(text: Message, chosen: OrderResult, best: OrderResult) -> Message:
    return text.fill(
        order=order_name(chosen.name),
        flatness=shown(chosen.flatness_mm),
        best=order_name(best.name),
        best_flatness=shown(best.flatness_mm),
    )


def brace_figure(job: Job, plan: OrderPlan | None) -> BraceFigure:
    """Return what the brace is worth, and where one more tack or brace would help, from the comparison."""
    present = plan.without_brace is not None if plan is not None else job.brace is not None
    if plan is None:
        return BraceFigure(present, None, None, say("Not computed: the order is by rule."), ())
    helpful = [e for e in plan.extra if e.score < (1.0 - WORTH) * plan.score_mm and plan.score_mm - e.score > TOLD_MM]
    extras = tuple(_extra(e) for e in sorted(helpful, key=lambda e: (e.score, e.where)))
    here = plan.chosen.flatness_mm
    if plan.without_brace is None:
        words = (
            say("No brace in the job: the best place for one is listed.")
            if any(e.kind == "brace" for e in helpful)
            else say("No brace in the job, and none of the braces tried would make the pads flatter.")
        )
        return BraceFigure(present, here if present else None, None if present else here, words, extras)
    return BraceFigure(True, here, plan.without_brace.flatness_mm, _brace_words(plan), extras)


def _brace_words(plan: OrderPlan) -> Message:
    bare, here = plan.without_brace, plan.chosen
    assert bare is not None
    gain = bare.flatness_mm.mid - here.flatness_mm.mid
    if gain > TOLD_MM and bare.flatter_with >= TOLD_SIGN:
        text = template("The brace takes {gain} off the pads' flatness: {without} without it, {with_it} with it.")
        return text.fill(gain=mm(gain, 2), without=shown(bare.flatness_mm), with_it=shown(here.flatness_mm))
    if -gain > TOLD_MM and bare.flatter_with <= 1.0 - TOLD_SIGN:
        text = template(
            "The pads end up flatter without the brace, {without}, than with it, {with_it}: "
            "it springs back when it comes off. It still holds the mount in place while the skin is open."
        )
    else:
        text = template(
            "For flatness the brace changes less than can be told: {without} without it, {with_it} with it. "
            "It holds the mount in place while the skin is open."
        )
    return text.fill(without=shown(bare.flatness_mm), with_it=shown(here.flatness_mm))


def _extra(extra: ExtraPlace) -> Message:
    """One more tack by its place on the plate; a brace by the pads that it joins."""
    flatness = mm(extra.flatness_mm, 2)
    if extra.kind == "tack":
        return say(
            "One more tack at x {x}, y {y}: {flatness} out of flat",
            x=mm(extra.at_mm[0], 0),
            y=mm(extra.at_mm[1], 0),
            flatness=flatness,
        )
    start, end = extra.ends
    return say(
        "A bar from {start} to {end}: {flatness} out of flat", start=name(start), end=name(end), flatness=flatness
    )


def choices(job: Job, plan: OrderPlan, minutes: dict[str, float]) -> tuple[Choice, ...]:
    """Return ways to weld the job side by side: as planned, the best, the quickest, without brace, with a preset.

    Parameters
    ----------
    job : Job
        The job.
    plan : OrderPlan
        The comparison.
    minutes : dict of str to float
        Time of each order [min].
    """
    chosen, best = plan.chosen, plan.best
    found = [_choice(chosen, minutes, say("as planned"), True)]
    flattest = min(plan.orders, key=lambda o: o.flatness_mm.mid)
    for other in {o.name: o for o in (best, flattest)}.values():
        if other.name != chosen.name and other.flatness_mm.mid < chosen.flatness_mm.mid:
            cost = say("follow the table bead by bead") if other.name == "computed order" else say("nothing more")
            found.append(_choice(other, minutes, cost, False))
    quick = min(plan.orders, key=lambda o: (round(minutes[o.name], 1), o.score_mm.mid))
    if minutes[quick.name] < FASTER * minutes[chosen.name] and quick.name not in (
        chosen.name,
        best.name,
        flattest.name,
    ):
        found.append(_choice(quick, minutes, say("nothing more"), False))
    preset, bare = plan.preset, plan.without_brace
    if preset is not None and _better(preset.flatness_mm, preset.chance_within, chosen):
        lifts = [say("{pad} {lift}", pad=name(pad), lift=mm(-lift, 2)) for pad, lift in preset.lifts_mm]
        found.append(
            Choice(
                say("{order}, pads set off beforehand", order=order_name(chosen.name)),
                preset.flatness_mm,
                preset.chance_within,
                minutes[chosen.name],
                say("shims under the brace before tacking: {lifts}", lifts=every(lifts)),
                False,
            )
        )
    if bare is not None and not _better(chosen.flatness_mm, chosen.chance_within, bare):
        found.append(
            Choice(
                say("{order}, no brace while welding", order=order_name(chosen.name)),
                bare.flatness_mm,
                bare.chance_within,
                minutes[chosen.name],
                say("nothing holds the mount while the skin is open"),
                False,
            )
        )
    return tuple(found)


def _choice(order: OrderResult, minutes: dict[str, float], cost: Message, chosen: bool) -> Choice:
    return Choice(order_name(order.name), order.flatness_mm, order.chance_within, minutes[order.name], cost, chosen)


def _better(flatness: Band, chance: float, than: OrderResult | WithoutBrace) -> bool:
    """Whether a way to weld is told to be better than another."""
    return chance > than.chance_within + TOLD_CHANCE or flatness.mid < than.flatness_mm.mid - TOLD_MM
