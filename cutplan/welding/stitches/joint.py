"""The joint that a job asks for: kind, spans to weld, corners to keep clear of, weld section and plug welds."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import pi, radians

from cutplan.findings import Finding
from cutplan.pattern.job import Job
from cutplan.pattern.joint import Span
from cutplan.tables.welding.weld_settings import SQUARE_LIMIT_MM
from cutplan.texts import mm, say, span
from cutplan.welding.settings.machine import Settings
from cutplan.welding.settings.metal import (
    CAP_HEIGHT_MM,
    cap_area_mm2,
    fillet_area_mm2,
    square_section_mm2,
    throat_mm,
    vee_area_mm2,
)
from cutplan.welding.stitches.spans import corner_spans, rib_spans, welded_spans

#: Convexity of a fillet: extra section [1] (common practice).
FILLET_CONVEXITY = 0.10
#: Single V: included angle [rad] and root face [mm] (ISO 9692-1, from memory).
VEE_ANGLE_RAD, VEE_ROOT_FACE_MM = radians(60.0), 1.0


@dataclass(frozen=True, slots=True)
class Plug:
    """A hole of the plate that is filled with weld: name, diameter [mm], volume of weld [mm3]."""

    hole: str
    diameter_mm: float
    volume_mm3: float


@dataclass(frozen=True, slots=True)
class WeldLine:
    """Where along the plate's outline there is weld.

    Parameters
    ----------
    spans : tuple of Span
        Stretches to weld, along the plate's outline [mm]; one span of the full length means a closed joint.
    closed : bool
        Welded all round.
    length_mm : float
        Length of weld, exact along lines and arcs of the plate's edge [mm].
    outline_mm : float
        Length of the whole outline [mm].
    corners : tuple of Span
        Stretches in which no tack lies and no stitch starts or stops [mm].
    crossings : tuple of Span
        Stretches over ribs behind the skin, in which no stitch starts or stops [mm].
    """

    spans: tuple[Span, ...]
    closed: bool
    length_mm: float
    outline_mm: float
    corners: tuple[Span, ...]
    crossings: tuple[Span, ...]


@dataclass(frozen=True, slots=True)
class WeldJoint:
    """The joint as it will be welded.

    Parameters
    ----------
    kind : {"square butt", "single V butt", "lap fillet"}
        Preparation.
    line : WeldLine
        Where along the plate's outline there is weld.
    thin_mm, thick_mm : float
        Thinner and thicker part [mm].
    gap_mm, leg_mm : float
        Root gap of a butt, leg of a fillet [mm].
    throat_mm : float
        Throat that carries load [mm].
    section_mm2 : float
        Weld metal section with cap or convexity [mm2].
    flow_mm : float
        Thickness that carries the heat away, as of an even plate [mm].
    plugs : tuple of Plug
        Plug welds.
    findings : tuple of Finding
        Doubts.
    """

    kind: str
    line: WeldLine
    thin_mm: float
    thick_mm: float
    gap_mm: float
    leg_mm: float
    throat_mm: float
    section_mm2: float
    flow_mm: float
    plugs: tuple[Plug, ...]
    findings: tuple[Finding, ...]


def heat_flow_thickness_mm(kind: str, plate_mm: float, skin_mm: float) -> float:
    """Return the even thickness that takes heat away as the joint does [1]_.

    Parameters
    ----------
    kind : {"butt", "lap"}
        Joint
    plate_mm, skin_mm : float
        Thicknesses [mm]

    Returns
    -------
    float
        Thickness [mm]: butt (plate + skin) / 2; lap (plate + 2 skin) / 2, since the skin goes on under the plate

    References
    ----------
    .. [1] Parts of one temperature at the joint share heat by thickness (our own).
    """
    return 0.5 * (plate_mm + skin_mm) if kind == "butt" else 0.5 * (plate_mm + 2.0 * skin_mm)


def weld_joint(job: Job, settings: Settings) -> WeldJoint:
    """Return the joint that a job asks for.

    Parameters
    ----------
    job : Job
        The job
    settings : Settings
        Settings, for the fillet leg and the gap that they are for

    Returns
    -------
    WeldJoint
        Joint with its weld section; doubts are findings.
    """
    plate, skin, kind = job.plate.thickness_mm, job.skin.thickness_mm, job.joint.kind
    thin, thick = min(plate, skin), max(plate, skin)
    gap = 0.0 if kind == "lap" else job.joint.gap_mm
    leg = 0.0
    if kind == "lap":
        leg = min(0.5 * sum(settings.table.leg_mm), plate) if settings.table.leg_mm[1] > 0.0 else thin
    name, section = _section(thin, gap, leg)
    plugs = tuple(
        Plug(h.name, h.diameter_mm or 2.0 * (h.contour.area / pi) ** 0.5, h.contour.area * plate)
        for h in job.plate.holes
        if h.purpose == "plug weld"
    )
    return WeldJoint(
        name,
        _line(job),
        thin,
        thick,
        gap,
        leg,
        throat_mm(leg) if kind == "lap" else thin,
        section,
        heat_flow_thickness_mm(kind, plate, skin),
        plugs,
        tuple(_short_overlap(job, thin) if kind == "lap" else _gap_off_table(gap, settings)),
    )


def _section(thin_mm: float, gap_mm: float, leg_mm: float) -> tuple[str, float]:
    """Preparation and its section of weld metal [mm2]: a fillet where there is a leg, else a butt."""
    if leg_mm > 0.0:
        return "lap fillet", fillet_area_mm2(leg_mm) * (1.0 + FILLET_CONVEXITY)
    if thin_mm <= SQUARE_LIMIT_MM:
        return "square butt", square_section_mm2(thin_mm, gap_mm)
    width = gap_mm + 2.0 * (thin_mm - VEE_ROOT_FACE_MM) * 0.5773502691896257
    vee = vee_area_mm2(thin_mm, gap_mm, VEE_ANGLE_RAD, VEE_ROOT_FACE_MM)
    return "single V butt", vee + cap_area_mm2(width, CAP_HEIGHT_MM)


def _line(job: Job) -> WeldLine:
    outline = job.plate.outline
    length = outline.length
    spans = welded_spans(length, job.joint.unwelded)
    welded = sum(s.end_mm - s.start_mm for s in spans)
    closed = len(spans) == 1 and welded >= length - 1e-9
    return WeldLine(spans, closed, welded, length, corner_spans(outline), rib_spans(outline, job.skin.ribs))


def _short_overlap(job: Job, thin_mm: float) -> Iterator[Finding]:
    if job.joint.overlap_mm < 3.0 * thin_mm:
        yield Finding(
            "short-overlap",
            "warning",
            say(
                "overlap {overlap} is less than three times the thinner part ({least})",
                overlap=mm(job.joint.overlap_mm, None),
                least=mm(3.0 * thin_mm, None),
            ),
            "joint.overlap",
            say("common practice is three to five times the thinner part"),
        )


def _gap_off_table(gap_mm: float, settings: Settings) -> Iterator[Finding]:
    low, high = settings.table.gap_mm
    if not low - 0.05 <= gap_mm <= high + 0.05 and settings.process == "GMAW":
        yield Finding(
            "gap-off-table",
            "warning" if gap_mm > high + 1.0 or gap_mm == 0.0 else "note",
            say("gap {gap}, the settings are for {range}", gap=mm(gap_mm, None), range=span(low, high, "mm", 1)),
            "joint.gap",
            say("sources differ on the gap: set up a trial piece with yours"),
        )
