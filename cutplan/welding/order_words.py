"""What is said about orders, brace and choices: every sentence from the figures of one comparison."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from cutplan.pattern.job import Job
from cutplan.pattern.pads import Pad
from cutplan.tables.welding.order_names import order_name
from cutplan.texts import Message, every, mm, name, number, say, template
from cutplan.texts.values import Value
from cutplan.welding.box_words import box_words
from cutplan.welding.distortion import ExtraPlace, OrderPlan, OrderResult
from cutplan.welding.distortion.result import NEARLY_ALL, TOLD_MM, Searched
from cutplan.welding.later.words import after_all
from cutplan.welding.result import BraceFigure
from cutplan.welding.words import shown

#: A change below this share of what is there is not worth a tack or a brace [1] (our own).
WORTH = 0.1
#: A chance at which the draws tell the sign of a difference [1] (our own).
TOLD_SIGN = 0.7

#: Texts of a chance that is nearly one, of one that is hardly any, and of all between; of one pad and of several.
_CHANCE_OF_ONE: dict[tuple[bool, bool], Message] = {
    (True, False): template(
        "The pads stay within the {flatness} out of flat that they allow in nearly all drawn cases."
    ),
    (False, True): template(
        "The pads stay within the {flatness} out of flat that they allow in hardly any drawn case."
    ),
    (False, False): template(
        "The pads stay within the {flatness} out of flat that they allow in {share} of the drawn cases."
    ),
}
_CHANCE_OF_SEVERAL: dict[tuple[bool, bool], Message] = {
    (True, False): template(
        "The pads keep what they allow, {flatness} out of flat and {pitch} in their distances, in nearly all drawn cases."
    ),
    (False, True): template(
        "The pads keep what they allow, {flatness} out of flat and {pitch} in their distances, in hardly any drawn case."
    ),
    (False, False): template(
        "The pads keep what they allow, {flatness} out of flat and {pitch} in their distances, in {share} of the drawn cases."
    ),
}


def chance_figure(chance: float) -> str:
    """Return a chance [1] for a table, never surer than its draws: over or under what ``chance_words`` calls nearly all."""
    most = f"{100.0 * NEARLY_ALL:.0f} %"
    if chance >= NEARLY_ALL:
        return f"> {most}"
    return f"< {100.0 * (1.0 - NEARLY_ALL):.0f} %" if chance <= 1.0 - NEARLY_ALL else f"{100.0 * chance:.0f} %"


def chance_words(pads: Sequence[Pad], chance: float) -> Message:
    """Return how likely the pads keep what they allow, never surer than its draws.

    Parameters
    ----------
    pads : sequence of Pad
        One at least; of several the distances count too.
    chance : float
        Share of the draws [1].
    """
    most, least = chance >= NEARLY_ALL, chance <= 1.0 - NEARLY_ALL
    flatness = mm(min(p.flatness_mm for p in pads), 2)
    values: dict[str, Value] = {} if most or least else {"share": number(100.0 * chance, "%", 0)}
    if len(pads) > 1:
        pitch = mm(min(p.pitch_mm for p in pads), 2)
        return _CHANCE_OF_SEVERAL[most, least].fill(flatness=flatness, pitch=pitch, **values)
    return _CHANCE_OF_ONE[most, least].fill(flatness=flatness, **values)


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
        said.append(chance_words(job.pads, chosen.chance_within))
    if len(job.pads) > 1:
        said.append(say("Distances between pads change by up to {pitch}.", pitch=shown(chosen.pitch_mm)))
    said += after_all(plan.later, chosen.stitched, bool(job.pads))
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
    said += box_words(job, plan.searched.boxes)
    if plan.searched.every:
        said.append(_every(plan.searched))
        if plan.later is not None:
            said.append(say("What the welds after the stitches add was taken there from one order."))
    return tuple(said)


def _every(searched: Searched) -> Message:
    """That the stitches are few enough to look at all their orders."""
    text = (
        template(
            "The stitches are few: all {orders} orders of them were followed, each stitch either way, so in the drawn "
            "cases that the search looks at none is better than the computed order."
        )
        if searched.both_ways
        else template(
            "The stitches are few: all {orders} orders of them were followed, each stitch one way, so in the drawn "
            "cases that the search looks at none is better than the computed order."
        )
    )
    return text.fill(orders=searched.every)


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
    if not chosen.equal_to_best:
        text = template(
            "{order} is taken: it leaves the pads {flatness} out of flat in {minutes}. The best one, {best}, leaves "
            "{best_flatness} in {best_minutes}, which is more time than that little is worth where the pads keep what they allow."
        )
        times = {"minutes": chosen.minutes or 0.0, "best_minutes": best.minutes or 0.0}
        return _against(text, chosen, best, **{k: number(v, "min", 0) for k, v in times.items()})
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


def _against(text: Message, chosen: OrderResult, best: OrderResult, **more: Value) -> Message:
    return text.fill(
        order=order_name(chosen.name),
        flatness=shown(chosen.flatness_mm),
        best=order_name(best.name),
        best_flatness=shown(best.flatness_mm),
        **more,
    )


def brace_figure(job: Job, plan: OrderPlan | None) -> BraceFigure:
    """Return what the brace is worth, and where one more tack or brace would help, from the comparison."""
    present = plan.without_brace is not None if plan is not None else job.brace is not None
    if plan is None:
        return BraceFigure(present, None, None, say("Not computed: the order is by rule."), ())
    helpful = _helpful(plan)
    extras = tuple(_extra(e) for e in helpful)
    here = plan.chosen.flatness_mm
    if plan.without_brace is None:
        words = _no_brace(job, any(e.kind == "brace" for e in helpful))
        return BraceFigure(present, here if present else None, None if present else here, words, extras)
    return BraceFigure(True, here, plan.without_brace.flatness_mm, _brace_words(plan), extras)


def _no_brace(job: Job, listed: bool) -> Message:
    """That nothing braces the plate while it is welded, and whether a place for a brace is listed."""
    if job.brace is not None:
        return (
            say(
                "The brace comes off before the plate is tacked, so the welds do not feel it. The best place for one is listed."
            )
            if listed
            else say(
                "The brace comes off before the plate is tacked, so the welds do not feel it, and none of the braces tried would "
                "make the pads flatter."
            )
        )
    if listed:
        return say("No brace in the job: the best place for one is listed.")
    return say("No brace in the job, and none of the braces tried would make the pads flatter.")


def _helpful(plan: OrderPlan) -> list[ExtraPlace]:
    """One more tack or brace that is worth it, best first; with welds after the stitches those followed to their end."""
    least = (1.0 - WORTH) * plan.score_mm
    helpful = [e for e in plan.extra if e.score < least and plan.score_mm - e.score > TOLD_MM]
    if plan.later is not None:
        ends = {e.where: w.flatness_mm.mid for w in plan.ways if (e := w.tack or w.bar) and not (w.tack and w.bar)}
        here = plan.chosen.flatness_mm.mid
        told = {where for where, flat in ends.items() if flat < (1.0 - WORTH) * here and here - flat > TOLD_MM}
        helpful = [replace(e, flatness_mm=ends[e.where]) for e in helpful if e.where in told]
    return sorted(helpful, key=lambda e: (e.score, e.where))


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
