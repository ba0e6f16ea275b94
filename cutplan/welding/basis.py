"""What follows from joint and machine before any order: settings, steels, runs, and what one bead does."""

from __future__ import annotations

from dataclasses import dataclass

from cutplan.errors import CutplanError, JobError
from cutplan.findings import Finding
from cutplan.pattern.job import Job
from cutplan.pattern.shop import Shop
from cutplan.tables.steel import Grade, grade
from cutplan.texts import number, say
from cutplan.welding.beside import beside_mm2
from cutplan.welding.distortion.unmeasured import UNMEASURED
from cutplan.welding.settings.by_position import with_position
from cutplan.welding.settings.consumption import runs_and_section
from cutplan.welding.settings.machine import Settings, settings_for
from cutplan.welding.shrinkage.free_bead import FreeBead, free_bead
from cutplan.welding.stitches.joint import WeldJoint, weld_joint
from cutplan.welding.words import as_value


@dataclass(frozen=True, slots=True)
class Basis:
    """What a weld plan stands on.

    Parameters
    ----------
    settings : Settings
        Machine settings with heat input.
    joint : WeldJoint
        Kind, spans, corners, section.
    runs : int
        Runs on the joint.
    laid_mm2 : float
        Section of one run at these settings [mm2].
    weaker_N_per_mm2 : float
        Least yield strength of plate and skin, the weaker one [N/mm2].
    bead : FreeBead
        What a long bead does on free parts.
    narrowed : bool
        The shop's own trial piece narrowed it.
    findings : tuple of Finding
        Everything noticed.
    """

    settings: Settings
    joint: WeldJoint
    runs: int
    laid_mm2: float
    weaker_N_per_mm2: float
    bead: FreeBead
    narrowed: bool
    findings: tuple[Finding, ...]


def weld_basis(job: Job, shop: Shop | None = None) -> Basis:
    """Return what the weld plan of a job stands on.

    Parameters
    ----------
    job : Job
        The job
    shop : Shop or None
        The shop's measurements; a weld trial at this process and thickness narrows the bands

    Returns
    -------
    Basis
        Settings, joint and bead. Leaving a range is a finding.

    Raises
    ------
    JobError
        When no edge is left to weld.
    """
    thin = min(job.plate.thickness_mm, job.skin.thickness_mm)
    settings = settings_for(job.joint.kind, thin, job.welding)
    joint = weld_joint(job, settings)
    if not joint.line.spans:
        raise JobError(say("no edge is left to weld"), "joint.unwelded", say("leave at least one stretch welded"))
    settings = with_position(job, joint, settings)
    plate_steel, skin_steel, findings = _steels(job)
    findings += [*settings.findings, *joint.findings]
    beside = beside_mm2(job)
    low, middle, high = (beside_mm2(job, share) / beside for share in UNMEASURED)
    runs, laid = runs_and_section(joint, settings)
    weaker = min(plate_steel.yield_N_per_mm2, skin_steel.yield_N_per_mm2)
    measured = (shop or Shop()).weld(job.welding.process, thin)
    bead = free_bead(joint, settings, beside, weaker, measured, runs, (low, middle, high))
    if bead.tendon.capped:
        text = say(
            "the pull of a bead would bring {wanted} of metal to yield and {beside} lie beside it: "
            "held at half their yield force",
            wanted=number(bead.tendon.yielded_mm2, "mm2", 0),
            beside=number(beside, "mm2", 0),
        )
        findings.append(Finding("section-yields", "note", text, "skin.walls"))
    return Basis(settings, joint, runs, laid, weaker, bead, measured is not None, tuple(findings))


def _steels(job: Job) -> tuple[Grade, Grade, list[Finding]]:
    """Grades of plate and skin; an unknown one is taken as S235 and said so."""
    found: list[Grade] = []
    findings: list[Finding] = []
    for where, name in (("plate.steel", job.plate.steel), ("skin.steel", job.skin.steel)):
        try:
            found.append(grade(name))
        except CutplanError as error:
            found.append(grade("S235"))
            text = say("{problem}: taken as S235", problem=as_value(error.message))
            findings.append(Finding("steel-unknown", "warning", text, where, error.hint))
    return found[0], found[1], findings
