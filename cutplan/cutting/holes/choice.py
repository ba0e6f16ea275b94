"""Which holes are cut and which are only marked and drilled, each with its reason."""

from __future__ import annotations

from cutplan.cutting.kerf.choice import is_hand
from cutplan.cutting.result import Drilled
from cutplan.cutting.words import cited, hole_word, holes_word, names, sized
from cutplan.errors import CutplanError
from cutplan.findings import Finding
from cutplan.geometry.slots import as_slot
from cutplan.geometry.vector import Point
from cutplan.pattern.job import Job
from cutplan.pattern.plate import Hole
from cutplan.tables.bolts import bolt_fit, likely_bolt, pilot_mm
from cutplan.tables.cutting.cut_process import PROCESSES, process_word
from cutplan.tables.cutting.holes import HAND_DRILL_MM, JOBSHOP_CLEAN, lead_rule
from cutplan.texts import Message, code, inch_or_mm, mm, name, number, place, say

#: Round holes above this are made with a hole saw rather than a twist drill [mm] (our own choice).
TWIST_DRILL_MM = 16.0


def choose_holes(job: Job, kerf_mm: float) -> tuple[tuple[Hole, ...], tuple[Drilled, ...], tuple[Finding, ...]]:
    """Return the holes to cut, the holes to drill, and what must be said about them.

    Bolt holes are drilled unless the job overrules it (common practice; source key ``vsb6``). Holes below what the
    process can cut are drilled. ``hole.cut`` overrules both ways, and the overruling is reported.

    Parameters
    ----------
    job : Job
        Plate, process and wishes.
    kerf_mm : float
        Kerf [mm].
    """
    cut: list[Hole] = []
    drilled: list[Drilled] = []
    findings: list[Finding] = []
    for hole in job.plate.holes:
        reason = _why_not_cut(job, hole, kerf_mm)
        forced = hole.cut is True or (job.cutting.cut_bolt_holes and hole.purpose == "bolt" and hole.cut is None)
        if hole.cut is False:
            drilled.extend(drill_entries(hole, reason or say("the job says so")))
        elif reason and not forced:
            drilled.extend(drill_entries(hole, reason))
        else:
            cut.append(hole)
            if reason:
                findings.append(
                    Finding(
                        "rule-overruled",
                        "warning",
                        say(
                            "hole {hole} ({size}) is cut because the job says so, although {reason}",
                            hole=name(hole.name),
                            size=_shape_text(hole),
                            reason=reason,
                        ),
                        where=_at(hole),
                        fix=say("dress the edge and check the size; drilling is the safer way"),
                    )
                )
        if hole.diameter_mm is not None:
            findings.extend(_bolt_findings(hole, hole.diameter_mm))
    findings.extend(_unclean_findings(job, cut))
    return tuple(cut), tuple(drilled), tuple(findings)


def _why_not_cut(job: Job, hole: Hole, kerf_mm: float) -> Message | None:
    """Return the reason for which a hole should not be cut, None when there is none."""
    process, thickness_mm = job.cutting.process, job.plate.thickness_mm
    diameter = hole.diameter_mm
    size = _narrowest(hole)
    if is_hand(process):
        if diameter is not None and diameter <= HAND_DRILL_MM:
            return say(
                "a round hole of {size} is drilled, not cut with a {process}",
                size=mm(diameter),
                process=process_word(process),
            )
        if hole.purpose == "bolt" and size is not None:
            return say("bolt holes in a structural part are drilled")
        return None
    facts = PROCESSES[process]
    if hole.purpose == "bolt" and size is not None:
        if facts.hardens:
            return say("bolt holes in a structural part are drilled; the cut edge is hard and its root cracks first")
        return say("bolt holes in a structural part are drilled")
    if hole.purpose == "locating" and size is not None and facts.wide_start:
        return say("a pin needs a truer hole than {process} cuts", process=facts.word)
    least = lead_rule(process).least_hole_mm(thickness_mm, kerf_mm)
    if size is not None and size < least - 1e-9:
        return say(
            "{process} cuts no clean hole below {least} in {thickness} plate",
            process=facts.word,
            least=mm(least),
            thickness=inch_or_mm(thickness_mm, None),
        )
    return None


def _narrowest(hole: Hole) -> float | None:
    """Return the diameter of a round hole or the width of a slot [mm], None for other shapes."""
    if hole.diameter_mm is not None:
        return hole.diameter_mm
    slot = as_slot(hole.contour)
    return slot[2] if slot else None


def drill_entries(hole: Hole, reason: Message) -> tuple[Drilled, ...]:
    """Return the entries of the drill list that make one hole: one for a round hole, two for the ends of a slot."""
    diameter = hole.diameter_mm
    if diameter is not None:
        return (_entry(hole, hole.name, hole.centre, diameter, reason, _how(diameter)),)
    slot = as_slot(hole.contour)
    if slot is not None:
        a, b, width = slot
        how = say("{drill} at both ends, saw between them, file to {width}", drill=_how(width), width=mm(width))
        return (
            _entry(hole, f"{hole.name}a", a, width, reason, how),
            _entry(hole, f"{hole.name}b", b, width, reason, how),
        )
    box = hole.contour.box
    start = max(3.0, min(8.0, 0.5 * min(box.width, box.height)))
    how = say("drill a start hole of {size} in the waste, then saw and file to the line", size=mm(start, 0))
    return (Drilled(hole.name, hole.centre, start, 0.0 if start <= 5.0 else 3.0, hole.bolt, "", reason, how),)


def _how(diameter_mm: float) -> Message:
    return (
        say("drill", context="how a hole is made") if diameter_mm <= TWIST_DRILL_MM else say("hole saw or step drill")
    )


def _entry(hole: Hole, name: str, centre: Point, size_mm: float, reason: Message, how: Message) -> Drilled:
    return Drilled(name, centre, size_mm, pilot_mm(size_mm), hole.bolt, fit_text(hole, size_mm), reason, how)


def fit_text(hole: Hole, size_mm: float) -> Message | str:
    """Return the ISO 273 class for the bolt named, or a likely bolt for a bolt hole without a name, else empty."""
    if hole.bolt:
        try:
            fit = bolt_fit(hole.bolt, size_mm)
        except CutplanError:
            return ""
        return fit.text if fit else ""
    if hole.purpose == "bolt":
        guess = likely_bolt(size_mm)
        fit = bolt_fit(guess, size_mm) if guess else None
        return say("likely {fit}", fit=fit.text) if fit else ""
    return ""


def _unclean_findings(job: Job, cut: list[Hole]) -> list[Finding]:
    """One note for all cut holes that a job shop would call too small to come out clean."""
    limit = JOBSHOP_CLEAN * job.plate.thickness_mm
    if job.cutting.process not in ("air plasma", "oxyfuel"):
        return []
    small = [h for h in cut if (size := _narrowest(h)) is not None and size < limit - 1e-9]
    if not small:
        return []
    return [
        Finding(
            "hole-may-cut-unclean",
            "note",
            say(
                "{holes} {names} below {factor} x thickness ({limit}) may not cut clean ({source})",
                holes=holes_word(len(small)),
                names=names([h.name for h in small]),
                factor=number(JOBSHOP_CLEAN),
                limit=mm(limit, 0),
                source=cited("jobshop"),
            ),
            where=_at(small[0]),
            fix=say("cut slowly, or mark and drill ({setting})", setting=code("hole.cut = false")),
        )
    ]


def _bolt_findings(hole: Hole, diameter_mm: float) -> list[Finding]:
    if not hole.bolt:
        return []
    try:
        fit = bolt_fit(hole.bolt, diameter_mm)
    except CutplanError as error:
        return [Finding("bolt-unknown", "warning", error.message, hole_word(hole.name), error.hint)]
    if fit is None:
        unlisted = say("no clearance hole is listed here for {bolt}", bolt=name(hole.bolt))
        return [Finding("bolt-not-listed", "note", unlisted, hole_word(hole.name))]
    if fit.class_ == "too small":
        return [
            Finding(
                "bolt-does-not-pass",
                "error",
                say(
                    "{bolt} does not pass through hole {hole} of {size}",
                    bolt=name(hole.bolt),
                    hole=name(hole.name),
                    size=mm(diameter_mm, 2),
                ),
                where=_at(hole),
                fix=say("enlarge the hole or name the right bolt"),
            )
        ]
    if fit.class_ == "too large":
        return [
            Finding(
                "bolt-hole-wide",
                "warning",
                say(
                    "hole {hole} of {size} is wider than ISO 273 coarse for {bolt} (clearance {clearance})",
                    hole=name(hole.name),
                    size=mm(diameter_mm, 2),
                    bolt=name(hole.bolt),
                    clearance=mm(fit.clearance_mm, 2),
                ),
                where=_at(hole),
                fix=say("check the size, or weld in a sleeve"),
            )
        ]
    return []


def _shape_text(hole: Hole) -> Message:
    if hole.diameter_mm is not None:
        return say("{size}", size=mm(hole.diameter_mm))
    return sized(hole.contour.box.width, hole.contour.box.height)


def _at(hole: Hole) -> Message:
    return say("hole {hole} at {place}", hole=name(hole.name), place=place(hole.centre.x, hole.centre.y))
