"""How sure a traced plate is: a line for each hole with its standard errors, the outline, the scale, and what to do."""

from __future__ import annotations

from cutplan.pattern.plate import Hole
from cutplan.pattern.traced import COVER, TracedHole
from cutplan.sheets.page import CELL, SMALL, Builder
from cutplan.sheets.results import Results
from cutplan.texts import Message, mm, number, plural, say
from cutplan.units import format_length

#: Columns' shares of the table, and most holes in it.
_SHARES, _MOST = (1.0, 1.5, 1.5, 1.3, 1.3, 1.2), 60


def traced_page(b: Builder, results: Results) -> None:
    """Write how sure each hole is, where the plate was traced from pictures."""
    job, traced = results.job, results.job.origin.traced
    if traced is None:
        return
    b.page(say("Traced plate: how sure it is"))
    b.para(
        b.say(
            say(
                "The outline comes from pictures of a cardboard template. Standard error: {scale} % of every length, and "
                "{edge} at the edges. Two of three plates lie within one standard error, nineteen of twenty within two.",
                scale=number(100.0 * traced.scale_error, "", 3),
                edge=mm(traced.edge_error_mm, 2),
            )
        ),
        CELL,
    )
    if traced.print_scale is not None:
        along, across = (100.0 * (s - 1.0) for s in traced.print_scale)
        text = say("The printer of the marks prints {along} % too long along the strips and {across} % across: corrected.",
                   along=number(along, "", 2), across=number(across, "", 2))  # fmt: skip
        b.para(b.say(text), SMALL)
    head: list[Message | str] = [
        say("Hole"),
        "cut.purpose",
        say("Diameter"),
        say("Standard error"),
        say("of its place"),
    ]
    head.append(say("Proved"))
    known = {h.name: h for h in traced.holes}
    rows = [_row(b, h, known.get(h.name)) for h in job.plate.holes[:_MOST]]
    if rows:
        b.table([[b.say(h) for h in head], *rows], _SHARES, tag="traced", title=b.say(say("Holes as traced")))
    if len(job.plate.holes) > _MOST:
        text = plural(
            "and {count} more hole: see the file beside the drawing",
            "and {count} more holes: see the file beside the drawing",
            len(job.plate.holes) - _MOST,
        )
        b.para(b.say(text), SMALL)
    text = say("Allowed deviations of distances are less by {cover} standard errors of the plan. Before you cut, hold the "
               "card and the printed template against the vehicle.", cover=number(COVER, "", 0))  # fmt: skip
    b.para(b.say(text), SMALL)
    if not all(h.proved for h in traced.holes):
        b.box(b.say(say("Holes marked NO were seen from one side only: measure them on the card before you cut.")))


def _row(b: Builder, hole: Hole, sure: TracedHole | None) -> list[str]:
    size = format_length(hole.diameter_mm, b.job.shown.display, 2) if hole.diameter_mm else b.say(say("another shape"))
    if sure is None:
        return [hole.name, b.say(f"purpose.{hole.purpose}"), size, "–", "–", b.say(say("not traced"))]
    error = (
        "–" if sure.diameter_error_mm is None else "± " + format_length(sure.diameter_error_mm, b.job.shown.display, 2)
    )
    place = "± " + format_length(sure.place_error_mm, b.job.shown.display, 2)
    return [
        hole.name,
        b.say(f"purpose.{hole.purpose}"),
        size,
        error,
        place,
        b.say(say("yes") if sure.proved else say("NO")),
    ]
