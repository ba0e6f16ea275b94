"""What to make of chains that do not close: a broken outline, a mark on the plate, a line beside it."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from typing import TypeAlias

import numpy as np

from cutplan.files.limits import MAX_LISTED
from cutplan.files.outline.account import Aside
from cutplan.files.outline.joining import Chain
from cutplan.files.outline.loops import Loop
from cutplan.files.outline.loose.broken import Ring, broken_rings
from cutplan.files.outline.loose.explain import OPEN_LINE, Explained, explained, with_circles
from cutplan.files.outline.loose.mend import closed_chain, mended
from cutplan.files.reading_options import REPAIR
from cutplan.files.repair import Repair
from cutplan.files.traces import Floats
from cutplan.findings import Finding
from cutplan.texts import Message, every, mm, place, plural, say
from cutplan.texts.values import Place

Box: TypeAlias = tuple[float, float, float, float]

#: Most outlines in which open chains are looked for.
_OUTLINES = 200
#: Ends nearer than this share of the chain's length: an outline with a gap, wherever it lies.
_GAP = 0.25
#: Why a piece of an outline is not told.
_UNKNOWN = say("line that does not close")
_BY_REPAIR = say("left aside by repair")


@dataclass(slots=True)
class Judged:
    """What came of open chains: loops, findings, things left aside, and the length drawn again [mm]."""

    made: list[Loop] = field(default_factory=list)
    findings: list[Finding] = field(default_factory=list)
    asides: list[Aside] = field(default_factory=list)
    duplicate_mm: float = 0.0
    faults: int = 0


def judge_rings(chains: list[Chain], loops: list[Loop], repair: Repair) -> tuple[Judged, list[Chain]]:
    """Return the outlines with gaps that open chains make, refused or mended, and the chains that are in none."""
    out = Judged()
    known = with_circles(chains, loops)
    solid = [chain for k, chain in enumerate(chains) if not chain.filled and k not in known]
    rings = broken_rings(solid)
    used = {i for ring in rings for i, _ in ring.order}
    for ring in rings:
        out.made.append(mended(ring, solid))
        where = _gaps(ring, solid)
        mend = repair.takes("open-outline", where)
        _listed(out, mend, _ring_finding(ring, where, mend))
    _more(out)
    rest = [chain for i, chain in enumerate(solid) if i not in used]
    return out, [chain for k, chain in enumerate(chains) if chain.filled or k in known] + rest


def judge_chains(chains: list[Chain], loops: list[Loop], repair: Repair, border: Box | None) -> Judged:
    """Return what open chains are that make no ring.

    A straight line, or a chain with an explanation, is a line of its own (a bend, centre or marking line) when there
    are closed outlines beside it. Anything else is an outline with a piece missing, which is refused.
    """
    out = Judged()
    why = explained(chains, loops, border)
    for chain, told in zip(chains, why, strict=True):
        _judge(chain, told, bool(loops), repair, out)
    _more(out)
    _repeats_and_lines(why, out)
    return out


def _more(out: Judged) -> None:
    if out.faults > MAX_LISTED:
        more = out.faults - MAX_LISTED
        text = plural("{count} more outline does not close", "{count} more outlines do not close", more)
        out.findings.append(Finding("open-outline", "error", text))


def _judge(chain: Chain, told: Explained, beside_others: bool, repair: Repair, out: Judged) -> None:
    """Put one chain where it belongs."""
    mend = bool(repair) and repair.takes("open-outline", _ends(chain))
    if told.again:
        out.duplicate_mm += chain.length
    elif chain.filled and len(chain.xy) > 2:
        out.made.append(closed_chain(chain))
        out.findings.append(_closed_finding(chain, "filled-open-closed", "note"))
    elif told.reason and beside_others:
        out.asides.append(Aside(chain.xy, chain.bulge, "left_aside", told.reason))
    elif mend and len(chain.xy) > 2 and chain.gap <= _GAP * chain.length:
        out.made.append(closed_chain(chain))
        out.findings.append(_closed_finding(chain, "open-outline-closed", "warning"))
    elif mend and beside_others:
        out.asides.append(Aside(chain.xy, chain.bulge, "left_aside", _BY_REPAIR))
        out.findings.append(
            Finding(
                "open-line-dropped",
                "warning",
                say("a line that does not close was left aside: its ends are {gap} apart", gap=mm(chain.gap, 3)),
                _ends(chain),
                say("left aside by repair; check that it was not meant to be cut"),
            )
        )
    else:
        out.asides.append(Aside(chain.xy, chain.bulge, "unexplained", _UNKNOWN))
        _listed(out, False, _open_finding(chain, told))


def _listed(out: Judged, mended: bool, finding: Finding) -> None:
    """Add a finding; of errors only the first ones."""
    out.faults += 0 if mended else 1
    if mended or out.faults <= MAX_LISTED:
        out.findings.append(finding)


def _ends(chain: Chain) -> Message:
    (x0, y0), (x1, y1) = chain.xy[0].tolist(), chain.xy[-1].tolist()
    return say("{a} and {b}; {what}", a=place(x0, y0, 3), b=place(x1, y1, 3), what=chain.where.said())


def _closed_finding(chain: Chain, code: str, severity: str) -> Finding:
    joined = say("its ends were joined by a straight line")
    if severity == "note":
        message = say("a filled shape with {gap} between its ends was closed", gap=mm(chain.gap, 3))
        return Finding(code, "note", message, _ends(chain), joined, True)
    message = say("an open outline with a gap of {gap} was closed", gap=mm(chain.gap, 3))
    return Finding(code, "warning", message, _ends(chain), joined, True)


def _open_finding(chain: Chain, told: Explained) -> Finding:
    near = told.nearest
    if near < chain.gap:
        message = say(
            "an outline does not close: another end is {near} away, its own ends are {gap} apart",
            near=mm(near, 3),
            gap=mm(chain.gap, 3),
        )
    else:
        message = say("an outline does not close: its ends are {gap} apart", gap=mm(chain.gap, 3))
    hint = say("close the gap in the drawing, or use {repair} if a straight line there is right", repair=REPAIR)
    if chain.gap > _GAP * chain.length:
        hint = say("draw what is missing, or delete the line if it is no edge of the plate")
    return Finding("open-outline", "error", message, _ends(chain), hint)


def _gaps(ring: Ring, chains: list[Chain]) -> Message:
    """The places of a ring's gaps."""
    shown = every(
        say("{a} to {b}", a=place(*g.a, 3), b=place(*g.b, 3)) for g in [g for g in ring.gaps if g.width > 0.0][:8]
    )
    return say("{places}; {what}", places=shown, what=chains[ring.order[0][0]].where.said())


def _ring_finding(ring: Ring, where: Message, mended: bool) -> Finding:
    gaps = [g for g in ring.gaps if g.width > 0.0]
    width = mm(max(g.width for g in gaps), 3)
    if mended:
        message = plural(
            "an open outline with a gap of {width} was closed",
            "an outline with {count} gaps up to {width} was closed",
            len(gaps),
            width=width,
        )
        done = say("the ends were joined where the lines meet, along their circle, or by a straight line")
        return Finding("open-outline-closed", "warning", message, where, done, True)
    message = plural(
        "an outline does not close: its ends are {width} apart",
        "an outline does not close: it has {count} gaps up to {width}",
        len(gaps),
        width=width,
    )
    hint = say("close the gaps in the drawing, or use {repair} to have them closed", repair=REPAIR)
    return Finding("open-outline", "error", message, where, hint)


def _repeats_and_lines(why: list[Explained], out: Judged) -> None:
    """Add the notes on arcs drawn again on circles and on lines left aside."""
    repeated = sum(told.again for told in why)
    if repeated:
        text = plural(
            "one arc that lies on a full circle was left out",
            "{count} arcs that lie on a full circle were left out",
            repeated,
        )
        out.findings.append(Finding("overlap-removed", "note", text, "", say("left out")))
    plain = [a for a in out.asides if a.column == "left_aside" and a.reason != _BY_REPAIR]
    counts = Counter(a.reason for a in plain)
    lines = sum(counts.values())
    if not lines:
        return
    shown = plain[:6]
    places = every(_middle(a) for a in shown)
    text = plural(
        "one line that closes nothing was left aside", "{count} lines that close nothing were left aside", lines
    )
    only_straight = set(counts) == {OPEN_LINE}
    where: Message = say("near {places}", places=places)
    if lines > len(shown):
        where = say("near {places} and more", places=places)
    if not only_straight:
        kinds = every(say("{count} x {what}", count=n, what=reason) for reason, n in counts.items())
        where = say("{where}: {kinds}", where=where, kinds=kinds)
    out.findings.append(
        Finding("open-lines", "warning", text, where, say("check that none of them was meant to be cut"))
    )


def _middle(aside: Aside) -> Place:
    x, y = (0.5 * (aside.xy[0] + aside.xy[-1])).tolist()
    return place(x, y)


def outer_boxes(loops: list[Loop]) -> tuple[Floats, float]:
    """Return the boxes of the largest loops (n, 4), which hold all others, and the largest diagonal [mm]."""
    boxes = np.array([loop.box for loop in loops], dtype=np.float64).reshape(-1, 4)
    across = np.hypot(*(boxes[:, 2:] - boxes[:, :2]).T)
    return boxes[np.argsort(-across, kind="stable")[:_OUTLINES]], float(across.max(initial=0.0))
