"""The brace chosen by computation: every design that fits the skin compared for stiffness, reach of the tool, tacks."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from typing import TYPE_CHECKING

from cutplan.findings import Finding
from cutplan.geometry.contour import Contour
from cutplan.opening.brace.model import BraceChoice
from cutplan.opening.brace.reach import blocked_mm, missed_share
from cutplan.opening.cuts.surroundings import around
from cutplan.opening.cuts.toolset import toolset
from cutplan.pattern.brace_designs import layouts, under_mm
from cutplan.pattern.job import Job
from cutplan.tables.band import Band
from cutplan.texts import Message, mm, say

if TYPE_CHECKING:
    from cutplan.opening.brace.stiffness import Kept

#: A design that keeps less than this share more than another does not count as stiffer [1].
ALIKE = 0.05
#: Share of the line's straight length that a tool may fail to reach, to be finished from beside [1].
MISSED = 0.02
#: Length of the line that no tool reaches, below which a file or a chisel finishes it [mm]. Our own.
BLOCKED_MM = 1.0


def brace_choices(job: Job, line: Contour) -> tuple[BraceChoice, ...]:
    """Return every design with what it is worth, the one chosen marked; empty for a job without pads and brace.

    Parameters
    ----------
    job : Job
        Skin, pads, tools and the wish.
    line : Contour
        Net line of the opening [mm].

    Notes
    -----
    The job's own design is taken where it names one. Else, among the designs that leave every stretch of the line to
    some tool and most of it to the main one, the one that keeps the skin stiffest; of those alike within a twentieth the
    one with the fewest tacks to grind off.
    """
    if not (job.pads or job.brace):
        return ()
    return _choices(
        replace(job, planned=replace(job.planned, braces=None), origin=replace(job.origin, findings=())), line
    )


@lru_cache(maxsize=8)
def _choices(job: Job, line: Contour) -> tuple[BraceChoice, ...]:
    from cutplan.opening.brace.stiffness import across_of  # the plate model: only where a brace is chosen

    laid = layouts(job, line, under_mm(job))
    made = [x.brace for x in laid if x.brace is not None]
    across = across_of(job, line, None)
    found = {held: across.kept(across.skin, held, made) for held in (True, False)}
    kit = toolset(replace(job, planned=replace(job.planned, braces=())), line)
    out: list[BraceChoice] = []
    k = 0
    for x in laid:
        if x.brace is None:
            out.append(BraceChoice(x.design, x.section, None, None, None, 0.0, False, x.lacks_mm))
            continue
        k += 1
        near = around(job, [x.brace])
        missed, blocked = missed_share(line, kit, near), blocked_mm(job, line, kit, near)
        pull, fold = (_band(found[True][k], found[False][k], way) for way in ("pull", "fold"))
        out.append(BraceChoice(x.design, x.section, x.brace, pull, fold, missed, False, 0.0, blocked))
    bare = (_band(found[True][0], found[False][0], "pull"), _band(found[True][0], found[False][0], "fold"))
    none = BraceChoice(None, laid[0].section, None, *bare, 0.0, False, 0.0)
    chosen = _chosen(job, out)
    return (none, *(replace(c, chosen=c is chosen) for c in out))


def _chosen(job: Job, found: list[BraceChoice]) -> BraceChoice | None:
    able = [c for c in found if c.brace is not None]
    wanted = job.brace.design if job.brace is not None else None
    named = next((c for c in able if c.design == wanted), None)
    if named is not None or not able:
        return named
    # a bar flat on the skin over the cuts leaves no way in for the plate either
    above = [c for c in able if c.design != "flush"] or able
    cut = [c for c in above if c.blocked_mm <= BLOCKED_MM]
    reached = [c for c in cut if c.missed <= MISSED] or cut or above
    best = max(c.score for c in reached)
    alike = [c for c in reached if c.score >= (1.0 - ALIKE) * best]
    return min(alike, key=lambda c: (c.tacks, -round(c.score, 6)))


def _band(held: Kept, loose: Kept, way: str) -> Band:
    a, b = getattr(held, way), getattr(loose, way)
    return Band(min(a, b), 0.5 * (a + b), max(a, b), "1", "plate model")


def brace_findings(job: Job, choices: tuple[BraceChoice, ...]) -> list[Finding]:
    """Return what the user should know about the brace: none that fits, or a wish that could not be met."""
    if not choices:
        return []
    chosen = next((c for c in choices if c.chosen and c.brace is not None), None)
    if chosen is None:
        return [_none_fits(choices)]
    out = _passed_over(job, choices, chosen)
    if chosen.blocked_mm > BLOCKED_MM:
        out.append(
            Finding(
                "brace-blocks-cuts",
                "warning",
                say("beside the brace no tool at all gets along {length} of the line", length=mm(chosen.blocked_mm, 0)),
                "brace",
                say("leave the design to the plan, or choose a smaller section: see the table of braces"),
            )
        )
    if chosen.missed > MISSED:
        out.append(
            Finding(
                "brace-beside-cuts",
                "note",
                say("a grinder does not get past the brace everywhere: slower tools finish the cuts beside it"),
                "brace",
                say("another design or a smaller section would leave it room"),
            )
        )
    return out


def _none_fits(choices: tuple[BraceChoice, ...]) -> Finding:
    """No brace at all: none has room on the skin, or none leaves every cut to a tool."""
    if any(c.brace is not None for c in choices):
        return Finding(
            "brace-blocks-all",
            "warning",
            say("with every brace that fits on the skin some cut is left to no tool: the plan is made without one"),
            "brace",
            say(
                "hold the skin from outside before anything is cut, or name a smaller section or a tool that gets past it"
            ),
        )
    least = min((c.lacks_mm for c in choices if c.lacks_mm > 0.0), default=0.0)
    return Finding(
        "brace-no-room",
        "warning",
        say("no brace fits on the skin between opening and walls: at least {lacks} of room lack", lacks=mm(least, 0)),
        "skin.walls",
        say("hold the skin from outside, or brace between the walls of the box"),
    )


def _passed_over(job: Job, choices: tuple[BraceChoice, ...], chosen: BraceChoice) -> list[Finding]:
    """The brace wanted, or the best of the table, that the plan does not take, and why."""
    wish, other = job.brace, say("the plan takes another one: see the table of braces")
    wanted = next(
        (c for c in choices if wish is not None and wish.design is not None and c.design == wish.design), None
    )
    if wanted is not None and wanted.brace is None:
        said = say("the brace wanted does not fit on the skin: {lacks} of room lack", lacks=mm(wanted.lacks_mm, 0))
        return [Finding("brace-wish-no-room", "warning", said, "brace.design", other)]
    if wanted is not None and wanted.design != chosen.design:
        said = say("with the brace wanted some cut is left to no tool")
        return [Finding("brace-wish-blocks", "warning", said, "brace.design", other)]
    best = _chosen(job, list(choices))
    if best is not None and best.design != chosen.design:
        said = say("with the best brace of the table some cut is left to no tool")
        return [Finding("brace-passed-over", "note", said, "brace", other)]
    return []


def method_said() -> Message:
    """Return how the figures were found, in words."""
    return say(
        "Model: the skin between its walls as a thin plate, pulled apart in its plane and folded out of it; walls held or "
        "giving way are the ends of each band; the brace as beams at its own height. Ribs and the box's twist are left "
        "out: it ranks designs, it is no measurement and no strength."
    )
