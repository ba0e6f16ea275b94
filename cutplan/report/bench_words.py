"""The words of the bench view; its script fills in what stands in braces."""

from __future__ import annotations

from cutplan.texts import Message, Reader, say

WORDS: dict[str, Message] = {
    "bench": say("At the bench"),
    "back": say("Back to the report"),
    "step": say("Step {{n}} of {{total}}"),
    "jump": say("Go to"),
    "done": say("Done"),
    "next": say("Next"),
    "before": say("Back"),
    "wait": say("Wait before this step"),
    "begin_wait": say("Start the wait"),
    "over": say("The wait is over"),
    "skip": say("Skip the wait"),
    "plan": say("plan {{plan}}"),
    "limits": say("allowed {{low}} to {{high}}"),
    "within": say("within"),
    "out": say("out: {{off}}"),
    "no_number": say("this is no length"),
    "flat": say("out of flat {{flat}}, allowed {{allowed}}"),
    "more": say("{{n}} more places of this pad"),
    "taken": say("{{n}} of {{total}} readings taken"),
    "save": say("Save measured.csv"),
    "dark": say("Dark"),
    "light": say("Light"),
    "again": say("Begin again"),
    "sure": say("Forget every tick and reading?"),
    "kept": say("Ticks and readings are kept on this device."),
    "not_kept": say("This browser keeps nothing here: save measured.csv before you close the page."),
    "ticked": say("{{n}} of {{total}} steps done"),
}


def bench_words(read: Reader) -> dict[str, str]:
    """Return the words of the bench view for a reader."""
    return {key: read(message) for key, message in WORDS.items()}
