"""``[moved]``: the shift of a mount that a study recommends."""

from __future__ import annotations

from cutplan.files.job.declared.key import FARTHEST_MM, Key, length, table, text
from cutplan.texts import code, say

MOVED = table(
    "moved",
    say("from {command}: the mount's holes follow the gear", command=code("cutplan place")),
    text("study", say("the study file beside the job; it adds a page and a part of the report"), 120),
    Key(
        "shift",
        "lengths",
        say("shift of the mount: forward, left, up"),
        (),
        (-1000.0, FARTHEST_MM),
        need=say("the shift of the mount: {this}", this=code("shift = [forward, left, up]")),
    ),
    length(
        "tolerance",
        say("how far the mount may be off in any direction; the pads' pitch is held to it"),
        None,
        0.05,
        50.0,
    ),
    Key("holes", "names", say("names of the holes that move")),
    Key("pads", "names", say("names of the pads that move; those on a moved hole go with it")),
)
