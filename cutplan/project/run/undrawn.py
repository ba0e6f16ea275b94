"""Names whose letters the typeface of the documents does not have."""

from __future__ import annotations

from cutplan.drawing.font import SUBSTITUTE, not_drawn
from cutplan.findings import Finding
from cutplan.pattern.checks.check_names import own_names
from cutplan.pattern.job import Job
from cutplan.texts import Message, code, every, say


def undrawn_findings(job: Job) -> list[Finding]:
    """Return one warning for each name or text of the job that holds letters without a glyph."""
    texts: list[tuple[Message, str]] = [
        (say("the title"), job.about.title),
        (say("the area"), job.about.area),
        (say("the note"), job.about.note),
        (say("the revision"), job.about.revision),
        (say("the face"), job.marks.side_out),
        *own_names(job),
    ]
    found = []
    for what, text in texts:
        missing = not_drawn(text)
        if missing:
            found.append(
                Finding(
                    "letters-not-drawn",
                    "warning",
                    say(
                        "the typeface of the sheets has no glyph for {letters}: {mark} stands for each of them on paper",
                        letters=every([code(c) for c in missing]),
                        mark=code(SUBSTITUTE),
                    ),
                    what,
                    say("write it with Latin, Greek or Cyrillic letters"),
                )
            )
    return found
