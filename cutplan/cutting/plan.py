"""The plan of a cut: from the job to kerf, holes, torch paths with leads, their order, totals and what to expect."""

from __future__ import annotations

from collections.abc import Sequence

from cutplan.cutting.checks import plate_findings
from cutplan.cutting.estimate import totals
from cutplan.cutting.expect import expectations
from cutplan.cutting.holes.choice import choose_holes
from cutplan.cutting.holes.taper import taper_findings
from cutplan.cutting.kerf.choice import choose_kerf
from cutplan.cutting.proof.faults import fault_findings
from cutplan.cutting.proof.prove import prove
from cutplan.cutting.result import CutPlan
from cutplan.cutting.work import Work
from cutplan.findings import by_severity
from cutplan.geometry.region import Region
from cutplan.geometry.vector import Point
from cutplan.pattern.job import Job
from cutplan.pattern.shop import Shop
from cutplan.tables.cutting.holes import TAB_MM


def plan_cut(job: Job, shop: Shop, *, compensate: bool = True, avoid: Sequence[Point] = ()) -> CutPlan:
    """Return the whole plan of cutting the job's plate.

    Parameters
    ----------
    job : Job
        Plate and wishes.
    shop : Shop
        Measured kerfs.
    compensate : bool
        False lets the torch run on the net line itself, for a trial piece that measures the kerf.
    avoid : sequence of Point
        Weld starts that no cut should start near [mm].

    Returns
    -------
    CutPlan
        Never silent about what cannot be cut: such contours are left out of the paths and named in an error finding
        or moved to the drill list.
    """
    kerf, findings_kerf = choose_kerf(job, shop)
    findings = list(findings_kerf)
    cut_holes, drilled, found = choose_holes(job, kerf.value_mm)
    findings.extend(found)
    work = Work(job, shop, kerf.value_mm if compensate else 0.0, kerf.value_mm, avoid)
    kept, marked = work.add_holes(cut_holes)
    work.add_outline()
    findings.extend(work.findings)
    paths, rapids, ordered = work.in_order()
    findings.extend(ordered)
    net = Region(job.plate.outline, tuple(h.contour for h in kept))
    findings.extend(plate_findings(job, net, kept, kerf.value_mm))
    findings.extend(taper_findings(job.cutting.process, job.plate.thickness_mm, kept, shop))
    names = [h.name for h in kept]
    proof = prove(net, names, paths, tab_mm=TAB_MM + 2.0 * kerf.value_mm if job.cutting.tabs else 0.0)
    findings.extend(fault_findings(proof))
    return CutPlan(
        process=job.cutting.process,
        thickness_mm=job.plate.thickness_mm,
        kerf=kerf,
        net=net,
        cut_holes=kept,
        drilled=(*drilled, *marked),
        paths=paths,
        rapids=rapids,
        totals=totals(job.cutting, job.plate.thickness_mm, paths, rapids),
        expectations=expectations(job, kept),
        findings=by_severity(findings),
        compensated=compensate,
        proof=proof,
    )
