"""``[joint]``: how plate and skin meet."""

from __future__ import annotations

from cutplan.files.job.declared.key import Key, Offer, choice, length, point, table
from cutplan.texts import code, listed, say

JOINT = table(
    "joint",
    say("how plate and skin meet"),
    choice(
        "kind", say("the plate fills the opening, or lies on the skin"), ("butt", "lap"), "butt", offer=Offer("butt")
    ),
    length("gap", say("root opening of a butt joint, all round"), 1.0, 0.0, 20.0, offer=Offer(1.0, 1.016)),
    length(
        "overlap",
        say("of a lap joint: plate over skin, all round"),
        None,
        0.0,
        500.0,
        usual=say("25 mm, or 5 times the thickness where that is more"),
    ),
    Key(
        "unwelded",
        "spans",
        say(
            "edges without weld: {sides} or stretches {this}, counter-clockwise",
            sides=listed([code('"top"'), code('"right"'), code('"bottom"'), code('"left"')]),
            this=code("{ from = [x, y], to = [x, y] }"),
        ),
        (),
        offer=Offer([]),
        keys=(
            point("from", say("where the stretch begins"), need=say("the point where the unwelded stretch begins")),
            point("to", say("where it ends"), need=say("the point where it ends, counter-clockwise round the plate")),
        ),
    ),
    offer=Offer(),
)
