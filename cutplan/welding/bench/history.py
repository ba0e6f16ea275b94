"""What is welded already, by the plan or as it was written down, and when each reading was taken."""

from __future__ import annotations

from dataclasses import dataclass

from cutplan.errors import JobError
from cutplan.texts import every, name, say
from cutplan.welding.bench.result import TACKS, BenchReadings
from cutplan.welding.bench.stages import computed_parts, spelled
from cutplan.welding.heat.timing import Turn
from cutplan.welding.result import WeldPlan


@dataclass(frozen=True, slots=True)
class History:
    """Beads by name in the order of the model, tacks first; the planned turns with what is welded first; and how many are.

    ``parts`` are the sleeves and ribs that are welded, in turn.
    """

    names: tuple[str, ...]
    turns: tuple[Turn, ...]
    laid: int
    parts: tuple[str, ...] = ()

    def when(self, after: str, tacks: int) -> int:
        """Return how many beads were welded when a reading was taken after a bead, or after all tacks.

        Past the last stitch each sleeve and each rib counts as one.
        """
        if after == TACKS:
            return tacks
        if after in self.parts:
            return len(self.names) + self.parts.index(after) + 1
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
        For beads that are not on the plan, with all of them in one report, a stitch before its tacks, or a sleeve or rib
        before its stitches.
    """
    readings = spelled(plan, readings)
    placed = (*plan.tacks, *plan.stitches)
    names = tuple(sorted((b.name for b in placed), key=lambda n: (n[0] != "T", int(n[1:]))))
    planned = tuple(Turn(names.index(b.name), b.backward) for b in placed)
    stages = [g.after for g in readings.gaps] + [d.after for d in readings.dials]
    tacks, parts = len(plan.tacks), _parts_of(plan, readings, stages)
    if len({n for n, _ in readings.done}) < len(readings.done):
        raise JobError(say("a bead is written down as welded twice"), "done", say("one line for each bead"))
    beads = [(n, turned) for n, turned in readings.done if n in names]
    if not beads:
        order = {names[t.bead]: i + 1 for i, t in enumerate(planned)}
        laid = max([tacks if s == TACKS else order.get(s, len(names)) for s in stages], default=0)
        return History(names, planned, len(names) if parts else laid, parts)
    by_name = {names[t.bead]: t for t in planned}
    done = [Turn(by_name[n].bead, by_name[n].backward != turned) for n, turned in beads]
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
    if parts and left:
        raise JobError(
            say(
                "{part} comes after the stitches, but these are not written down as welded: {beads}",
                part=name(parts[0]),
                beads=every([names[t.bead] for t in left]),
            ),
            "done",
            say("add them to the lines of kind done, or take those lines out where all was welded as planned"),
        )
    missing = [s for s in stages if s != TACKS and s not in parts and names.index(s) not in welded]
    if missing:
        raise JobError(
            say("readings were taken after {bead}, which is not written down as welded", bead=name(missing[0])),
            "done",
            say("add it to the lines of kind done"),
        )
    return History(names, (*done, *left), len(done), parts)


def written_row(plan: WeldPlan, history: History, turns: tuple[Turn, ...]) -> str:
    """Return what a row of kind done says of an order that is not the planned one; empty for that.

    Parameters
    ----------
    plan : WeldPlan
        The plan.
    history : History
        Names of the beads.
    turns : tuple of Turn
        All beads in their order, what is welded first.

    Returns
    -------
    str
        Names in turn, each with ``<`` where it is welded against the planned direction; tacks only where they were made
        otherwise than planned.
    """
    ways = {b.name: b.backward for b in (*plan.tacks, *plan.stitches)}
    order = [(history.names[t.bead], t.backward) for t in turns]
    if order == list(ways.items()):
        return ""
    tacks = len(plan.tacks)
    some = order if order[:tacks] != list(ways.items())[:tacks] else order[tacks:]
    return " ".join(n + ("<" if backward != ways[n] else "") for n, backward in some)


def _parts_of(plan: WeldPlan, readings: BenchReadings, stages: list[str]) -> tuple[str, ...]:
    """Sleeves and ribs that are welded: as written down, else in the planned turn up to the last that was read after."""
    known = computed_parts(plan)
    written = tuple(n for n, _ in readings.done if n in known)
    last = max((known.index(s) + 1 for s in stages if s in known), default=0)
    if not written:
        return known[:last]
    missing = [s for s in stages if s in known and s not in written]
    if missing:
        raise JobError(
            say("readings were taken after {bead}, which is not written down as welded", bead=name(missing[0])),
            "done",
            say("add it to the lines of kind done"),
        )
    return written
