"""Words that several steps share: what is named, how runs of names are shortened, brace and tools by name."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from cutplan.opening.model import Cut, Drill
from cutplan.pattern.brace import FittedBrace
from cutplan.tables.brace_sections import BraceSection
from cutplan.tables.by_hand.hand_tools import tool_words
from cutplan.texts import Message, listed, mm, name, say, to
from cutplan.texts.values import Listing, Value


def runs(names: Sequence[str]) -> Listing:
    """Return names such as C3, C4, C5, C8 with runs of three and more shortened: ``C3 to C5 and C8``."""
    groups: list[list[str]] = []
    for one in names:
        last = groups[-1][-1] if groups else ""
        counted = last[:1] == one[:1] and last[1:].isdigit() and one[1:].isdigit()
        if counted and int(one[1:]) == int(last[1:]) + 1:
            groups[-1].append(one)
        else:
            groups.append([one])
    shown: list[Value] = []
    for g in groups:
        shown += [to(g[0], g[-1])] if len(g) > 2 else [name(n) for n in g]
    return listed(shown)


def bridge_words(bridges: Sequence[Cut]) -> Message:
    """Return ``bridge B1`` or ``bridges B1 and B2``."""
    if not bridges:
        return say("no bridge")
    names = listed(b.name for b in bridges)
    return say("bridge {names}", names=names) if len(bridges) == 1 else say("bridges {names}", names=names)


def rib_words(ribs: Sequence[str]) -> Message:
    """Return ``rib R1`` or ``ribs R1 and R2``."""
    names = listed(ribs)
    return say("rib {names}", names=names) if len(ribs) == 1 else say("ribs {names}", names=names)


def section_words(numbers: Sequence[int]) -> Message:
    """Return ``section 3`` or ``sections 3 and 4``."""
    names = listed(list(numbers))
    if len(numbers) == 1:
        return say("section {numbers}", numbers=names)
    return say("sections {numbers}", numbers=names)


def hole_words(drills: Sequence[Drill]) -> Listing:
    """Return holes by size: ``D1 to D4 (24 mm) and D7 (10 mm)``."""
    sizes = sorted({d.diameter_mm for d in drills}, reverse=True)
    return listed(
        say("{holes} ({size})", holes=runs([d.name for d in drills if d.diameter_mm == size]), size=mm(size, 0))
        for size in sizes
    )


def cut_words(cuts: Sequence[Cut]) -> Listing:
    """Return the names of cuts, runs shortened."""
    return runs([c.name for c in cuts])


def tools_said(tools: Iterable[str]) -> Listing:
    """Return tools by name, each once."""
    return listed(tool_words(t) for t in dict.fromkeys(tools))


def section_said(section: BraceSection) -> Message:
    """Return what a brace is cut from."""
    size, wall = mm(section.size_mm), mm(section.wall_mm)
    if section.kind == "tube":
        return say("{size} square tube, wall {wall}", size=size, wall=wall)
    if section.kind == "angle":
        return say("{size} angle, {wall} thick", size=size, wall=wall)
    if section.kind == "part":
        return say("the real part")
    if section.on_edge:
        return say("{size} x {wall} flat bar on edge", size=size, wall=wall)
    return say("{size} x {wall} flat bar", size=size, wall=wall)


def brace_said(brace: FittedBrace) -> Message:
    """Return a brace in words: how many bars, of what, how they lie."""
    section = section_said(brace.section)
    if brace.design == "part":
        return say("the real part, bolted to the pads")
    if brace.design == "pair":
        return say("two bars right against the skin, one on either side of the opening: {section}", section=section)
    if brace.design == "single":
        return say("one bar right against the skin beside the opening: {section}", section=section)
    if brace.design == "frame":
        return say("a frame of four bars right against the skin round the opening: {section}", section=section)
    if brace.design == "flush":
        return say("one bar right against the skin across the opening: {section}", section=section)
    height = mm(brace.bars[0].underside_mm, 0)
    return say("one bar across the opening on two feet {height} high: {section}", height=height, section=section)
