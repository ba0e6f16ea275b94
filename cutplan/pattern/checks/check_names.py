"""Names of a job's own things against each other, and against those that the plan gives to what it adds."""

from __future__ import annotations

import re

from cutplan.findings import Finding
from cutplan.pattern.job import Job
from cutplan.texts import Message, every, name, say

#: What the plan calls by a letter and a number: nothing else of a job should be called so.
PLAN_NAMES = {
    "B": say("bridges of the opening"),
    "C": say("cuts of the opening"),
    "D": say("holes drilled in the waste"),
    "E": say("corners of the plate that are measured"),
    "G": say("stations where the gap is measured"),
    "K": say("check crosses of the templates"),
    "M": say("datum marks"),
    "S": say("stitches"),
    "T": say("tacks"),
    "W": say("windows to look behind the skin"),
}
_PLANNED = re.compile(rf"([{''.join(PLAN_NAMES)}])\d{{1,3}}")


def own_names(job: Job) -> list[tuple[Message, str]]:
    """Return what the job itself names, with its place in the file; a pad may bear the name of a hole in it."""
    holes = {h.name for h in job.plate.holes}
    return [
        *((say("hole {name}", name=name(h.name)), h.name) for h in job.plate.holes),
        *((say("pad {name}", name=name(p.name)), p.name) for p in job.pads if p.name not in holes),
        *((say("rib {name}", name=name(r.name)), r.name) for r in job.skin.ribs),
        *((say("tube {name}", name=name(w.name)), w.name) for w in job.beside.wraps),
        *((say("flange {name}", name=name(f.name)), f.name) for f in job.beside.flanges),
    ]


def name_findings(job: Job) -> list[Finding]:
    """Return names that mean two things on the sheets: two things of the job, or one and something of the plan."""
    found = []
    first: dict[str, Message] = {}
    for what, text in own_names(job):
        key = text.strip().casefold()
        if key in first and first[key] != what:
            message = say("{one} and {other} are called alike", one=first[key], other=what)
            fix = say("give each its own name: the sheets tell them apart by nothing else")
            found.append(Finding("name-twice", "warning", message, what, fix))
        first.setdefault(key, what)
    for what, text in own_names(job):
        planned = _PLANNED.fullmatch(text.strip())
        if planned:
            message = say(
                "{what} is called as the plan calls {those}: on a sheet the name could mean either",
                what=what,
                those=PLAN_NAMES[planned[1]],
            )
            fix = say(
                "give it another name, a word or a letter that is not one of {letters}",
                letters=every(sorted(PLAN_NAMES)),
            )
            found.append(Finding("name-of-the-plan", "warning", message, what, fix))
    return found
