"""As built against plan: every reading judged, the points laid on the plan, the class reached, and what it implies."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from cutplan.errors import JobError
from cutplan.findings import Finding
from cutplan.geometry.vector import Point
from cutplan.inspection.advice import advice_of
from cutplan.inspection.alignment import Alignment, align
from cutplan.inspection.datum_loop import DatumLoop, datum_loop, loop_advice, moved_too_far
from cutplan.inspection.form import asked, datum_of
from cutplan.inspection.judge import Checked, judge_gap, judge_length, judge_pads
from cutplan.inspection.linked import linked_places
from cutplan.inspection.mount import MountPlace, judge_mount, mount_advice, mount_open, mount_place
from cutplan.inspection.named_points import gap_stations, named_points
from cutplan.inspection.older_form import older_form
from cutplan.inspection.on_the_way import finished, under_way
from cutplan.inspection.readings import STAGES, Reading
from cutplan.inspection.readings_check import at_line, datum_slips, doubts, unknown_marks, unknown_names
from cutplan.opening.model import DatumPlan
from cutplan.pattern.job import Job
from cutplan.sheets.results import Results
from cutplan.tables.welding.tolerances_weld import flatness_tolerance_mm, linear_tolerance_mm
from cutplan.texts import Reader, mm, say, together
from cutplan.texts.by_id import told

Verdict = Literal["pass", "out", "incomplete"]


@dataclass(frozen=True, slots=True)
class AsBuilt:
    """A point where it was planned and where it is after the best fit [mm].

    ``error_mm`` is its largest standard error in any direction where it was found from distances, else None.
    """

    name: str
    plan: Point
    found: Point
    deviation_mm: float
    error_mm: float | None = None


@dataclass(frozen=True, slots=True)
class Inspection:
    """What the measurements say.

    Parameters
    ----------
    checked : tuple of Checked
        Each measured value with its limit and verdict, in the order of the form.
    points : tuple of AsBuilt
        Points after the best fit.
    fit : Alignment or None
        The rigid best fit; None when the readings place fewer than two points.
    linear_class, flatness_class : str
        Finest class of ISO 13920 that all lengths (A to D) and all flatness values (E to H) keep; empty when none was
        measured, ``-`` when even the widest is exceeded.
    verdict : {"pass", "out", "incomplete"}
        ``incomplete`` when nothing is out but asked readings are missing or doubtful.
    missing : tuple of str
        Readings of the form that were not filled in.
    advice : tuple of str
        What to do next.
    findings : tuple of Finding
        Wrong and doubtful readings.
    loop : DatumLoop or None
        How far the mount moved from stage to stage; None where no datum distance was measured.
    mount : MountPlace or None
        Where a mount that a study moved has ended up; None where no study gives it a tolerance, or it was not measured.
    """

    checked: tuple[Checked, ...]
    points: tuple[AsBuilt, ...]
    fit: Alignment | None
    linear_class: str
    flatness_class: str
    verdict: Verdict
    missing: tuple[str, ...]
    advice: tuple[str, ...]
    findings: tuple[Finding, ...]
    loop: DatumLoop | None = None
    mount: MountPlace | None = None

    def as_dict(self) -> dict[str, object]:
        """Return the inspection as plain data for ``--json``."""
        return {
            "verdict": self.verdict,
            "iso_13920": {"linear": self.linear_class, "flatness": self.flatness_class},
            "checked": [c.as_dict() for c in self.checked],
            "points": [
                {
                    "name": p.name,
                    "plan_mm": _pair(p.plan),
                    "found_mm": _pair(p.found),
                    "deviation_mm": round(p.deviation_mm, 3),
                    "standard_error_mm": None if p.error_mm is None else round(p.error_mm, 3),
                }
                for p in self.points
            ],
            "fit": None
            if self.fit is None
            else {
                "angle_rad": round(self.fit.angle_rad, 9),
                "shift_mm": _pair(self.fit.shift),
                "rms_mm": round(self.fit.rms_mm, 4),
            },
            "missing": list(self.missing),
            "advice": list(self.advice),
            "findings": [f.as_dict() for f in self.findings],
            "datum": None if self.loop is None else self.loop.as_dict(),
            "mount": None if self.mount is None else self.mount.as_dict(),
        }


def _pair(p: Point) -> list[float]:
    return [round(p.x, 3), round(p.y, 3)]


def inspect(job: Job, plan: Results | None, rows: Sequence[Reading], lang: str = "en") -> Inspection:
    """Return the verdict on a finished part.

    Parameters
    ----------
    job : Job
        What was wanted.
    plan : Results or None
        The plans made for it; when they hold a weld plan its settings enter the advice.
    rows : sequence of Reading
        What was measured.
    lang : str
        Language of the advice.

    Raises
    ------
    JobError
        When no reading has a value, or names are unknown (all of them in one report).
    """
    given = [r for r in finished(rows) if r.measured_mm is not None]
    staged = [r for r in given if r.kind in STAGES]
    filled = [r for r in given if r.kind not in STAGES]
    welding = under_way(rows)
    if not given and not welding:
        raise JobError(say("no reading has a value"), hint=say("fill in the column 'measured' of the form"))
    points = named_points(job)
    datum = _datum(job, plan) if staged else None
    _refuse_unknown(job, filled, staged, points, datum)
    read = Reader(lang, job.shown.display)
    doubt = doubts(job, filled, points, read)
    suspect = {i for i, _ in doubt}
    slips = datum_slips(datum, staged, job.origin.moved is not None, read) if datum is not None else []
    staged = [r for r in staged if all(r is not slip for slip, _ in slips)]
    marks = {p.name: p.at for p in datum.points} if datum is not None else {}
    findings = [*older_form(filled, points), *older_form(staged, marks), *(f for _, f in doubt), *(f for _, f in slips)]
    used = [r for i, r in enumerate(filled) if i not in suspect]
    built, fit, odd = _as_built(points, used, lang)
    findings += _misfits(odd, read)
    misfits = [r for r, _, _ in odd]
    checked = [judge_length(job, r, points) for r in used if r.kind == "distance" and r not in misfits]
    checked += judge_pads(job, used, lang)
    checked += [judge_gap(job, plan, r) for r in used if r.kind == "gap"]
    mount = mount_place(job, datum, staged)
    checked += [judge_mount(mount)] if mount is not None else []
    missing = () if welding else _missing(job, filled, lang)
    loop = datum_loop(datum, staged) if datum is not None else None
    out = any(not c.ok for c in checked) or (loop is not None and moved_too_far(loop, _pitch_mm(job)))
    doubtful = bool(findings) or (loop is not None and loop.open)
    still = welding or bool(missing) or doubtful or mount_open(job, mount)
    verdict: Verdict = "out" if out else "incomplete" if still else "pass"
    advice: tuple[str, ...] = ()
    if out or doubtful or not welding:
        places = [] if welding and not out else _of_places(job, loop, mount, lang)
        advice = (*places, *advice_of(job, plan, checked, missing, doubtful, lang))
    return Inspection(
        tuple(checked),
        built,
        fit,
        _class(checked, "length", "ABCD"),
        _class(checked, "flatness", "EFGH"),
        verdict,
        missing,
        advice,
        tuple(findings),
        loop,
        mount,
    )


def _refuse_unknown(
    job: Job, filled: Sequence[Reading], staged: Sequence[Reading], points: dict[str, Point], datum: DatumPlan | None
) -> None:
    """Raise where readings name what is not on the plan, all of them in one report."""
    problems = unknown_names(job, filled, points, gap_stations(job))
    problems += [p for r in staged for p in unknown_marks(r, datum)]
    if problems:
        raise JobError(
            say("readings name what is not on the plan"),
            together(*problems, sep="\n         "),
            say("use the names of the job sheet"),
        )


def _misfits(odd: Sequence[tuple[Reading, float, str]], read: Reader) -> list[Finding]:
    """Distances that do not fit the others."""
    return [
        Finding(
            "reading-does-not-fit",
            "warning",
            told("inspect.misfit", read, label=reading.said, off=mm(abs(residual))) + others,
            at_line(reading),
            told("inspect.again", read),
        )
        for reading, residual, others in odd
    ]


def _missing(job: Job, filled: Sequence[Reading], lang: str) -> tuple[str, ...]:
    """Readings of the form that were not filled in."""
    have = {(r.kind, r.name, r.to) for r in filled}
    return tuple(
        Reader(lang, job.shown.display)(Reading(a.kind, a.name, a.to, None).said)
        for a in asked(job, lang)
        if (a.kind, a.name, a.to) not in have and (a.kind, a.to, a.name) not in have
    )


def _of_places(job: Job, loop: DatumLoop | None, mount: MountPlace | None, lang: str) -> list[str]:
    """What to do about where the mount and the datum points are."""
    said = [*mount_advice(job, mount), *(loop_advice(loop, _pitch_mm(job)) if loop is not None else [])]
    read = Reader(lang, job.shown.display)
    return [read(m) for m in said]


def _pitch_mm(job: Job) -> float:
    """How far a pad may be off [mm]."""
    return min((p.pitch_mm for p in job.pads), default=0.5)


def _datum(job: Job, plan: Results | None) -> DatumPlan:
    """The datum points and distances of the job sheet."""
    if plan is not None and plan.opening is not None:
        return plan.opening.datum
    return datum_of(job)


def _as_built(
    plan: dict[str, Point], used: Sequence[Reading], lang: str
) -> tuple[tuple[AsBuilt, ...], Alignment | None, list[tuple[Reading, float, str]]]:
    """Points from measured coordinates where given, else from distances; with the distances that do not fit."""
    xs = {r.name: r.measured_mm for r in used if r.kind == "x"}
    ys = {r.name: r.measured_mm for r in used if r.kind == "y"}
    named = [n for n in plan if n in xs and n in ys]
    distances = [r for r in used if r.kind == "distance" and r.measured_mm is not None]
    found: list[tuple[str, Point]] = [(n, Point(float(xs[n] or 0.0), float(ys[n] or 0.0))) for n in named]
    linked, errors, odd = linked_places(plan, distances, lang)
    if len(named) < 2 and linked:
        found = linked
    else:
        errors = {}
    if len(found) < 2 or all(p.distance(found[0][1]) < 1e-9 for _, p in found):
        return (), None, odd
    fit = align([p for _, p in found], [plan[n] for n, _ in found])
    built = tuple(
        AsBuilt(n, plan[n], p, d, errors.get(n))
        for (n, _), p, d in zip(found, fit.fitted, fit.deviation_mm, strict=True)
    )
    return built, fit, odd


def _class(checked: Sequence[Checked], kind: str, letters: str) -> str:
    """Finest class that all values of a kind keep."""
    mine = [c for c in checked if c.kind == kind and c.size_mm >= 2.0]
    if not mine:
        return ""
    tolerance = linear_tolerance_mm if kind == "length" else flatness_tolerance_mm
    for letter in letters:
        if all(abs(c.deviation_mm) <= tolerance(min(c.size_mm, 4000.0), letter) for c in mine):
            return letter
    return "-"
