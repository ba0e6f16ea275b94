"""Flat patterns of simple bent flanges: developed lengths after DIN 6935, bend lines where the bend's middle lies."""

from __future__ import annotations

from collections.abc import Sequence
from math import isfinite, log10, radians, tan

from cutplan.drawing.model import line, outline
from cutplan.errors import GeometryError
from cutplan.geometry.contour import rectangle
from cutplan.geometry.vector import Point
from cutplan.pattern.wishes import Flange
from cutplan.templates.drawn.pens import BEND, CUT, TRACE
from cutplan.templates.shapes.template import Spot, Template
from cutplan.texts import Reader, code, every, inch_or_mm, mm, say
from cutplan.texts.by_id import told
from cutplan.texts.values import Length


def bend_factor(radius_mm: float, thickness_mm: float) -> float:
    r"""Return the factor k of DIN 6935, measured against half the thickness.

    .. math:: k = 0.65 + 0.5 \log_{10}(r / s), \quad k \le 1

    Parameters
    ----------
    radius_mm : float
        Inside bend radius r, above 0 [mm].
    thickness_mm : float
        Sheet thickness s, above 0 [mm].

    Returns
    -------
    float
        k [1]; the K-factor of other shops is k / 2. The cap is reached at r/s = 5; below r/s = 0.05 it would turn
        negative and is held at 0.

    References
    ----------
    .. [1] DIN 6935, as transcribed in public code; the t/2 convention after a CAD maker's page on ANSI and DIN.
    """
    return min(1.0, max(0.0, 0.65 + 0.5 * log10(radius_mm / thickness_mm)))


def bend_allowance_mm(radius_mm: float, thickness_mm: float, opening_deg: float) -> float:
    r"""Return the length of the neutral fibre in a bend [mm].

    .. math:: BA = \pi \frac{180 - \beta}{180} (r + k s / 2)

    Parameters
    ----------
    radius_mm : float
        Inside bend radius [mm].
    thickness_mm : float
        Sheet thickness [mm].
    opening_deg : float
        Opening angle of the bent sheet; 180 is flat [deg].

    Returns
    -------
    float
        Length [mm].
    """
    k = bend_factor(radius_mm, thickness_mm)
    return radians(180.0 - opening_deg) * (radius_mm + 0.5 * k * thickness_mm)


def bend_correction_mm(radius_mm: float, thickness_mm: float, opening_deg: float) -> float:
    """Return the correction v of DIN 6935 that is added to the outside lengths of two legs [mm].

    Parameters
    ----------
    radius_mm : float
        Inside bend radius [mm].
    thickness_mm : float
        Sheet thickness [mm].
    opening_deg : float
        Opening angle [deg], above 0 to 180; above 165 the correction is taken as zero.

    Returns
    -------
    float
        v [mm], mostly negative.

    References
    ----------
    .. [1] DIN 6935 (formula from memory, parts agree with public transcriptions).
    """
    if opening_deg > 165.0:
        return 0.0
    setback = radius_mm + thickness_mm
    if opening_deg > 90.0:
        setback *= tan(radians(0.5 * (180.0 - opening_deg)))
    return bend_allowance_mm(radius_mm, thickness_mm, opening_deg) - 2.0 * setback


def flat_length_mm(
    legs_mm: Sequence[float], radius_mm: float, thickness_mm: float, angles_deg: Sequence[float]
) -> float:
    """Return the flat length of a bent strip: its outside leg lengths and a correction for each bend [mm].

    Parameters
    ----------
    legs_mm : sequence of float
        Outside lengths of the legs [mm].
    radius_mm : float
        Inside bend radius [mm].
    thickness_mm : float
        Sheet thickness [mm].
    angles_deg : sequence of float
        Opening angle of each bend [deg].

    Returns
    -------
    float
        Flat length [mm].
    """
    return sum(legs_mm) + sum(bend_correction_mm(radius_mm, thickness_mm, a) for a in angles_deg)


def flat_total_mm(flange: Flange) -> float:
    """Return the flat length of a job's bent strip [mm]."""
    return flat_length_mm(flange.legs_mm, flange.radius_mm, flange.thickness_mm, flange.angles_deg)


def flange_template(flange: Flange, lang: str | Reader = "en") -> Template:
    """Return the flat pattern of a flange with its bend lines.

    Raises
    ------
    GeometryError
        When legs and angles do not fit together or a length is not above zero.
    """
    sizes = (*flange.legs_mm, flange.width_mm, flange.thickness_mm, flange.radius_mm)
    good = len(flange.legs_mm) == len(flange.angles_deg) + 1 and all(isfinite(v) and v > 0.0 for v in sizes)
    if not good or not all(0.0 < a <= 180.0 for a in flange.angles_deg):
        raise GeometryError(
            say("a flange needs one more leg than bends, lengths above zero and opening angles above 0 to 180 degrees"),
            say("flange {flange}", flange=code(flange.name)),
            say("check legs and angles"),
        )
    steps = [bend_correction_mm(flange.radius_mm, flange.thickness_mm, a) for a in flange.angles_deg]
    total = flat_total_mm(flange)
    edge = rectangle(0.0, 0.0, total, flange.width_mm)
    lines = [outline(edge, CUT, tag="cut")]
    spots: list[Spot] = []
    run = 0.0
    bends: list[Length] = []
    ways = flange.ways or ("up",) * len(steps)
    for leg, angle, step, way in zip(flange.legs_mm, flange.angles_deg, steps, ways, strict=False):
        middle = run + leg + 0.5 * step
        half = 0.5 * bend_allowance_mm(flange.radius_mm, flange.thickness_mm, angle)
        lines.append(line((middle, 0.0), (middle, flange.width_mm), BEND, "bend"))
        for x in (middle - half, middle + half):
            lines.append(line((x, 0.0), (x, flange.width_mm), TRACE, "trace bend zone"))
        bends.append(mm(middle))
        # of a right angle both are one
        words = f"paper.flat.{way}.square" if round(angle, 1) == 90.0 else f"paper.flat.{way}"
        name = told(words, lang, bend=180.0 - angle, opening=angle)
        spots.append(Spot(name, "", Point(middle + half, 0.75 * flange.width_mm), 0.0, 2.0, cross=False))
        run += leg + step
    return Template(
        f"Flat {flange.name}",
        "flat pattern",
        edge,
        tuple(lines),
        tuple(spots),
        (
            told("paper.flat", lang, name=flange.name, thickness=inch_or_mm(flange.thickness_mm, None)),
            told("paper.flat.cut", lang),
            told("paper.flat.sizes", lang, total=mm(total), bends=every(bends)),
            told("paper.flat.bend", lang, radius=mm(flange.radius_mm, None)),
            told("paper.flat.try", lang),
            told("paper.piece", lang),
        ),
        title=told("paper.flat.name", lang, name=flange.name),
    )
