"""Which holes are cut and which are only marked and drilled, each with its reason."""

from __future__ import annotations

from cutplan.cutting.holes.slots import as_slot
from cutplan.cutting.kerf.choice import is_hand
from cutplan.cutting.result import Drilled
from cutplan.errors import CutplanError
from cutplan.findings import Finding
from cutplan.geometry.vector import Point
from cutplan.pattern.job import Job
from cutplan.pattern.plate import Hole
from cutplan.tables.bolts import bolt_fit, likely_bolt, pilot_mm
from cutplan.tables.cut_sources import source_text
from cutplan.tables.holes import HAND_DRILL_MM, JOBSHOP_CLEAN, lead_rule

#: Round holes above this are made with a hole saw rather than a twist drill [mm] (our own choice).
TWIST_DRILL_MM = 16.0
#: Processes that leave a hardened edge.
_HARDENING = ("air plasma", "oxyfuel", "laser")


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
        shape_text = _shape_text(hole)
        if hole.cut is False:
            drilled.extend(drill_entries(hole, reason or "the job says so"))
        elif reason and not forced:
            drilled.extend(drill_entries(hole, reason))
        else:
            cut.append(hole)
            if reason:
                findings.append(
                    Finding(
                        "rule-overruled",
                        "warning",
                        f"hole {hole.name} ({shape_text}) is cut because the job says so, although {reason}",
                        where=_at(hole),
                        fix="dress the edge and check the size; drilling is the safer way",
                    )
                )
        if hole.diameter_mm is not None:
            findings.extend(_bolt_findings(hole, hole.diameter_mm))
    findings.extend(_unclean_findings(job, cut))
    return tuple(cut), tuple(drilled), tuple(findings)


def _why_not_cut(job: Job, hole: Hole, kerf_mm: float) -> str:
    """Return the reason for which a hole should not be cut, empty when there is none."""
    process, thickness_mm = job.cutting.process, job.plate.thickness_mm
    diameter = hole.diameter_mm
    size = _narrowest(hole)
    if is_hand(process):
        if diameter is not None and diameter <= HAND_DRILL_MM:
            return f"a round hole of {diameter:.1f} mm is drilled, not cut with a {process}"
        if hole.purpose == "bolt" and size is not None:
            return "bolt holes in a structural part are drilled"
        return ""
    if hole.purpose == "bolt" and size is not None:
        harder = "; the cut edge is hard and its root cracks first" if process in _HARDENING else ""
        return f"bolt holes in a structural part are drilled{harder}"
    if hole.purpose == "locating" and size is not None and process in ("air plasma", "oxyfuel"):
        return f"a pin needs a truer hole than {process} cuts"
    least = lead_rule(process).least_hole_mm(thickness_mm, kerf_mm)
    if size is not None and size < least - 1e-9:
        return f"{process} cuts no clean hole below {least:.1f} mm in {thickness_mm:g} mm plate (from memory)"
    return ""


def _narrowest(hole: Hole) -> float | None:
    """Return the diameter of a round hole or the width of a slot [mm], None for other shapes."""
    if hole.diameter_mm is not None:
        return hole.diameter_mm
    slot = as_slot(hole.contour)
    return slot[2] if slot else None


def drill_entries(hole: Hole, reason: str) -> tuple[Drilled, ...]:
    """Return the entries of the drill list that make one hole: one for a round hole, two for the ends of a slot."""
    diameter = hole.diameter_mm
    if diameter is not None:
        return (_entry(hole, hole.name, hole.centre, diameter, reason, _how(diameter)),)
    slot = as_slot(hole.contour)
    if slot is not None:
        a, b, width = slot
        how = f"{_how(width)} at both ends, saw between them, file to {width:.1f} mm"
        return (
            _entry(hole, f"{hole.name}a", a, width, reason, how),
            _entry(hole, f"{hole.name}b", b, width, reason, how),
        )
    box = hole.contour.box
    start = max(3.0, min(8.0, 0.5 * min(box.width, box.height)))
    how = f"drill a {start:.0f} mm start hole in the waste, then saw and file to the line"
    return (Drilled(hole.name, hole.centre, start, 0.0 if start <= 5.0 else 3.0, hole.bolt, "", reason, how),)


def _how(diameter_mm: float) -> str:
    return "drill" if diameter_mm <= TWIST_DRILL_MM else "hole saw or step drill"


def _entry(hole: Hole, name: str, centre: Point, size_mm: float, reason: str, how: str) -> Drilled:
    return Drilled(name, centre, size_mm, pilot_mm(size_mm), hole.bolt, fit_text(hole, size_mm), reason, how)


def fit_text(hole: Hole, size_mm: float) -> str:
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
        return f"likely {fit.text}" if fit else ""
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
            f"{'hole' if len(small) == 1 else 'holes'} {listed([h.name for h in small])} below "
            f"{JOBSHOP_CLEAN:g} x thickness ({limit:.0f} mm) may not cut clean ({source_text('jobshop')})",
            where=_at(small[0]),
            fix="cut slowly, or mark and drill (hole.cut = false)",
        )
    ]


def listed(names: list[str], most: int = 8) -> str:
    """Return names joined for print; beyond a few, the first ones and how many there are."""
    if len(names) <= most:
        return ", ".join(names)
    return f"{', '.join(names[:most])} and {len(names) - most} more"


def _bolt_findings(hole: Hole, diameter_mm: float) -> list[Finding]:
    if not hole.bolt:
        return []
    try:
        fit = bolt_fit(hole.bolt, diameter_mm)
    except CutplanError as error:
        return [Finding("bolt-unknown", "warning", error.message, where=f"hole {hole.name}", fix=error.hint)]
    if fit is None:
        unlisted = f"no clearance hole is listed here for {hole.bolt}"
        return [Finding("bolt-not-listed", "note", unlisted, f"hole {hole.name}")]
    if fit.class_ == "too small":
        return [
            Finding(
                "bolt-does-not-pass",
                "error",
                f"{hole.bolt} does not pass through hole {hole.name} of {diameter_mm:.2f} mm",
                where=_at(hole),
                fix="enlarge the hole or name the right bolt",
            )
        ]
    if fit.class_ == "too large":
        return [
            Finding(
                "bolt-hole-wide",
                "warning",
                f"hole {hole.name} of {diameter_mm:.2f} mm is wider than ISO 273 coarse for {hole.bolt} "
                f"(clearance {fit.clearance_mm:.2f} mm)",
                where=_at(hole),
                fix="check the size, or weld in a sleeve",
            )
        ]
    return []


def _shape_text(hole: Hole) -> str:
    if hole.diameter_mm is not None:
        return f"{hole.diameter_mm:.1f} mm"
    box = hole.contour.box
    return f"{box.width:.1f} x {box.height:.1f} mm"


def _at(hole: Hole) -> str:
    return f"hole {hole.name} at {hole.centre.x:.1f}, {hole.centre.y:.1f} mm"
