"""Strokes gathered into closed loops; what stays open or branches is kept apart to be judged with the whole in view."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from cutplan.errors import LimitError
from cutplan.files.limits import MAX_ARCS, MAX_LOOSE_ARCS, MAX_MEETING, MAX_STROKES
from cutplan.files.outline import repeats
from cutplan.files.outline.account import Aside
from cutplan.files.outline.crossings import self_crossings
from cutplan.files.outline.joining import Bridge, Chain, walk, weave
from cutplan.files.outline.loops import Loop, with_circle
from cutplan.files.outline.loose.tangles import Branching, untangle
from cutplan.files.outline.nesting import without_repeats
from cutplan.files.outline.strokes import Stroke, to_strokes, total_length
from cutplan.files.traces import Trace
from cutplan.findings import Finding
from cutplan.texts import place, plural, say
from cutplan.tolerance import JOIN_MM

#: Why a closed line without area is no outline.
ENCLOSES_NOTHING = say("closed line that encloses nothing")


@dataclass(slots=True)
class Gathered:
    """Closed loops, open chains, branched groups, bridged gaps and notes of a drawing, with its drawn lengths [mm]."""

    loops: list[Loop] = field(default_factory=list)
    chains: list[Chain] = field(default_factory=list)
    branches: list[Branching] = field(default_factory=list)
    bridges: list[Bridge] = field(default_factory=list)
    findings: list[Finding] = field(default_factory=list)
    asides: list[Aside] = field(default_factory=list)
    drawn_mm: float = 0.0
    duplicate_mm: float = 0.0


def gather(traces: list[Trace], mm_per_unit: float, bridge_mm: float) -> Gathered:
    """Return what traces draw, in millimetres, with repeats removed and small gaps bridged.

    Raises
    ------
    LimitError
        When the drawing holds more arcs than are read.
    """
    out = Gathered()
    made = to_strokes(traces, mm_per_unit)
    strokes = [s for s in made if s is not None]
    if sum(int(np.count_nonzero(s.bulge)) for s in strokes if s.circle is None) > MAX_ARCS:
        raise LimitError(
            say("the drawing holds more than {max_arcs} arcs", max_arcs=MAX_ARCS),
            hint=say("keep only the plate's layer"),
        )
    out.drawn_mm = total_length(strokes)
    nothing = len(made) - len(strokes)
    if nothing:
        out.findings.append(
            Finding(
                "zero-length-dropped",
                "note",
                plural(
                    "{count} drawn thing without length was dropped",
                    "{count} drawn things without length were dropped",
                    nothing,
                ),
                "",
                say("left out"),
            )
        )
    out.loops = [closed_loop(s) for s in strokes if s.circle is not None or s.gap <= JOIN_MM]
    rest = [s for s in strokes if s.circle is None and s.gap > JOIN_MM]
    if rest:
        _join(rest, bridge_mm, out)
    out.loops = [with_circle(loop) for loop in out.loops]
    out.loops, findings, again_mm = without_repeats(out.loops)
    out.duplicate_mm += again_mm
    out.findings += findings
    out.loops, findings, flat = self_crossings(out.loops)
    out.findings += findings
    out.asides += [Aside(loop.xy, loop.bulge, "left_aside", ENCLOSES_NOTHING) for loop in flat]
    return out


def closed_loop(s: Stroke) -> Loop:
    """Return the loop of a stroke whose ends are one point."""
    xy = s.xy
    if not np.array_equal(xy[0], xy[-1]):
        xy = np.vstack([xy[:-1], xy[:1]])
        if len(xy) > 2 and np.hypot(*(xy[-1] - xy[-2])) <= JOIN_MM:  # the closing piece was the whole gap
            return Loop(np.vstack([xy[:-2], xy[:1]]), s.bulge[:-1], s.where, s.layer, s.circle, s.fitted)
    return Loop(xy, s.bulge, s.where, s.layer, s.circle, s.fitted)


def _join(rest: list[Stroke], bridge_mm: float, out: Gathered) -> None:
    """Add loops made of strokes that are not closed by themselves."""
    if len(rest) > MAX_STROKES:
        raise LimitError(
            say("more than {max_strokes} loose lines and arcs would have to be joined", max_strokes=MAX_STROKES),
            hint=say("keep only the plate's layer"),
        )
    if sum(1 for s in rest if s.bulge[0] != 0.0) > MAX_LOOSE_ARCS:
        raise LimitError(
            say("more than {max_loose_arcs} loose arcs would have to be joined", max_loose_arcs=MAX_LOOSE_ARCS),
            hint=say("keep only the plate's layer"),
        )
    once, findings = repeats.without_repeats(rest)
    out.duplicate_mm += total_length(rest) - total_length(once) if len(once) < len(rest) else 0.0
    rest = once
    out.findings += findings
    web, out.bridges = weave(rest, bridge_mm)
    if int(web.degrees().max(initial=0)) > MAX_MEETING:
        x, y = web.places[int(np.argmax(web.degrees()))]
        raise LimitError(
            say("more than {max_meeting} lines and arcs meet at one point", max_meeting=MAX_MEETING),
            say("{at}", at=place(x, y, 3)),
            say("keep only the plate's layer"),
        )
    joined = walk(web)
    out.loops += joined.loops
    chains = joined.chains
    again = [i for group in joined.tangles for i in group]
    settled = [chain for chain in chains if chain.pieces == 1 and (chain.is_line or chain.filled)]
    kept = {chain.members for chain in settled}
    again += [i for chain in chains if chain.members not in kept for i in chain.members]
    if again:
        chains = settled
        freed = untangle([rest[i] for i in sorted(again)], bridge_mm)
        seen = {(b.a, b.b) for b in out.bridges}
        out.bridges += [b for b in freed.bridges if (b.a, b.b) not in seen]
        out.findings += freed.notes
        out.duplicate_mm += freed.duplicate_mm
        out.branches = freed.branches
        out.loops += freed.loops
        chains += freed.chains
    out.chains = chains
