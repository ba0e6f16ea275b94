"""Wrap templates for round tube: the saddle of a branch on a main tube, or a plain mitre, unrolled."""

from __future__ import annotations

from itertools import pairwise
from math import cos, isfinite, pi, radians, sin, sqrt, tan

from cutplan.drawing.model import Stroke, line
from cutplan.errors import GeometryError
from cutplan.geometry.contour import Contour
from cutplan.geometry.segment import Line, Segment
from cutplan.geometry.vector import Point
from cutplan.pattern.wishes import TubeWrap
from cutplan.templates.drawn.pens import CENTRE, CUT, TRACE
from cutplan.templates.shapes.template import Spot, Template
from cutplan.texts import Reader, inch_or_mm, mm, name, say
from cutplan.texts.by_id import told

#: Thickness of office paper, which lies on the tube [mm] (80 g/m2, common value).
PAPER_MM = 0.1
#: Width of the plain band below the lowest point of the curve [mm].
BAND_MM = 30.0
_STEPS = 720


def saddle_reach_mm(
    branch_radius_mm: float, main_radius_mm: float, angle_deg: float, offset_mm: float, around_deg: float
) -> float:
    r"""Return how far from the main tube's axis a branch tube ends, along the branch [mm].

    .. math:: L(\theta) = \frac{\sqrt{R^2 - (r \sin\theta + e)^2} + r \cos\theta \cos\varphi}{\sin\varphi}

    Parameters
    ----------
    branch_radius_mm : float
        Radius of the branch surface that is developed, outside or inside [mm].
    main_radius_mm : float
        Outside radius of the main tube [mm].
    angle_deg : float
        Angle between the axes, above 0 to 90 [deg].
    offset_mm : float
        Distance between the axes [mm].
    around_deg : float
        Angle round the branch from the heel, where the angle between the tubes is widest [deg].

    Returns
    -------
    float
        Length from the main axis [mm].

    Raises
    ------
    GeometryError
        Where the branch reaches past the side of the main tube (\|r sin(theta) + e\| > R).

    Notes
    -----
    Intersection of two circular cylinders; the square, centred case is published [1]_, the general one is the same
    algebra with a tilted, shifted axis. No wall thickness: the caller develops the outside and the inside radius.

    References
    ----------
    .. [1] Development of a saddle cut, mathematics question 2942223 (square, centred case).
    """
    theta, phi = radians(around_deg), radians(angle_deg)
    side = branch_radius_mm * sin(theta) + offset_mm
    inside = main_radius_mm**2 - side**2
    if inside < -1e-9 * main_radius_mm**2:
        raise GeometryError(
            say("the branch tube reaches past the side of the main tube"),
            say(
                "branch radius {branch}, main radius {main}, offset {offset}",
                branch=mm(branch_radius_mm, None),
                main=mm(main_radius_mm, None),
                offset=mm(offset_mm, None),
            ),
            say("use a smaller offset or a larger main tube"),
        )
    return (sqrt(max(0.0, inside)) + branch_radius_mm * cos(theta) * cos(phi)) / sin(phi)


def mitre_reach_mm(branch_radius_mm: float, cut_deg: float, around_deg: float) -> float:
    r"""Return the height of a plane cut above its lowest point, round the tube [mm].

    .. math:: h(\theta) = r \tan\alpha (1 - \cos\theta)

    Parameters
    ----------
    branch_radius_mm : float
        Radius of the developed surface [mm].
    cut_deg : float
        Angle of the cut from square, 0 to below 90 [deg].
    around_deg : float
        Angle round the tube from the lowest point [deg].

    Returns
    -------
    float
        Height [mm]; exact for a plane cut of a circular tube.
    """
    return branch_radius_mm * tan(radians(cut_deg)) * (1.0 - cos(radians(around_deg)))


def wrap_length_mm(branch_mm: float) -> float:
    """Return the length of paper once round a tube of outside diameter ``branch_mm`` [mm], at mid-paper [mm]."""
    return pi * (branch_mm + PAPER_MM)


def wrap_template(wrap: TubeWrap, lang: str | Reader = "en") -> Template:
    """Return the wrap of a tube end: the curve of the outside (cut) and of the inside (dashed), unrolled.

    Raises
    ------
    GeometryError
        When the numbers give no tube, no angle, or a branch that misses the main tube.
    """
    outer, inner = 0.5 * wrap.branch_mm, 0.5 * wrap.branch_mm - wrap.wall_mm
    sizes = (wrap.branch_mm, wrap.main_mm, wrap.wall_mm, wrap.angle_deg, wrap.offset_mm)
    if not all(isfinite(v) for v in sizes) or outer <= 0.0 or inner <= 0.0 or not 0.0 < wrap.angle_deg <= 90.0:
        raise GeometryError(
            say("the wrap needs a branch diameter, a wall thinner than its radius and an angle above 0 to 90 degrees"),
            say("wrap {wrap}", wrap=name(wrap.name)),
            say("check branch, wall and angle"),
        )
    length = wrap_length_mm(wrap.branch_mm)
    curves = [[_height(wrap, r, 360.0 * i / _STEPS) for i in range(_STEPS + 1)] for r in (outer, inner)]
    base = BAND_MM - min(min(c) for c in curves)
    outside, inside = ([Point(length * i / _STEPS, h + base) for i, h in enumerate(curve)] for curve in curves)
    start, end = Point(0.0, 0.0), Point(length, 0.0)
    edge: tuple[Segment, ...] = (
        Line(start, end),
        Line(end, outside[-1]),
        *_chain(outside[::-1]),
        Line(outside[0], start),
    )
    quarters = [Point(length * q / 4, 0.0) for q in range(1, 4)]
    marks = tuple(
        line(p, (p.x, curves[0][q * _STEPS // 4] + base), CENTRE, "centre") for q, p in enumerate(quarters, start=1)
    )
    if wrap.main_mm > 0.0:
        what = told("paper.wrap.saddle", lang, main=inch_or_mm(wrap.main_mm, None), angle=wrap.angle_deg)
        side = "right" if wrap.offset_mm > 0.0 else "left"
        shift = told(f"paper.wrap.offset.{side}", lang, offset=mm(abs(wrap.offset_mm), None)) if wrap.offset_mm else ""
    else:
        what, shift = told("paper.wrap.mitre", lang, angle=wrap.angle_deg), ""
    return Template(
        f"Wrap {wrap.name}",
        "wrap",
        Contour(edge).oriented(ccw=True),
        (Stroke(edge, CUT, closed=True, tag="cut"), Stroke(_chain(inside), TRACE, tag="trace inside"), *marks),
        tuple(
            Spot(f"{90 * q}°", "", Point(p.x, 0.5 * BAND_MM), 0.0, 2.0, cross=False)
            for q, p in enumerate(quarters, start=1)
        ),
        (
            f"{what}{shift}",
            told("paper.wrap.round", lang, branch=inch_or_mm(wrap.branch_mm, None)),
            told("paper.wrap.lines", lang),
            told("paper.piece", lang),
        ),
        title=told("paper.wrap.name", lang, name=wrap.name),
    )


def _height(wrap: TubeWrap, radius_mm: float, around_deg: float) -> float:
    """Height of the tube's end above an arbitrary level, upward towards the other tube [mm]."""
    if wrap.main_mm > 0.0:
        return -saddle_reach_mm(radius_mm, 0.5 * wrap.main_mm, wrap.angle_deg, wrap.offset_mm, around_deg)
    # a mitre splits the angle between the axes; heights of both radii are taken from the tube's axis
    cut = 90.0 - 0.5 * wrap.angle_deg
    return mitre_reach_mm(radius_mm, cut, around_deg) - radius_mm * tan(radians(cut))


def _chain(points: list[Point]) -> tuple[Segment, ...]:
    return tuple(Line(a, b) for a, b in pairwise(points))
