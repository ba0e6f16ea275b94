"""What of an opening's line the tools get along past a brace: quickly, slowly, or not at all."""

from __future__ import annotations

from dataclasses import replace
from math import ceil

from cutplan.geometry.contour import Contour
from cutplan.geometry.segment import Line, Segment
from cutplan.opening.cuts.disc import chord_mm
from cutplan.opening.cuts.fitting import OTHERS, fits
from cutplan.opening.cuts.surroundings import Surroundings
from cutplan.opening.cuts.toolset import Toolset
from cutplan.opening.cuts.waste import wastes
from cutplan.pattern.job import Job

#: A curved or short stretch is looked at in parts of this length [mm].
_PART_MM = 10.0


def missed_share(line: Contour, kit: Toolset, near: Surroundings) -> float:
    """Return the share of the line's straight length that neither the main tool nor a disc gets along [1].

    Parameters
    ----------
    line : Contour
        Net line of the opening [mm].
    kit : Toolset
        Tools.
    near : Surroundings
        What stands round it.
    """
    total = missed = 0.0
    depth = kit.depth_of(kit.main, False) if kit.main != "cut-off disc" else kit.depth_mm
    least = chord_mm(kit.disc_mm, depth if kit.main == "cut-off disc" else kit.touch_mm)
    for s in line.segments:
        if not isinstance(s, Line) or s.length < 1.2 * least:
            continue
        inner = s.moved(*s.start_direction.left().times(1.5))
        count = max(1, int(inner.length / least))
        for k in range(count):
            part: Segment = inner.part(k / count, (k + 1) / count)
            total += part.length
            tools = dict.fromkeys((kit.main, "cut-off disc"))
            if not any(
                near.clear((part,), t, depth if t == kit.main else kit.touch_mm, above_only=True) for t in tools
            ):
                missed += part.length
    return missed / total if total > 0.0 else 0.0


def blocked_mm(job: Job, line: Contour, kit: Toolset, near: Surroundings) -> float:
    """Return the length of the line that no tool at all gets along [mm], curves and short sides included.

    Parameters
    ----------
    job : Job
        Ribs and wishes.
    line : Contour
        Net line of the opening [mm].
    kit : Toolset
        Tools.
    near : Surroundings
        What stands round it.
    """
    if not near.above:
        return 0.0
    work = job.opening
    kit = replace(kit, around=near)
    slow = dict.fromkeys((kit.second, *OTHERS) if kit.main == "cut-off disc" else (kit.main, *OTHERS))
    least = 1.2 * chord_mm(kit.disc_mm, kit.touch_mm)
    blocked = 0.0
    for waste in wastes(line, kit.main, work.disc_thickness_mm, work.allowance_mm, job.skin.ribs):
        for s in waste.path.segments:
            straight = isinstance(s, Line) and s.length >= least
            count = max(1, ceil(s.length / (least if straight else _PART_MM)))
            for k in range(count):
                part = s.part(k / count, (k + 1) / count)
                by_disc = straight and near.clear((part,), "cut-off disc", kit.touch_mm, above_only=True)
                if not by_disc and not any(fits(waste, [part], tool, kit) for tool in slow):
                    blocked += part.length
    return blocked
