"""What is said about readings and the stitches that are left: every sentence from the figures of one update."""

from __future__ import annotations

from collections.abc import Sequence

from cutplan.pattern.job import Job
from cutplan.tables.welding.order_names import order_name
from cutplan.texts import Message, code, every, name, plural, say, template
from cutplan.welding.bench.result import TACKS, BenchPlan, DialRead, GapRead, Outlook, Reread
from cutplan.welding.distortion.bench.result import RestPlan
from cutplan.welding.later.make import later_parts
from cutplan.welding.later.words import after_all, share, turn_words
from cutplan.welding.order_words import chance_words
from cutplan.welding.words import shown

#: What readings can tell of, to be read.
_LESSONS: dict[str, Message] = {
    "shrink": template("shrinkage across of a stitch"),
    "tendon": template("pull along of a stitch"),
    "angle": template("angle of a stitch"),
    "weld yield": template("yield strength of the weld metal"),
    "plate yield": template("yield strength of the plate"),
    "skin yield": template("yield strength of the skin"),
    "wall depth": template("depth of the box's walls"),
    "grip": template("stiffness of the vehicle around, over what was taken"),
    "weld height": template("height of the weld"),
    "gap": template("width of weld metal"),
    "flush": template("stiffness of magnets and clamps, over what was taken"),
}


def lesson_name(key: str) -> Message:
    """Return the name of an uncertain quantity to be read."""
    return _LESSONS[key]


def reading_name(reading: GapRead | DialRead) -> Message:
    """Return the name of a reading to be read."""
    if isinstance(reading, GapRead):
        return say("gap {station} after {stage}", station=name(reading.station), stage=_stage(reading.after))
    place = name(f"{reading.pad}.{reading.number}")
    return say("dial {place} after {stage}", place=place, stage=_stage(reading.after))


def _stage(after: str) -> Message:
    return say("the tacks") if after == TACKS else template("{bead}").fill(bead=name(after))


def headline(bench: BenchPlan) -> Message:
    """Return how to go on in one line.

    Parameters
    ----------
    bench : BenchPlan
        What is left.
    """
    if not bench.agrees:
        return say("STOP: the readings do not fit the plan. No new chance is given.")
    if not bench.left:
        names = every([name(w.name) for w in bench.later])
        if bench.kept:
            return say("Go on as planned. Left to weld: {names}", names=names)
        return say("New order. Left to weld: {names}", names=names)
    if bench.kept:
        return plural(
            "Go on as planned: {count} bead is left", "Go on as planned: {count} beads are left", len(bench.left)
        )
    return plural("New order: {count} bead is left", "New order: {count} beads are left", len(bench.left))


def reasons(job: Job, rest: RestPlan, readings: Sequence[Reread], before: Outlook) -> tuple[Message, ...]:
    """Return what the readings mean and how to go on, sentence by sentence.

    Parameters
    ----------
    job : Job
        Its pads say what is allowed.
    rest : RestPlan
        The rest of the order.
    readings : sequence of Reread
        The readings, said.
    before : Outlook
        What was to be expected before them.
    """
    if not readings:
        return (say("Nothing was read on the way: the plan stays as it is."),)
    if not rest.agrees:
        return _against(readings)
    said = [_way(rest)]
    if job.pads:
        said.append(chance_words(job.pads, rest.chosen.chance_within))
        said.append(say("Before these readings they did so in {share} of them.", share=share(before.chance)))
    if len(job.pads) > 1:
        said.append(say("Distances between pads change by up to {pitch}.", pitch=shown(rest.chosen.pitch_mm)))
    said += _after(job, rest)
    told = [_LESSONS[x.key] for x in rest.learnt if x.told]
    if told:
        said.append(say("The readings tell of: {quantities}.", quantities=every(told)))
    else:
        said.append(say("The readings tell of nothing that was uncertain: they are too few or too coarse for it."))
    return tuple(said)


def row_words(row: str) -> tuple[Message, ...]:
    """Return what to write down before the next readings; nothing where all is welded as planned.

    Parameters
    ----------
    row : str
        Beads in turn, as :func:`cutplan.welding.bench.history.written_row` gives them.
    """
    if not row:
        return ()
    return (
        say(
            "Before you read again, put this into the form in place of what it says of kind done, up to the last bead that is "
            "welded: {row}",
            row=code(f"done,{row},,,,,,"),
        ),
    )


def _after(job: Job, rest: RestPlan) -> list[Message]:
    """What holds after all welds, and in which order those after the stitches come."""
    parts = later_parts(job)
    if rest.later is None:
        return [say("Sleeves and ribs, welded after the stitches, are not in these figures.")] if parts else []
    done = rest.laid == len(rest.chosen.steps)
    said = [] if done else list(after_all(rest.later, rest.chosen.stitched, bool(job.pads)))
    said += turn_words(rest.later, any(p.kind == "sleeve" for p in parts))
    if rest.later.left_out:
        said.append(say("Not computed: {names}.", names=every([name(n) for n in rest.later.left_out])))
    return said


def _way(rest: RestPlan) -> Message:
    """How to go on."""
    now = shown(rest.chosen.flatness_mm)
    if rest.kept and not rest.later_kept:
        return say(
            "The stitches stay as planned, the welds after them come in a new order: it leaves the pads {now} out of flat.",
            now=now,
        )
    if rest.kept and not rest.chosen.equal_to_best:
        best = min((o for o in rest.orders if o.equal_to_best), key=lambda o: o.score_mm.mid)
        return say(
            "As planned it leaves the pads {now} out of flat; the best order of what is left, {best}, would leave {flatness}, "
            "and that little is not worth new numbers where the pads keep what they allow.",
            now=now,
            best=order_name(best.name),
            flatness=shown(best.flatness_mm),
        )
    if rest.kept:
        return say(
            "As planned it leaves the pads {now} out of flat; no order of what is left is told to be better.",
            now=now,
        )
    return say(
        "The new order, {order}, leaves the pads {now} out of flat; as planned it would be {planned}.",
        order=order_name(rest.chosen.name),
        now=now,
        planned=shown(rest.planned.flatness_mm),
    )


def _against(readings: Sequence[Reread]) -> tuple[Message, ...]:
    """Readings that the model cannot have made."""
    odd = [r for r in readings if r.odd]
    if odd:
        return (
            say("These readings stand against all others: {which}.", which=every([r.what for r in odd])),
            say("Read them again and correct the form. Until then nothing is changed, and no new chance is given."),
        )
    return (
        say(
            "The readings lie outside everything that the model can do, so no new chance is given and the order stays."
        ),
        say(
            "Stop and look before the next arc: was each dial set to zero before the first tack, does the brace sit tight, "
            "did a tack crack, are gap and settings those of the plan?"
        ),
        say(
            "If all is as planned, the part does not follow this model: weld on in short stitches, cold, and measure each."
        ),
    )
