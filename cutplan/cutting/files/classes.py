"""What the table must do for each class of cut, in words: feed, kerf, leads, overburn and held height."""

from __future__ import annotations

from cutplan.cutting.path.moves import moves_of, slow_chains
from cutplan.cutting.result import CutPath, CutPlan
from cutplan.pattern.job import Job
from cutplan.tables.cutting.holes import SLOW_CORNER
from cutplan.texts import Message, code, inch_or_mm, number, plural, say, together


def class_layer(path: CutPath) -> str:
    """Return the layer of a cut's class, by what the table must do."""
    if not path.inner:
        return "path outline"
    return "path slow holes" if path.speed_share < 1.0 else "path openings"


def class_lines(plan: CutPlan, job: Job) -> list[Message]:
    """Return one line for each class of cut, and one for the slow spans.

    Parameters
    ----------
    plan : CutPlan
        Paths in order.
    job : Job
        The job; its own feed counts before the table's.
    """
    lines: list[Message] = []
    slow = [p for p in plan.paths if p.inner and p.speed_share < 1.0]
    wide = [p for p in plan.paths if p.inner and p.speed_share >= 1.0]
    outer = [p for p in plan.paths if not p.inner]
    for layer, paths in (("path slow holes", slow), ("path openings", wide), ("path outline", outer)):
        if paths:
            lines.append(_line(layer, paths, plan, job))
    if any(slow_chains(moves_of(p, plan.process)) for p in plan.paths):
        lines.append(
            say(
                "{layer}: height control off, corners at {share} of the feed (common practice)",
                layer=code("slow spans not cut"),
                share=number(100.0 * SLOW_CORNER, "%", 0),
            )
        )
    return lines


def feed_mm_per_min(plan: CutPlan, job: Job) -> float:
    """Return the feed that the file speaks of: the job's own, else the middle of the table's band [mm/min]."""
    return job.cutting.speed_mm_per_min or plan.totals.speed_mm_per_min.mid


def _kerf(paths: list[CutPath]) -> Message:
    least, most = (2.0 * pick(p.half_mm for p in paths) for pick in (min, max))
    if most - least < 0.005:
        return say("kerf {kerf}", kerf=inch_or_mm(least, 2))
    return say("kerf {least} to {most} by size", least=inch_or_mm(least, 2), most=inch_or_mm(most, 2))


def _line(layer: str, paths: list[CutPath], plan: CutPlan, job: Job) -> Message:
    first = paths[0]
    lead = max(sum(s.length for s in p.lead_in) for p in paths)
    over = max(sum(s.length for s in p.lead_out) for p in paths)
    feed = feed_mm_per_min(plan, job) * first.speed_share
    source = say("stated") if job.cutting.speed_mm_per_min else say("table, from memory: try it")
    parts = [
        plural("{layer}: {count} cut", "{layer}: {count} cuts", len(paths), layer=code(layer)),
        say("feed {feed} ({source})", feed=number(round(feed, -1), "mm/min", 0), source=source),
        _kerf(paths),
        say("lead-in up to {lead}", lead=inch_or_mm(lead)),
        say("overburn and lead-out {over}", over=inch_or_mm(over)) if over else say("no overburn"),
    ]
    if first.speed_share < 1.0:
        parts.append(say("height control off"))
    return together(*parts, sep=", ")
