"""One way to cut the opening put together: waste, layout, works and steps, carried out on the model once."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property, lru_cache

from cutplan.errors import GeometryError
from cutplan.geometry.contour import Contour
from cutplan.geometry.vector import Point
from cutplan.opening.cuts.fitting import fits
from cutplan.opening.cuts.layout import Layout, lay_out
from cutplan.opening.cuts.toolset import Toolset, toolset
from cutplan.opening.cuts.waste import Waste, wastes
from cutplan.opening.datum import datum_plan
from cutplan.opening.model import Cut, DatumPlan, Drill, RibPart, Step
from cutplan.opening.proof.simulate import Proof, simulate
from cutplan.opening.steps.bracing import brace_step
from cutplan.opening.steps.falls import Names, Work, work_of
from cutplan.opening.steps.worded import (
    drill_step,
    last_step,
    look_step,
    mark_step,
    measure_step,
    numbered,
    section_steps,
)
from cutplan.pattern.brace import FittedBrace
from cutplan.pattern.brace_designs import braces_of
from cutplan.pattern.job import Job
from cutplan.pattern.shop import Shop
from cutplan.tables.by_hand.drills_opening import CLEAR_BEHIND_MM
from cutplan.tables.by_hand.hand_tools import tool_kerf_mm
from cutplan.texts import mm, say, size

#: Ways to part the waste tried until the simulation passes.
_ATTEMPTS = 6


@dataclass(frozen=True)
class Assembly:
    """One way to cut the opening.

    Parameters
    ----------
    job : Job
        With its braces as fitted.
    line : Contour
        Net line of the opening, counter-clockwise [mm].
    kit : Toolset
        Tools.
    layouts : tuple of Layout
        One for each piece of waste, largest first.
    works : tuple of Work
        What is done for each section, in order.
    """

    job: Job
    line: Contour
    kit: Toolset
    layouts: tuple[Layout, ...]
    works: tuple[Work, ...]

    @property
    def waste(self) -> Waste:
        """The largest piece of waste."""
        return self.layouts[0].waste

    @cached_property
    def drills(self) -> tuple[Drill, ...]:
        """All holes but windows."""
        return tuple(d for layout in self.layouts for d in layout.drills)

    @cached_property
    def windows(self) -> tuple[Drill, ...]:
        """Windows to look through."""
        return tuple(w for layout in self.layouts for w in layout.windows)

    @cached_property
    def parts(self) -> tuple[RibPart, ...]:
        """Places where ribs are parted."""
        return tuple(p for w in self.works for p in w.parts)

    @cached_property
    def order(self) -> tuple[int, ...]:
        """Numbers of the sections in the order they fall."""
        return tuple(w.section.number for w in self.works)

    @cached_property
    def braces(self) -> tuple[FittedBrace, ...]:
        """The braces as fitted."""
        return braces_of(self.job, self.line)

    @cached_property
    def datum(self) -> DatumPlan:
        """Distances to measure."""
        return datum_plan(self.job, self.line)

    @cached_property
    def steps(self) -> tuple[Step, ...]:
        """The numbered steps."""
        steps = self._first_steps()
        braced = any(b.on == "marked" for b in self.braces)
        for k, work in enumerate(self.works):
            steps.extend(section_steps(work, self.order[:k], self.order[k + 1 :], braced))
        steps.append(last_step(self.job, self.parts, any(d.square for d in self.drills), self.order, braced))
        return numbered(steps)

    def _first_steps(self) -> list[Step]:
        """The steps before the first cut: measure, mark, drill, look behind, brace."""
        steps = [measure_step(self.datum), mark_step(self.job)]
        steps += [drill_step(self.drills, self.kit)] if self.drills else []
        holes = [*self.drills, *self.windows]
        looks: list[tuple[str, Point]] = [look for layout in self.layouts for look in layout.looks]
        seen = [(rib, min(holes, key=lambda d: d.centre.distance(at)).name) for rib, at in looks]
        cuts = [c for w in self.works for c in (*w.cuts, *w.bridges)]
        deepest = max((c.depth_mm for c in cuts), default=self.kit.touch_mm)
        needed = deepest - self.kit.skin_mm + CLEAR_BEHIND_MM
        steps.append(look_step(self.job, self.windows, self.drills, seen, self.kit, needed))
        # the brace goes on last: no drill has to get past it
        brace = brace_step(self.job, self.braces)
        return [*steps, brace] if brace is not None else steps

    @cached_property
    def proof(self) -> Proof:
        """What carrying out the steps on the model has shown."""
        sections = [w.section for w in self.works]
        return simulate(self.job, self.line, self.waste.kerf_mm, self.steps, sections)

    def with_rows(self) -> Assembly:
        """Return the same with a row of drilled holes for each saw cut that finds no hole to start at."""
        names = set(self.proof.without_start)

        def row(cut: Cut) -> Cut:
            waste = min((x.waste for x in self.layouts), key=lambda w: w.path.nearest(cut.start)[1])
            if cut.name not in names or not fits(waste, cut.path, "drilled row", self.kit):
                return cut
            return replace(cut, tool="drilled row", depth_mm=self.kit.touch_mm)

        works = tuple(replace(w, cuts=tuple(map(row, w.cuts)), bridges=tuple(map(row, w.bridges))) for w in self.works)
        return replace(self, works=works)


@lru_cache(maxsize=4)
def best_assembled(job: Job, shop: Shop, line: Contour) -> Assembly:
    """Return the first way to cut the opening that the simulation passes, else the one with the fewest failures.

    Parameters
    ----------
    job : Job
        With its braces as fitted.
    shop : Shop
        A measured kerf of the hand tool is used where the shop has one.
    line : Contour
        Net line of the opening, counter-clockwise [mm].

    Raises
    ------
    GeometryError
        When no kerf fits inside the opening.
    """
    made = assembled(job, shop, line, 0)
    for attempt in range(1, _ATTEMPTS):
        if made.proof.ok:
            break
        other = assembled(job, shop, line, attempt)
        made = other if len(other.proof.failures) < len(made.proof.failures) else made
    return made


def assembled(job: Job, shop: Shop, line: Contour, attempt: int) -> Assembly:
    """Return one way to cut the opening.

    Parameters
    ----------
    job : Job
        With its braces as fitted.
    shop : Shop
        A measured kerf of the hand tool is used where the shop has one.
    line : Contour
        Net line of the opening, counter-clockwise [mm].
    attempt : int
        Counts the ways to part the waste that failed before.

    Raises
    ------
    GeometryError
        When no kerf fits inside the opening.
    """
    kit = toolset(job, line)
    measured = shop.kerf(kit.main, job.skin.thickness_mm)
    thickness = job.opening.disc_thickness_mm
    if measured is not None and kit.main == "cut-off disc":
        thickness += measured.mean_mm - tool_kerf_mm(kit.main, thickness)
    pieces = wastes(line, kit.main, thickness, job.opening.allowance_mm, job.skin.ribs)
    if not pieces:
        raise GeometryError(
            say("no cut fits inside the opening"),
            where=say(
                "opening of {size}, kerf {kerf}, allowance {allowance}",
                size=size(line.box.width, line.box.height),
                kerf=mm(tool_kerf_mm(kit.main, thickness)),
                allowance=mm(job.opening.allowance_mm, None),
            ),
            hint=say("drill or file it out, or set a smaller allowance or a finer tool"),
        )
    layouts = _named([lay_out(job, waste, kit, attempt) for waste in pieces])
    works: list[Work] = []
    names = Names()
    count = 0
    for layout in layouts:
        names.sections = {fall.section: count + k for k, fall in enumerate(layout.falls, 1)}
        count += len(layout.falls)
        works.extend(work_of(job, layout, fall, kit, names) for fall in layout.falls)
    made = Assembly(job, line, kit, tuple(layouts), tuple(works))
    return made.with_rows() if made.proof.without_start else made


def _named(layouts: list[Layout]) -> list[Layout]:
    """Give holes and windows their printed names: D1, D2 ... and W1, W2 ..."""
    out: list[Layout] = []
    holes = windows = 0
    for layout in layouts:
        drills: list[Drill] = []
        for d in layout.drills:
            holes += 1
            drills.append(replace(d, name=f"D{holes}"))
        seen: list[Drill] = []
        for w in layout.windows:
            windows += 1
            seen.append(replace(w, name=f"W{windows}"))
        out.append(replace(layout, drills=tuple(drills), windows=tuple(seen)))
    return out
