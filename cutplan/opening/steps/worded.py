"""The numbered steps, each worded from templates and carrying what its picture shows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from cutplan.opening.cuts.pieces import Toolset
from cutplan.opening.model import Cut, DatumPlan, Drill, RibPart, Step
from cutplan.opening.steps.falls import Work
from cutplan.opening.words import Sentence, listed, numbered_list, say
from cutplan.pattern.job import Job
from cutplan.tables.brace_sections import USUAL
from cutplan.tables.drills_opening import BRIDGE_MM
from cutplan.tables.hand_tools import ROOM_UNDER_MM
from cutplan.units import format_length


def length_text(job: Job, mm: float, digits: int = 1) -> str:
    """Return a length as the job shows lengths."""
    return format_length(mm, job.display, digits)


def first_steps(
    job: Job,
    datum: DatumPlan,
    drills: Sequence[Drill],
    windows: Sequence[Drill],
    looks: Sequence[tuple[str, str]],
    kit: Toolset,
) -> list[Step]:
    """Return the steps before the first cut: measure, brace, mark, drill, windows. Numbers are given later."""
    marks = [p.name for p in datum.points if p.kind == "mark"]
    steps = [
        Step(
            0,
            "measure",
            say("title.measure"),
            (
                say("measure.marks", marks=listed(marks)),
                say("measure.lines", count=str(len(datum.lines))),
                say("measure.again"),
            ),
        )
    ]
    bracing = (brace_sentence(job), *_room_under(job, kit), say("brace.stays"))
    steps.append(Step(0, "brace", say("title.brace"), bracing))
    allowance = job.opening.allowance_mm
    marked = [say("mark.template")]
    marked.append(say("mark.line", allowance=length_text(job, allowance)) if allowance > 0.0 else say("mark.line.only"))
    steps.append(Step(0, "mark", say("title.mark"), (*marked, say("mark.sections"))))
    if drills:
        texts = [say("drill.all")]
        for key, purposes in (
            ("drill.corner", ("corner",)),
            ("drill.tee", ("tee", "turn")),
            ("drill.entry", ("entry", "blade")),
        ):
            chosen = [d for d in drills if d.purpose in purposes]
            if chosen:
                texts.append(say(key, holes=hole_words(job, chosen)))
        texts.append(say("drill.depth", depth=length_text(job, kit.touch_mm)))
        title = say("title.drill", count=str(len(drills))) if len(drills) > 1 else say("title.drill.one")
        steps.append(Step(0, "drill", title, tuple(texts), "drill", drills=tuple(drills), depth_limit_mm=kit.touch_mm))
    if windows or looks:
        steps.append(_window_step(job, windows, looks, drills, kit))
    return steps


def _window_step(
    job: Job, windows: Sequence[Drill], looks: Sequence[tuple[str, str]], drills: Sequence[Drill], kit: Toolset
) -> Step:
    unseen = [r.name for r in job.skin.ribs if r.knowledge != "known" or r.depth_mm is None]
    texts: list[Sentence] = []
    if windows:
        texts.append(say("window.saw", windows=hole_words(job, windows), depth=length_text(job, kit.touch_mm)))
    for rib, place in looks:
        x, y = (float(v) for v in place.split())
        hole = min([*drills, *windows], key=lambda d: abs(d.centre.x - x) + abs(d.centre.y - y))
        texts.append(say("window.none", rib=rib, hole=hole.name))
    texts += [say("window.look", ribs=rib_words(unseen)), say("window.stop")]
    title = say("title.window.one") if len(windows) == 1 else say("title.window", count=str(len(windows)))
    return Step(
        0,
        "window",
        title,
        tuple(texts),
        "hole saw",
        drills=tuple(windows),
        ribs=tuple(unseen),
        depth_limit_mm=kit.touch_mm,
    )


def section_steps(job: Job, work: Work, gone: tuple[int, ...], left: tuple[int, ...], kit: Toolset) -> list[Step]:
    """Return the steps for one section: cut, part its ribs, cut the bridges and lift it out."""
    number = work.section.number
    section = str(number)
    steps: list[Step] = []
    bridges = bridge_words(work.bridges)
    ribs = tuple(dict.fromkeys(p.rib for p in work.parts))
    rest = _rest(left)
    if work.cuts:
        texts = _cut_sentences(job, work, kit)
        held = [say("hold.bridges", section=section, bridges=bridges)] if work.bridges else []
        if ribs:
            held.append(say("hold.ribs", section=section, ribs=rib_words(ribs)))
        depth = min(c.depth_mm for c in work.cuts)
        crossed = tuple(dict.fromkeys(r for c in work.cuts for r in c.ribs))
        steps.append(
            Step(
                0,
                "cut",
                say("title.cut", section=section, bridges=bridges),
                tuple(texts),
                _tools(work.cuts),
                work.cuts,
                leave=work.bridges,
                section=number,
                gone=gone,
                ribs=crossed,
                held_by=tuple(held + rest),
                depth_limit_mm=depth,
            )
        )
    if work.parts:
        texts = [_part_sentence(job, p) for p in _merged(work.parts)]
        texts.append(say("part.check"))
        depths = [p.depth_mm for p in work.parts if p.depth_mm is not None]
        steps.append(
            Step(
                0,
                "part rib",
                say("title.part", section=section, ribs=rib_words(ribs)),
                tuple(texts),
                listed(tuple(dict.fromkeys(p.tool for p in work.parts))),
                parts=work.parts,
                leave=work.bridges,
                section=number,
                gone=gone,
                ribs=ribs,
                held_by=(say("hold.bridges", section=section, bridges=bridges), *rest),
                depth_limit_mm=max(depths) if depths else None,
            )
        )
    texts = [say("drop.hold", mass=f"{work.section.mass_kg:.2f} kg"), say("drop.bridges", bridges=bridges)]
    if work.bridges and work.bridges[0].ribs:
        texts.append(say("cut.rib", ribs=rib_words(work.bridges[0].ribs), depth=length_text(job, kit.touch_mm)))
    texts.append(say("drop.spring"))
    if left:
        texts.append(say("drop.look"))
    steps.append(
        Step(
            0,
            "drop",
            say("title.drop", section=section, bridges=bridges),
            tuple(texts),
            _tools(work.bridges),
            work.bridges,
            section=number,
            gone=gone,
            held_by=(say("hold.free", section=section), *rest),
            depth_limit_mm=min((c.depth_mm for c in work.bridges), default=None),
        )
    )
    return steps


def _cut_sentences(job: Job, work: Work, kit: Toolset) -> list[Sentence]:
    texts: list[Sentence] = []
    discs = [c for c in work.cuts if c.tool == "cut-off disc"]
    saws = [c for c in work.cuts if c.tool != "cut-off disc"]
    if discs:
        texts.append(say("cut.now", cuts=numbered_list([c.name for c in discs])))
        deep = max(c.depth_mm for c in discs)
        texts.append(say("cut.disc", depth=length_text(job, deep)))
        texts.append(say("cut.overcut", runout=length_text(job, max(c.run_out_mm for c in discs), 0)))
    for tool in dict.fromkeys(c.tool for c in saws):
        names = [c.name for c in saws if c.tool == tool]
        if tool == "hand plasma":
            texts.append(say("cut.plasma", cuts=numbered_list(names)))
        else:
            texts.append(say("cut.saw", tool=tool.capitalize(), cuts=numbered_list(names)))
    ribs = tuple(dict.fromkeys(r for c in work.cuts for r in c.ribs))
    if ribs:
        texts.append(say("cut.rib", ribs=rib_words(ribs), depth=length_text(job, kit.touch_mm)))
    if work.whole_last:
        texts.append(say("cut.last", bridges=listed([b.name for b in work.bridges])))
    elif work.bridges:
        texts.append(say("cut.leave", bridges=bridge_words(work.bridges), width=length_text(job, BRIDGE_MM, 0)))
    return texts


def _merged(parts: Sequence[RibPart]) -> list[RibPart]:
    """One sentence for each rib, tool and depth."""
    seen: dict[tuple[str, str, float | None, bool], RibPart] = {}
    for p in parts:
        seen.setdefault((p.rib, p.tool, p.depth_mm, p.along), p)
    return list(seen.values())


def _part_sentence(job: Job, part: RibPart) -> Sentence:
    if part.along:
        return say("part.along", rib=part.rib)
    if part.depth_mm is None:
        return say("part.blade.unknown", rib=part.rib)
    key = "part.disc" if part.tool == "cut-off disc" else "part.blade"
    return say(key, rib=part.rib, depth=length_text(job, part.depth_mm))


def last_step(job: Job, parts: Sequence[RibPart], square_corners: bool, gone: tuple[int, ...]) -> Step:
    """Return the step that dresses the edge to the line."""
    allowance = job.opening.allowance_mm
    texts = [say("dress.file", allowance=length_text(job, allowance)) if allowance > 0.0 else say("dress.none")]
    if square_corners:
        texts.append(say("dress.corners"))
    ribs = tuple(dict.fromkeys(p.rib for p in parts))
    if ribs:
        texts.append(say("dress.ribs", ribs=rib_words(ribs)))
    texts.append(say("dress.measure"))
    return Step(
        0,
        "dress",
        say("title.dress"),
        tuple(texts),
        "flap disc and file",
        gone=gone,
        ribs=ribs,
        held_by=(say("hold.open"),),
    )


def numbered(steps: Sequence[Step]) -> tuple[Step, ...]:
    """Return the steps numbered from 1."""
    return tuple(replace(s, number=k) for k, s in enumerate(steps, 1))


def brace_sentence(job: Job) -> Sentence:
    """Return what brace goes on."""
    if job.brace is None:
        return say(
            "brace.usual",
            section=say("word.tube", size=length_text(job, USUAL.size_mm), wall=length_text(job, USUAL.wall_mm)).text,
        )
    if job.brace.kind == "part":
        return say("brace.part")
    return say("brace.job", section=brace_words(job))


def _room_under(job: Job, kit: Toolset) -> list[Sentence]:
    """How the tool gets under the brace."""
    if job.brace is not None and job.brace.kind == "part":
        return [say("brace.covers")]
    height = ROOM_UNDER_MM[kit.main] + (0.5 * kit.disc_mm if kit.main == "cut-off disc" else 0.0)
    return [say("brace.feet", height=length_text(job, height, 0))]


def brace_words(job: Job) -> str:
    """Return the brace's section in words; the usual one where the job names none."""
    kind, size, wall = (
        (job.brace.kind, job.brace.size_mm, job.brace.wall_mm)
        if job.brace
        else (USUAL.kind, USUAL.size_mm, USUAL.wall_mm)
    )
    if kind == "part":
        return say("word.part").text
    return say(f"word.{kind}", size=length_text(job, size), wall=length_text(job, wall)).text


def bridge_words(bridges: Sequence[Cut]) -> str:
    """Return ``bridge B1`` or ``bridges B1 and B2``."""
    if not bridges:
        return say("word.none").text
    key = "word.bridge" if len(bridges) == 1 else "word.bridges"
    return say(key, names=listed([b.name for b in bridges])).text


def rib_words(names: Sequence[str]) -> str:
    """Return ``rib R1`` or ``ribs R1 and R2``."""
    return say("word.rib" if len(names) == 1 else "word.ribs", names=listed(list(names))).text


def hole_words(job: Job, drills: Sequence[Drill]) -> str:
    """Return holes by size: ``D1 to D4 (24 mm) and D7 (10 mm)``."""
    sizes = sorted({d.diameter_mm for d in drills}, reverse=True)
    return listed(
        [
            f"{numbered_list([d.name for d in drills if d.diameter_mm == size])} ({length_text(job, size, 0)})"
            for size in sizes
        ]
    )


def _rest(left: tuple[int, ...]) -> list[Sentence]:
    if not left:
        return []
    key = "hold.rest" if len(left) == 1 else "hold.rest.many"
    return [say(key, sections=listed([str(n) for n in left]))]


def _tools(cuts: Sequence[Cut]) -> str:
    return listed(tuple(dict.fromkeys(c.tool for c in cuts)))
