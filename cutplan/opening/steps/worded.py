"""The numbered steps, each worded and carrying what its picture shows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from cutplan.opening.cuts.toolset import Toolset
from cutplan.opening.model import Cut, DatumPlan, Drill, RibPart, Step
from cutplan.opening.steps.falls import Work
from cutplan.opening.steps.words import (
    bridge_words,
    cut_words,
    hole_words,
    rib_words,
    runs,
    section_words,
)
from cutplan.pattern.job import Job
from cutplan.tables.by_hand.drills_opening import BRIDGE_MM
from cutplan.tables.by_hand.hand_tools import ROW_MM, ROW_PITCH_MM, TOOLS
from cutplan.texts import Message, listed, mm, name, number, plural, say


def measure_step(datum: DatumPlan) -> Step:
    """Return the first step: the distances as they are before anything is touched."""
    marks = [p.name for p in datum.points if p.kind == "mark"]
    return Step(
        0,
        "measure",
        say("Measure and write down"),
        (
            say(
                "Punch marks {marks} into the skin where the picture shows them, clear of the heat.",
                marks=listed(marks),
            ),
            plural(
                "Measure the distance on the datum sheet. Write it down.",
                "Measure the {count} distances on the datum sheet. Write each one down.",
                len(datum.lines),
            ),
            say("Measure them again with the opening cut, after tacking and after welding."),
        ),
    )


def mark_step(job: Job) -> Step:
    """Return the step that brings the line and every hole centre onto the skin."""
    allowance = job.opening.allowance_mm
    texts = [
        say("Stick the work template of the opening on by its datum lines. Punch every hole centre through the paper."),
        say("Punch the datum marks in its margin too: they stay when the waste is out."),
    ]
    if allowance > 0.0:
        texts.append(
            say(
                "Scribe the line. Scribe a second line {allowance} inside it: cut to the second line.",
                allowance=mm(allowance),
            )
        )
    else:
        texts.append(say("Scribe the line. Cut to it, on the inside."))
    texts.append(say("Chalk the section numbers on the waste."))
    return Step(0, "mark", say("Mark the line and every hole"), tuple(texts))


def drill_step(drills: Sequence[Drill], kit: Toolset) -> Step:
    """Return the step that drills every hole but the windows."""
    texts = [say("Drill all holes before any cut. Each one lies inside the line.")]
    corners = [d for d in drills if d.purpose == "corner"]
    if corners:
        texts.append(say("Corners: {holes}. They end the cuts and limit cracking.", holes=hole_words(corners)))
    ends = [d for d in drills if d.purpose in ("tee", "turn")]
    if ends:
        texts.append(say("Ends of the cuts across: {holes}. They take the tool's overcut.", holes=hole_words(ends)))
    entries = [d for d in drills if d.purpose in ("entry", "blade")]
    if entries:
        texts.append(say("Blade holes: {holes}.", holes=hole_words(entries)))
    looks = [d for d in drills if d.purpose == "look"]
    if looks:
        texts.append(say("To look through: {holes}.", holes=hole_words(looks)))
    texts.append(say("Go no deeper than {depth} below the face. Set a stop.", depth=mm(kit.touch_mm)))
    title = plural("Drill 1 hole in the waste", "Drill {count} holes in the waste", len(drills))
    return Step(0, "drill", title, tuple(texts), ("drill",), drills=tuple(drills), depth_limit_mm=kit.touch_mm)


def look_step(
    job: Job,
    windows: Sequence[Drill],
    drills: Sequence[Drill],
    looks: Sequence[tuple[str, str]],
    kit: Toolset,
    needed_mm: float,
) -> Step:
    """Return the step before the first cut: what lies behind, and how deep it is free there.

    Parameters
    ----------
    job : Job
        Ribs, and the depth behind as far as it was measured.
    windows, drills : sequence of Drill
        What one can look through.
    looks : sequence of (str, str)
        Name of a rib without a window, and the name of the hole to look for it through.
    kit : Toolset
        Tools.
    needed_mm : float
        Free depth behind the skin that the deepest tool of the plan needs [mm].
    """
    unseen = [r.name for r in job.skin.ribs if r.knowledge != "known" or r.depth_mm is None]
    texts: list[Message] = []
    if windows:
        texts.append(
            say(
                "Hole saw, pilot drill ground short: {windows}. No deeper than {depth} below the face.",
                windows=hole_words(windows),
                depth=mm(kit.touch_mm),
            )
        )
    for rib, hole in looks:
        texts.append(
            say(
                "No room for a window beside rib {rib}: look through hole {hole} with a mirror or a camera.",
                rib=name(rib),
                hole=name(hole),
            )
        )
    if unseen:
        texts.append(
            say(
                "Look and feel behind the skin for {ribs}, pipes and cables. Write its depth down.",
                ribs=rib_words(unseen),
            )
        )
    else:
        through = [d.name for d in (*windows, *drills)]
        texts.append(
            say("Look through {holes} with a mirror or a camera: pipes, cables, foam, wax, ribs.", holes=runs(through))
        )
    texts.append(
        say(
            "Feel with a bent wire how deep it is free: the tools need {needed} behind the skin.",
            needed=mm(needed_mm, 0),
        )
    )
    texts.append(say("If anything lies elsewhere than drawn, or it is less deep, stop and change the job file."))
    title = (
        plural("Open 1 window and look behind", "Open {count} windows and look behind", len(windows))
        if windows
        else (say("Look behind the skin"))
    )
    return Step(
        0,
        "window" if windows else "look",
        title,
        tuple(texts),
        ("hole saw",) if windows else (),
        drills=tuple(windows),
        ribs=tuple(unseen),
        depth_limit_mm=kit.touch_mm if windows else None,
    )


def section_steps(work: Work, gone: tuple[int, ...], left: tuple[int, ...], braced: bool) -> list[Step]:
    """Return the steps for one section: cut, part its ribs, cut the bridges and lift it out."""
    section = work.section.number
    steps: list[Step] = []
    bridges = bridge_words(work.bridges)
    ribs = tuple(dict.fromkeys(p.rib for p in work.parts))
    rest = _rest(left)
    if work.cuts:
        held = [say("Section {section} hangs on {bridges}.", section=section, bridges=bridges)] if work.bridges else []
        if ribs:
            held.append(say("Section {section} still hangs on {ribs}.", section=section, ribs=rib_words(ribs)))
        crossed = tuple(dict.fromkeys(r for c in work.cuts for r in c.ribs))
        title = say("Section {section}: cut, leave {bridges}", section=section, bridges=bridges)
        steps.append(
            Step(
                0,
                "cut",
                title,
                tuple(_cut_sentences(work)),
                _tools(work.cuts),
                work.cuts,
                leave=work.bridges,
                section=section,
                gone=gone,
                ribs=crossed,
                holds=tuple(held + rest),
                depth_limit_mm=min(c.depth_mm for c in work.cuts),
            )
        )
    if work.parts:
        steps.append(_part_step(work, gone, rest))
    texts = [
        say("Hold the section with a magnet or a clamp. It weighs {mass}.", mass=number(work.section.mass_kg, "kg", 2)),
        say("Cut {bridges}, then lift the section out.", bridges=bridges),
        *_depths(work.bridges, frozenset(p.rib for p in work.parts)),
        say("If the gap closes or opens while you cut, stop: the brace does not hold.")
        if braced
        else say("If the gap closes or opens while you cut, stop: the skin moves, hold it from outside."),
    ]
    if left:
        texts.append(say("Look behind the next section before you cut it."))
    title = say("Section {section}: cut {bridges}, lift it out", section=section, bridges=bridges)
    steps.append(
        Step(
            0,
            "drop",
            title,
            tuple(texts),
            _tools(work.bridges),
            work.bridges,
            section=section,
            gone=gone,
            holds=(say("Section {section} is free after this step.", section=section), *rest),
            depth_limit_mm=min((c.depth_mm for c in work.bridges), default=None),
        )
    )
    return steps


def _part_step(work: Work, gone: tuple[int, ...], rest: list[Message]) -> Step:
    section, bridges = work.section.number, bridge_words(work.bridges)
    ribs = tuple(dict.fromkeys(p.rib for p in work.parts))
    texts = [_part_sentence(p) for p in _merged(work.parts)]
    texts.append(say("Push on the section: only the bridges hold it now."))
    depths = [p.depth_mm for p in work.parts if p.depth_mm is not None]
    return Step(
        0,
        "part rib",
        say("Section {section}: part {ribs}", section=section, ribs=rib_words(ribs)),
        tuple(texts),
        tuple(dict.fromkeys(p.tool for p in work.parts)),
        parts=work.parts,
        leave=work.bridges,
        section=section,
        gone=gone,
        ribs=ribs,
        holds=(say("Section {section} hangs on {bridges}.", section=section, bridges=bridges), *rest),
        depth_limit_mm=min(depths) if depths else None,
    )


def _cut_sentences(work: Work) -> list[Message]:
    texts = _depths(work.cuts)
    if work.whole_last:
        texts.append(
            say(
                "Leave {bridges} uncut for now: it is too short for a bridge and goes last.",
                bridges=listed(b.name for b in work.bridges),
            )
        )
    elif work.bridges:
        texts.append(
            say(
                "Stop at {bridges}. Leave {width} of metal there.",
                bridges=bridge_words(work.bridges),
                width=mm(BRIDGE_MM, 0),
            )
        )
    return texts


def _depths(cuts: Sequence[Cut], parted: frozenset[str] = frozenset()) -> list[Message]:
    """One sentence for each tool and depth, deepest first, so that no limit is read for another cut.

    ``parted`` are the ribs that were parted for this section before these cuts.
    """
    groups: dict[tuple[str, float, tuple[str, ...]], list[Cut]] = {}
    for c in sorted(cuts, key=lambda c: (list(TOOLS).index(c.tool), -c.depth_mm)):
        touched = tuple(r for r in c.ribs if r not in parted) if c.tool == "cut-off disc" else ()
        groups.setdefault((c.tool, round(c.depth_mm, 2), touched), []).append(c)
    texts: list[Message] = []
    for (tool, depth, ribs), chosen in groups.items():
        cut, deep = cut_words(chosen), mm(depth)
        if tool == "cut-off disc":
            said = say("Disc: {cuts}, no deeper than {depth} below the face.", cuts=cut, depth=deep)
            rib = say("There it touches {ribs}: do not part it yet.", ribs=rib_words(ribs))
            # in one, so that neither stands without the other
            texts.append(say("{cut} {rib}", cut=said, rib=rib) if ribs else said)
        elif tool == "hand plasma":
            texts.append(
                say("Hand plasma: {cuts}. Pierce in the waste. The jet goes on behind: nothing may be there.", cuts=cut)
            )
        elif tool == "drilled row":
            texts.append(
                say(
                    "Row of holes: {cuts}. Drill {size}, {pitch} apart, with a stop at {depth}; break the webs with a chisel.",
                    cuts=cut,
                    size=mm(ROW_MM),
                    pitch=mm(ROW_PITCH_MM),
                    depth=deep,
                )
            )
        else:
            texts.append(say("With the {tool}: {cuts}. Start at a hole.", tool=TOOLS[tool].said, cuts=cut))
    slots: dict[float, float] = {}
    for c in cuts:
        depth = round(c.depth_mm, 2)
        slots[depth] = max(c.run_out_mm, slots.get(depth, 0.0))
    texts += [
        say(
            "Where the disc goes {depth} deep its slot on the face runs {runout} past where the skin is through, in the waste.",
            depth=mm(depth),
            runout=mm(out, 0),
        )
        for depth, out in sorted(slots.items(), reverse=True)
        if out > 0.0
    ]
    return texts


def _merged(parts: Sequence[RibPart]) -> list[RibPart]:
    """One sentence for each rib, tool and depth."""
    seen: dict[tuple[str, str, float | None, bool], RibPart] = {}
    for p in parts:
        seen.setdefault((p.rib, p.tool, p.depth_mm, p.along), p)
    return list(seen.values())


def _part_sentence(part: RibPart) -> Message:
    rib = name(part.rib)
    if part.along:
        return say("Rib {rib} runs to the wall behind: saw along it just under the skin.", rib=rib)
    if part.depth_mm is None:
        return say("Part rib {rib} with a hacksaw blade at the cross. Depth: as found when you looked behind.", rib=rib)
    depth = mm(part.depth_mm)
    if part.tool == "cut-off disc":
        return say(
            "Part rib {rib} with the disc, {depth} below the face, at the cross in the picture.", rib=rib, depth=depth
        )
    return say("Part rib {rib} with a hacksaw blade at the cross, {depth} below the face.", rib=rib, depth=depth)


def last_step(job: Job, parts: Sequence[RibPart], square_corners: bool, gone: tuple[int, ...], braced: bool) -> Step:
    """Return the step that dresses the edge to the line."""
    allowance = job.opening.allowance_mm
    lap = job.joint.kind == "lap"
    if allowance > 0.0 and lap:
        texts = [say("Grind and file the {allowance} left down to the line.", allowance=mm(allowance))]
    elif allowance > 0.0:
        texts = [
            say("Grind and file the {allowance} left down to the line. Try the plate in.", allowance=mm(allowance))
        ]
    else:
        texts = [] if lap else [say("Take the burr off. Try the plate in.")]
    if lap:
        texts.append(say("Take the burr off on both faces and try the plate on: it must lie flat all round."))
    if square_corners and lap:
        texts.append(
            say("Leave the corners as round as they are drilled: the plate covers them, and sharp ones crack.")
        )
    elif square_corners:
        texts.append(say("File square corners out to the line last."))
    ribs = tuple(dict.fromkeys(p.rib for p in parts))
    if ribs:
        texts.append(say("Clean the ends of {ribs}: they are joined to the plate again.", ribs=rib_words(ribs)))
    texts.append(say("Measure the datum distances again, before you tack: column 2 of the datum sheet."))
    held = say("All sections are out. The brace holds the skin.") if braced else say("All sections are out.")
    return Step(
        0, "dress", say("Dress to the line"), tuple(texts), ("flap disc and file",), gone=gone, ribs=ribs, holds=(held,)
    )


def numbered(steps: Sequence[Step]) -> tuple[Step, ...]:
    """Return the steps numbered from 1."""
    return tuple(replace(s, number=k) for k, s in enumerate(steps, 1))


def _rest(left: tuple[int, ...]) -> list[Message]:
    return [say("Still joined to the skin: {sections}.", sections=section_words(left))] if left else []


def _tools(cuts: Sequence[Cut]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(c.tool for c in cuts))
