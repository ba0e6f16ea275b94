"""What is said about the welds after the stitches: what they leave of the flatness, and in which order they come."""

from __future__ import annotations

from cutplan.findings import Finding
from cutplan.pattern.job import Job
from cutplan.texts import Message, every, name, number, say, template
from cutplan.welding.distortion.later.parts import LaterOrder, LaterPlan
from cutplan.welding.distortion.result import NEARLY_ALL, TOLD_CHANCE, AfterStitches
from cutplan.welding.result import OrderFigures
from cutplan.welding.words import shown

#: Orders to be read.
LATER_ORDERS: dict[str, Message] = {
    "sleeves first": template("sleeves first, then ribs from the middle of the plate out"),
    "ribs first": template("ribs first, from the middle of the plate out, then sleeves"),
    "outer ribs first": template("sleeves first, then ribs from the outside in"),
}


#: The same where there are no sleeves.
_RIBS_ALONE: dict[str, Message] = {
    "sleeves first": template("ribs from the middle of the plate out"),
    "ribs first": template("ribs from the middle of the plate out"),
    "outer ribs first": template("ribs from the outside in"),
}


def later_words(figures: OrderFigures, sleeves: bool = True, ribs: bool = True) -> tuple[Message, ...]:
    """Return what the welds after the stitches do to the pads, sentence by sentence; nothing where it was not computed.

    Parameters
    ----------
    figures : OrderFigures
        The comparison of orders.
    sleeves, ribs : bool
        Whether there are sleeves, and ribs, among these welds.
    """
    plan, before = figures.later, _stitched(figures)
    if plan is None or before is None:
        return ()
    last = plan.chosen
    said = [*_left(before, last), _taken_as(figures.brace.present, ribs)]
    said += turn_words(plan, sleeves)
    if plan.left_out:
        said.append(say("Not computed: {names}.", names=every([name(n) for n in plan.left_out])))
    return tuple(said)


def _taken_as(braced: bool, ribs: bool) -> Message:
    """How these welds were taken: what holds the plate, and how far ribs are welded."""
    if ribs and braced:
        return say(
            "Taken over their whole length, brace and clamps on until all is cold, ribs loose at their ends, all angles by our "
            "judgement: welds in short stretches bend less. Read the dials before and after each of these."
        )
    if ribs:
        return say(
            "Taken over their whole length, clamps on until all is cold, ribs loose at their ends, all angles by our judgement: "
            "welds in short stretches bend less. Read the dials before and after each of these."
        )
    if braced:
        return say(
            "Taken with brace and clamps on until all is cold, all angles by our judgement. Read the dials before and after each "
            "of these."
        )
    return say(
        "Taken with clamps on until all is cold, all angles by our judgement. Read the dials before and after each of these."
    )


def _left(stitched: AfterStitches, last: LaterOrder) -> list[Message]:
    """What the stitches leave and what is left after all welds; a single pad has no distance to another."""
    said = [
        say(
            "Out of flat after the last stitch: {stitched}; after all of these: {after}. The pads then stay within what they "
            "allow in {share} of the drawn cases; after the stitches in {before}.",
            stitched=shown(stitched.flatness_mm),
            after=shown(last.flatness_mm),
            share=share(last.chance_within),
            before=share(stitched.chance_within),
        )
    ]
    if last.pitch_mm.high > 0.0:
        said.append(say("Distances between pads change by up to {pitch}.", pitch=shown(last.pitch_mm)))
    return said


def _taken(stitched: AfterStitches, last: LaterOrder) -> Message:
    """What the welds after the stitches do, as a finding says it."""
    flatness = say(
        "from {stitched} to {after} out of flat", stitched=shown(stitched.flatness_mm), after=shown(last.flatness_mm)
    )
    pitch = say("change their distances by {pitch}", pitch=shown(last.pitch_mm))
    return say(
        "the welds of {names} after the stitches take the pads {changes}: within what they allow in {share} of the drawn cases",
        names=every([name(n) for n in last.parts]),
        changes=say("{flatness} and {pitch}", flatness=flatness, pitch=pitch) if last.pitch_mm.high > 0.0 else flatness,
        share=share(last.chance_within),
    )


def turn_words(plan: LaterPlan, sleeves: bool) -> list[Message]:
    """Return why the welds after the stitches come in this order; nothing where there is one only.

    Parameters
    ----------
    plan : LaterPlan
        What they do.
    sleeves : bool
        Whether there are sleeves among them.
    """
    if len(plan.orders) < 2:
        return []
    called = LATER_ORDERS if sleeves else _RIBS_ALONE
    others = [o for o in plan.orders if o.name != plan.chosen.name]
    if plan.equal:
        return [
            say(
                "As listed: {order}. No other order tried can be told from it.",
                order=called[plan.chosen.name],
            )
        ]
    worst = max(others, key=lambda o: o.flatness_mm.mid)
    return [
        say(
            "Keep their order, {order}: {other} would leave {flatness}.",
            order=called[plan.chosen.name],
            other=called[worst.name],
            flatness=shown(worst.flatness_mm),
        )
    ]


def after_all(later: LaterPlan | None, stitched: AfterStitches | None, pads: bool) -> tuple[Message, ...]:
    """Return that what is told of an order holds after all welds, and what it leaves after the last stitch.

    Parameters
    ----------
    later : LaterPlan or None
        What sleeves and ribs do.
    stitched : AfterStitches or None
        What the chosen order leaves after its last stitch.
    pads : bool
        Whether the job has pads, which allow something.
    """
    if later is None or stitched is None:
        return ()
    names, flatness = every([name(n) for n in later.chosen.parts]), shown(stitched.flatness_mm)
    if not pads:
        text = template(
            "Orders are compared after all welds, {names} after the stitches included: after the last stitch it is {stitched}."
        )
        return (text.fill(names=names, stitched=flatness),)
    text = template(
        "Orders are compared after all welds, {names} after the stitches included: after the last stitch it is {stitched} and "
        "{share} of the drawn cases."
    )
    return (text.fill(names=names, stitched=flatness, share=share(stitched.chance_within)),)


def later_doubts(job: Job, figures: OrderFigures) -> list[Finding]:
    """Return a finding where the welds after the stitches take the pads out of what they allow in more of the draws.

    Parameters
    ----------
    job : Job
        Its pads say what is allowed.
    figures : OrderFigures
        The comparison of orders.
    """
    return bend_doubts(job, figures.later, _stitched(figures))


def bend_doubts(job: Job, plan: LaterPlan | None, before: AfterStitches | None) -> list[Finding]:
    """Return the same from what these welds do and what the stitches leave.

    Parameters
    ----------
    job : Job
        Its pads say what is allowed.
    plan : LaterPlan or None
        What sleeves and ribs do.
    before : AfterStitches or None
        What the stitches leave.
    """
    if plan is None or before is None or not job.pads:
        return []
    last = plan.chosen
    if last.chance_within >= before.chance_within - TOLD_CHANCE:
        return []
    text = _taken(before, last)
    fix = say("weld ribs in short stretches, dials read after each, and leave out those that the plate does not need")
    return [Finding("later-welds-bend", "warning" if last.chance_within < 0.5 else "note", text, "skin.rib", fix)]


def _stitched(figures: OrderFigures) -> AfterStitches | None:
    return next((o.stitched for o in figures.compared if o.chosen), None)


def share(chance: float) -> Message:
    """Return a share of the drawn cases, never surer than they are many.

    Parameters
    ----------
    chance : float
        The share [1].
    """
    if chance >= NEARLY_ALL:
        return say("nearly all")
    if chance <= 1.0 - NEARLY_ALL:
        return say("hardly any")
    return say("{share}", share=number(100.0 * chance, "%", 0))
