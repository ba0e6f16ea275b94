"""Complete results for the tests of sheets and report: one butt job that plans in seconds, and the samples."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from made_once import shared

from cutplan.drawing.model import Document
from cutplan.findings import Finding
from cutplan.geometry.contour import circle_contour, rectangle
from cutplan.geometry.vector import Point
from cutplan.pattern.job import About, Job, Origin
from cutplan.pattern.joint import Joint
from cutplan.pattern.pads import Brace, Pad
from cutplan.pattern.plate import Hole, Plate, Purpose
from cutplan.pattern.shop import Shop
from cutplan.pattern.skin import Rib, Skin
from cutplan.pattern.wishes import Welding
from cutplan.sheets.results import Results

SAMPLES = Path(__file__).parent.parent / "sample_parts"


def hole(name: str, x: float, y: float, radius: float, purpose: Purpose, bolt: str = "") -> Hole:
    """A round hole."""
    return Hole(name, circle_contour(Point(x, y), radius, ccw=False), purpose, bolt)


def small_job() -> Job:
    """A rounded rectangle with every purpose of hole, two pads, a brace and a rib."""
    holes = (
        hole("H1", 60.0, 55.0, 6.5, "bolt", "M12"),
        hole("H2", 200.0, 55.0, 6.5, "bolt", "M12"),
        hole("H3", 200.0, 125.0, 6.05, "locating"),
        hole("H4", 60.0, 125.0, 13.0, "sleeve"),
        hole("H5", 130.0, 90.0, 25.0, "access"),
        hole("H6", 130.0, 150.0, 5.0, "plug weld"),
    )
    pads = (Pad("A", Point(60.0, 55.0)), Pad("B", Point(200.0, 55.0), flatness_mm=0.4))
    return Job(
        About("Test insert, lower rail", revision="B", date="2026-01-02", area="lower rail"),
        Plate(rectangle(0.0, 0.0, 260.0, 180.0, 20.0), holes, 4.0, "S235"),
        Joint("butt", 1.2),
        Skin(2.5, ribs=(Rib("R1", (Point(40.0, -40.0), Point(40.0, 220.0)), "known", 30.0),)),
        pads,
        Brace("tube", 40.0, 3.0, Point(60.0, 80.0), Point(200.0, 80.0)),
        welding=Welding(orders=20),
        origin=Origin(source="test.toml", drawing="test.dxf"),
    )


def planned(job: Job, shop: Shop | None = None, weld: bool = True) -> Results:
    """Results of all trades of a job."""
    from cutplan.cutting.plan import plan_cut
    from cutplan.opening.plan import plan_opening
    from cutplan.templates.plan import plan_templates
    from cutplan.welding.plan import plan_weld

    used = shop or Shop()
    cut, templates, opening = plan_cut(job, used), plan_templates(job, used), plan_opening(job, used)
    welded = plan_weld(job, used) if weld else None
    findings: list[Finding] = list(job.origin.findings)
    for plan in (cut, templates, opening, welded):
        findings += [f for f in (plan.findings if plan is not None else ()) if f not in findings]
    return Results(job, used, cut, templates, opening, welded, tuple(findings))


@shared
def small() -> Results:
    """The small job, planned once in a run of the tests."""
    return planned(small_job())


@shared
def small_sheet(lang: str = "en") -> Document:
    """The small job's sheet, drawn once in a run of the tests."""
    from cutplan.sheets.job_sheet import job_sheet

    return job_sheet(small(), lang)


@shared
def small_report(lang: str = "en") -> str:
    """The small job's report, written once in a run of the tests."""
    from cutplan.report.report import report_html

    return report_html(small(), lang)


@shared
def sample(name: str) -> Results:
    """A sample job, planned once in a run of the tests, with a short search."""
    from cutplan.files.job.read import read_job
    from cutplan.project.steering import steering

    job = read_job(SAMPLES / name / "job.toml")
    results = planned(replace(job, welding=replace(job.welding, orders=50)))
    return replace(results, steering=steering(job, SAMPLES / name))


def sample_names() -> list[str]:
    """Names of the sample jobs."""
    return sorted(p.parent.name for p in SAMPLES.glob("*/job.toml"))
