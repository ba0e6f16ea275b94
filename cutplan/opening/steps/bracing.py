"""The step that puts the brace on, and the brace in one line for the sheets."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from cutplan.opening.model import Step
from cutplan.opening.steps.words import brace_said, section_said
from cutplan.pattern.brace import FittedBrace
from cutplan.pattern.job import Job
from cutplan.texts import Message, listed, mm, plural, say


def brace_step(job: Job, braces: Sequence[FittedBrace]) -> Step | None:
    """Return the step that puts the brace on before anything is cut; None where the job needs none.

    Parameters
    ----------
    job : Job
        Whether the job names a brace.
    braces : sequence of FittedBrace
        The braces as fitted.
    """
    first = next((b for b in braces if b.on == "marked"), None)
    if first is None:
        if not (job.pads or job.brace):
            return None
        return Step(
            0,
            "brace",
            say("Hold the skin"),
            (say("No brace fits on the skin with room for the tools: hold it from outside before anything is cut."),),
        )
    texts: list[Message] = []
    if job.brace is None:
        texts.append(say("The job names no brace. This one is proposed (common practice)."))
    texts.append(say("Tack on {brace}, where the picture shows it.", brace=brace_said(first)))
    lengths = sorted({round(b.length_mm) for b in first.bars}, reverse=True)
    texts.append(
        plural(
            "Length {lengths}.",
            "{count} bars, length {lengths}.",
            len(first.bars),
            lengths=listed(mm(v, 0) for v in lengths),
        )
    )
    texts.append(say("Two short tacks at each cross, {tacks} in all: they are ground off again.", tacks=first.tacks))
    if first.off == "open":
        texts.append(
            say("It stands where the plate comes to lie: take it off when the opening is dressed, not before.")
        )
    else:
        texts.append(say("It stays on until the last weld is cold."))
    if any(b.design == "part" for b in braces):
        texts.append(say("The real part goes on later, bolted to the plate's pads once the plate is tacked."))
    return Step(0, "brace", say("Put the brace on"), tuple(texts))


def with_brace_note(steps: tuple[Step, ...], needed: int | None) -> tuple[Step, ...]:
    """Return the steps with the brace's own telling before which step it must be on."""
    first = next((s.number for s in steps if s.kind in ("cut", "drop")), None)
    if first is None:
        return steps
    note = say("It must be on before step {step}.", step=needed or first)
    return tuple(replace(s, text=(*s.text, note)) if s.kind == "brace" else s for s in steps)


def brace_line(job: Job, braces: Sequence[FittedBrace]) -> Message:
    """Return the brace in one line; empty where there is none."""
    if not braces:
        return say("Brace: none fits on the skin.") if job.pads or job.brace else Message("")
    first, *more = braces
    said = brace_said(first)
    if more:
        return say("Brace: {brace}; then {part}.", brace=said, part=section_said(more[0].section))
    if job.brace is None:
        return say("Brace: none in the job; proposed: {brace}.", brace=said)
    return say("Brace: {brace}.", brace=said)
