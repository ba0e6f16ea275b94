"""What is welded already, by the plan or as it was written down, and when each reading was taken."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from cutplan.errors import JobError
from cutplan.texts import every, name, say
from cutplan.welding.bench.result import TACKS, BenchReadings
from cutplan.welding.heat.timing import Turn
from cutplan.welding.result import WeldPlan


@dataclass(frozen=True, slots=True)
class History:
    """Beads by name in the order of the model, tacks first; the planned turns with what is welded first; and how many are."""

    names: tuple[str, ...]
    turns: tuple[Turn, ...]
    laid: int

    def when(self, after: str, tacks: int) -> int:
        """Return how many beads were welded when a reading was taken after a bead, or after all tacks."""
        if after == TACKS:
            return tacks
        bead = self.names.index(after)
        return next(i for i, t in enumerate(self.turns) if t.bead == bead) + 1


def history_of(plan: WeldPlan, readings: BenchReadings) -> History:
    """Return what is welded: as written down, else as planned up to the last reading.

    Parameters
    ----------
    plan : WeldPlan
        The plan.
    readings : BenchReadings
        Readings and beads as welded.

    Raises
    ------
    JobError
        For beads that are not on the plan, with all of them in one report, or a stitch before its tacks.
    """
    placed = (*plan.tacks, *plan.stitches)
    names = tuple(sorted((b.name for b in placed), key=lambda n: (n[0] != "T", int(n[1:]))))
    planned = tuple(Turn(names.index(b.name), b.backward) for b in placed)
    stages = [g.after for g in readings.gaps] + [d.after for d in readings.dials]
    _known((*stages, *(n for n, _ in readings.done)), names)
    tacks = len(plan.tacks)
    if not readings.done:
        order = {names[t.bead]: i + 1 for i, t in enumerate(planned)}
        laid = max([tacks if s == TACKS else order[s] for s in stages], default=0)
        return History(names, planned, laid)
    by_name = {names[t.bead]: t for t in planned}
    done = [Turn(by_name[n].bead, by_name[n].backward != turned) for n, turned in readings.done]
    if len({t.bead for t in done}) < len(done):
        raise JobError(say("a bead is written down as welded twice"), "done", say("one line for each bead"))
    # who writes down stitches only has made the tacks as planned
    if not any(names[t.bead].startswith("T") for t in done):
        done = [*planned[:tacks], *done]
    welded = {t.bead for t in done}
    late = [names[t.bead] for t in planned[:tacks] if t.bead not in welded]
    if late and any(not names[b].startswith("T") for b in welded):
        raise JobError(
            say("a stitch is written down as welded, but not these tacks: {tacks}", tacks=every(late)),
            "done",
            say("write down the tacks too, or the stitches alone"),
        )
    left = [t for t in planned if t.bead not in welded]
    missing = [s for s in stages if s != TACKS and names.index(s) not in welded]
    if missing:
        raise JobError(
            say("readings were taken after {bead}, which is not written down as welded", bead=name(missing[0])),
            "done",
            say("add it to the lines of kind done"),
        )
    return History(names, (*done, *left), len(done))


def _known(wanted: Iterable[str], names: tuple[str, ...]) -> None:
    unknown = sorted({w for w in wanted if w != TACKS and w not in names})
    if unknown:
        raise JobError(
            say("not on the weld plan: {beads}", beads=every(unknown)),
            "after",
            say("give tacks, or a bead as the weld pages name it, such as {bead}", bead=name(names[-1])),
        )
