"""Readings that cannot be true: unknown names, slips of the tape, twice measured, too few on a pad."""

from __future__ import annotations

from collections.abc import Sequence
from difflib import get_close_matches

from cutplan.findings import Finding
from cutplan.geometry.vector import Point
from cutplan.inspection.datum_loop import stage_said
from cutplan.inspection.named_points import DIAL_PLACES
from cutplan.inspection.readings import Reading
from cutplan.opening.model import DatumPlan
from cutplan.pattern.job import Job
from cutplan.texts import ENGLISH, Message, Reader, code, every, mm, name, number, say
from cutplan.texts.by_id import told
from cutplan.texts.values import Name
from cutplan.units import MM_PER_INCH

#: A distance off by more than this, and by more than this share of itself, is a slip rather than a distortion.
SLIP_MM = 10.0
SLIP_SHARE = 0.02
#: What a tape is commonly off by when it is read wrongly [mm], and how near a slip must be to it [mm].
_SLIPS = ((100.0, "100 mm"), (10.0, "10 mm"), (MM_PER_INCH, "1 in"))
_NEAR_MM = 2.0
#: Pads further out of flat, or gaps wider than this, are taken for a slip [mm].
_DIAL_MOST_MM = 5.0
_GAP_MOST_MM = 10.0

#: A datum distance off by more than this, and by more than this share of itself, is a slip or a mark punched elsewhere
#: (our own): marks are punched by eye, and no weld moves one so far.
FAR_MM = 25.0
FAR_SHARE = 0.1
#: The same distance at another stage within this is no slip: the mark stands there (our own, above what a weld moves) [mm].
SAME_MARK_MM = 10.0
#: Beyond this factor either way it is a slip even where it repeats: a unit or a decimal point (our own).
WILD = 2.0


def at_line(reading: Reading) -> Message:
    """Return where in the file of readings one stands."""
    return say("line {line}", line=reading.line)


def unknown_names(
    job: Job, readings: Sequence[Reading], points: dict[str, Point], stations: Sequence[tuple[str, Point, Point]]
) -> list[Message]:
    """Return one sentence for each name that the plan does not have."""
    pads = [p.name for p in job.pads]
    known = {
        "distance": list(points),
        "x": list(points),
        "y": list(points),
        "dial": pads,
        "feeler": pads,
        "gap": [s[0] for s in stations],
    }
    problems = []
    for r in readings:
        for wanted in [r.name] + ([r.to] if r.to and r.kind in ("distance", "feeler") else []):
            if wanted not in known[r.kind]:
                problems.append(
                    say(
                        "line {line}: {kind} {name} is not on the plan ({hint})",
                        line=r.line,
                        kind=code(r.kind),
                        name=_quoted(wanted),
                        hint=_nearest(wanted, known[r.kind]),
                    )
                )
        if r.kind == "dial" and r.to not in [str(i) for i in range(1, DIAL_PLACES + 1)]:
            problems.append(
                say(
                    "line {line}: dial place {place} is not 1 to {most}",
                    line=r.line,
                    place=_quoted(r.to),
                    most=number(DIAL_PLACES),
                )
            )
        if r.kind == "distance" and r.name == r.to:
            problems.append(say("line {line}: distance from {name} to itself", line=r.line, name=_quoted(r.name)))
    return problems


def _quoted(text: str) -> Name:
    return name(f"'{text}'")


def _nearest(wanted: str, known: Sequence[str]) -> Message:
    """The name that was probably meant, or those that there are."""
    near = get_close_matches(wanted, known, 1)
    return say("nearest: {name}", name=_quoted(near[0])) if near else _known(known)


def _known(known: Sequence[str]) -> Message:
    return say("known: {names}", names=every(known[:12])) if known else say("known: none")


def unknown_marks(reading: Reading, datum: DatumPlan | None) -> list[Message]:
    """Return one sentence for each name of a datum distance that the datum sheet does not have."""
    known = [p.name for p in datum.points] if datum is not None else []
    return [
        say(
            "line {line}: {name} is not on the datum sheet ({hint})",
            line=reading.line,
            name=_quoted(wanted),
            hint=_known(known),
        )
        for wanted in (reading.name, reading.to)
        if wanted not in known
    ]


def doubts(
    job: Job, readings: Sequence[Reading], points: dict[str, Point], read: Reader = ENGLISH
) -> list[tuple[int, Finding]]:
    """Return (index, finding) for each reading that should be taken again; such readings are left out of the verdict.

    Index -1: the finding is about no single reading.
    """
    found: list[tuple[int, Finding]] = []
    seen: dict[tuple[str, str, str], Reading] = {}
    again = told("inspect.again", read)

    def doubt(i: int, code: str, key: str, **values: object) -> None:
        message = told(key, read, label=readings[i].said, **values)
        found.append((i, Finding(code, "warning", message, at_line(readings[i]), again)))

    for i, r in enumerate(readings):
        value = float(r.measured_mm or 0.0)
        ends = sorted((r.name, r.to)) if r.kind in ("distance", "feeler") else [r.name, r.to]
        key = (r.kind, ends[0], ends[1])
        if key in seen:
            if abs(float(seen[key].measured_mm or 0.0) - value) > 1.0:
                doubt(i, "reading-twice", "inspect.twice", line=seen[key].line)
            else:
                message = told("inspect.same", read, label=r.said)
                found.append((i, Finding("reading-twice", "note", message, at_line(r))))
            continue
        seen[key] = r
        if r.kind == "distance":
            plan = points[r.name].distance(points[r.to])
            off = value - plan
            if abs(off) > max(SLIP_MM, SLIP_SHARE * plan):
                doubt(i, "reading-slip", "inspect.slip", off=mm(off), plan=mm(plan), why=why_slip(value, plan, read))
        elif (r.kind == "dial" and abs(value) > _DIAL_MOST_MM) or (r.kind == "feeler" and value > _DIAL_MOST_MM):
            doubt(i, "reading-slip", "inspect.dial_wild", value=mm(value, 2))
        elif r.kind == "gap" and value > _GAP_MOST_MM:
            doubt(i, "reading-slip", "inspect.gap_wild", value=mm(value))
    for pad in job.pads:
        dial = [r for r in readings if r.kind == "dial" and r.name == pad.name]
        if 0 < len(dial) < 4:
            found.append(
                (
                    -1,
                    Finding(
                        "readings-too-few",
                        "warning",
                        told("inspect.few", read, pad=pad.name, count=len(dial)),
                        say("pad {pad}", pad=name(pad.name)),
                        told("inspect.few_fix", read),
                    ),
                )
            )
    for axis, other in (("x", "y"), ("y", "x")):
        have = {r.name for r in readings if r.kind == other}
        for i, r in enumerate(readings):
            if r.kind == axis and r.name not in have:
                doubt(i, "reading-half", "inspect.half", other=other)
    return found


def why_slip(value: float, plan: float, read: Reader) -> str:
    """Return the likely slip behind a wrong distance, or nothing.

    Parameters
    ----------
    value, plan : float
        What was read and what was planned [mm].
    read : Reader
        Language of the reader.
    """
    if abs(10.0 * value - plan) < SLIP_MM or abs(value - 10.0 * plan) < 10.0 * SLIP_MM:
        return " " + told("inspect.why_point", read)
    if abs(value / MM_PER_INCH - plan) < SLIP_MM or abs(value * MM_PER_INCH - plan) < SLIP_MM:
        return " " + told("inspect.why_unit", read)
    for size, written in _SLIPS:
        if abs(abs(value - plan) - size) <= _NEAR_MM:
            return " " + told("inspect.why_tape", read, size=written)
    return ""


def datum_slips(
    plan: DatumPlan, readings: Sequence[Reading], moved: bool = False, read: Reader = ENGLISH
) -> list[tuple[Reading, Finding]]:
    """Return the datum distances that must be taken again, each with what is wrong.

    Parameters
    ----------
    plan : DatumPlan
        Points and their planned places.
    readings : sequence of Reading
        Those of the datum stages, each with a value and known names.
    moved : bool
        The job moves its mount: before cutting, its pads are not where they are planned.
    read : Reader
        Language and unit of the reader.
    """
    at = {p.name: p.at for p in plan.points}
    pads = {p.name for p in plan.points if p.kind == "pad"}
    found: list[tuple[Reading, Finding]] = []
    for r in readings:
        if r.name == r.to or (moved and r.kind == "before" and {r.name, r.to} & pads):
            continue
        planned, value = at[r.name].distance(at[r.to]), float(r.measured_mm or 0.0)
        if abs(value - planned) <= max(FAR_MM, FAR_SHARE * planned):
            continue
        if planned / WILD < value < planned * WILD and _repeats(r, value, readings):
            continue
        label = say("{first}-{second} ({stage})", first=name(r.name), second=name(r.to), stage=stage_said(r.kind))
        why = why_slip(value, planned, read)
        message = told("inspect.slip", read, label=label, off=mm(value - planned), plan=mm(planned), why=why)
        found.append((r, Finding("reading-slip", "warning", message, at_line(r), told("inspect.again", read))))
    return found


def _repeats(reading: Reading, value: float, readings: Sequence[Reading]) -> bool:
    """Whether another stage read the same distance alike."""
    ends = {reading.name, reading.to}
    return any(
        o.kind != reading.kind and {o.name, o.to} == ends and abs(float(o.measured_mm or 0.0) - value) <= SAME_MARK_MM
        for o in readings
    )
