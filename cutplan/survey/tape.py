"""A tape survey adjusted: points from distances by least squares, their errors, and a wrong reading found."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import isfinite, sqrt

from cutplan.errors import DrawingError, GeometryError
from cutplan.findings import Finding
from cutplan.geometry.contour import circle_contour, polygon
from cutplan.geometry.region import Region
from cutplan.geometry.vector import Point
from cutplan.survey.network import TAPE_MM, Adjusted, Distance
from cutplan.survey.network import adjust as adjusted
from cutplan.survey.start import Side, starting_points
from cutplan.survey.triangles import Side3, gross_slip
from cutplan.texts import mm, number, plural, say
from cutplan.texts import name as named

__all__ = ["Reading", "Side", "Survey", "SurveyPoint", "adjust", "surveyed_plate"]


@dataclass(frozen=True, slots=True)
class Reading:
    """A distance [mm] taped between two named points, with its standard error [mm]."""

    a: str
    b: str
    distance_mm: float
    error_mm: float = TAPE_MM


@dataclass(frozen=True, slots=True)
class Checked:
    """A reading after the adjustment: taped less computed [mm], that in units of its own error, and whether it is used.

    ``redundancy`` is the share of the reading's error that the others reveal: 0 for a reading that nothing checks, and
    ``checked`` whether that is enough to show a slip.
    """

    reading: Reading
    residual_mm: float
    normalised: float
    redundancy: float
    used: bool
    checked: bool


@dataclass(frozen=True, slots=True)
class SurveyPoint:
    """A point found: place [mm], largest standard error in any direction [mm], root mean square residual [mm]."""

    name: str
    at: Point
    error_mm: float
    residual_mm: float


@dataclass(frozen=True, slots=True)
class Survey:
    """All points of a survey, the readings with their residuals, and what was noticed."""

    points: tuple[SurveyPoint, ...]
    readings: tuple[Checked, ...]
    unit_error: float
    spare_readings: int
    findings: tuple[Finding, ...]

    def at(self, name: str) -> Point:
        """Return the place of a named point [mm]."""
        for point in self.points:
            if point.name == name:
                return point.at
        raise DrawingError(
            say("the survey has no point '{point}'", point=named(name)),
            hint=say("check the spelling of the point's name"),
        )


def adjust(
    known: Mapping[str, Point],
    readings: Sequence[Reading],
    *,
    sides: Sequence[Side] = (),
    base: tuple[str, str] | None = None,
) -> Survey:
    """Return the points that fit all taped distances best, leaving out readings that are plainly wrong.

    Parameters
    ----------
    known : mapping of name to Point
        Points whose place is given [mm]. May be empty when ``base`` is given.
    readings : sequence of Reading
        Distances between named points [mm].
    sides : sequence of Side
        On which side of a line a point lies: tells the two mirror solutions apart.
    base : (str, str), optional
        For a survey alone: the first point becomes the origin, the second lies on the x axis; ``sides`` must then say
        of one point on which side of that axis it lies, for no distance tells a figure from its mirror image.

    Returns
    -------
    Survey
        Points in the order in which they are first named; the known ones with no error.

    Raises
    ------
    DrawingError
        If a point has too few readings, a reading makes no sense, or a mirror image cannot be told from the plate.

    Notes
    -----
    Slips that make no triangle are taken out first; the rest is :func:`cutplan.survey.network.adjust`, with its standard
    errors and its rule for wrong readings.
    """
    _sound(readings, known, base)
    fixed = dict(known)
    if base is not None and not fixed:
        fixed[base[0]] = Point(0.0, 0.0)
    slip = gross_slip([Side3(r.a, r.b, r.distance_mm, r.error_mm, i) for i, r in enumerate(readings)], fixed)
    try:
        return _adjusted(readings, fixed, sides, base, "" if base is None or known else base[1], slip)
    except DrawingError:
        if slip is None:
            raise
        bad = readings[slip]
        a, b = named(bad.a), named(bad.b)
        raise DrawingError(
            say(
                "the reading {a} to {b} of {taped} makes no triangle with the others",
                a=a,
                b=b,
                taped=mm(bad.distance_mm, None),
            ),
            say("{a} - {b}", a=a, b=b),
            say("tape it again"),
        ) from None


def _adjusted(
    readings: Sequence[Reading],
    fixed: Mapping[str, Point],
    sides: Sequence[Side],
    base: tuple[str, str] | None,
    axis: str,
    slip: int | None,
) -> Survey:
    """Adjust without the reading that is a slip; the point ``axis`` stays on the x axis."""
    used = [i for i in range(len(readings)) if i != slip]
    chosen = [readings[i] for i in used]
    start = starting_points(fixed, [(r.a, r.b, r.distance_mm) for r in chosen], sides, base if axis else None)
    names = list(start)
    held = [2 * k + way for k, n in enumerate(names) for way in (0, 1) if n in fixed or (n == axis and way == 1)]
    free = 2 * len(names) - len(held)
    if len(chosen) < free:
        raise DrawingError(
            say(
                "{free} coordinates are to be found, and fewer distances are given: {readings}",
                free=free,
                readings=len(chosen),
            ),
            hint=say("tape more"),
        )
    index = {n: k for k, n in enumerate(names)}
    rows = [Distance(index[r.a], index[r.b], r.distance_mm, r.error_mm) for r in chosen]
    try:
        found = adjusted(list(start.values()), rows, held=held)
    except GeometryError as fault:
        raise DrawingError(fault.message, fault.where, fault.hint) from None
    places = dict(zip(names, found.points, strict=True))
    findings = [] if slip is None else [_wrong(readings[slip], 0.0, places)]
    findings += [_wrong(chosen[k], found.normalised[k], places) for k in found.left_out]
    if found.undecided:
        findings.append(_disagree([chosen[k] for k in found.undecided], found, found.undecided))
    return _survey(found, readings, used, places, fixed, findings)


def _disagree(group: Sequence[Reading], found: Adjusted, which: Sequence[int]) -> Finding:
    """Return the finding for readings one of which is wrong, nothing telling which."""
    largest = mm(max(abs(found.residuals_mm[k]) for k in which), 2)
    return Finding(
        "readings-disagree",
        "warning",
        say("the readings disagree by up to {residuals}, no telling which is wrong", residuals=largest),
        ", ".join(f"{r.a} - {r.b}" for r in group[:6]),
        say("tape these again, and one more distance to their points"),
    )


def _wrong(bad: Reading, times: float, places: Mapping[str, Point]) -> Finding:
    """Return the finding for a reading that was left out, with what the others make of it."""
    a, b, taped = named(bad.a), named(bad.b), mm(bad.distance_mm, None)
    if times:
        message = say(
            "the reading {a} to {b} of {taped} does not fit the others ({worst} times its own error) and was left out",
            a=a,
            b=b,
            taped=taped,
            worst=number(times, digits=1),
        )
    else:
        message = say(
            "the reading {a} to {b} of {taped} makes no triangle with the others and was left out",
            a=a,
            b=b,
            taped=taped,
        )
    told = mm(places[bad.a].distance(places[bad.b]))
    fix = say("the others make it {distance}; tape it again", distance=told)
    return Finding("reading-wrong", "warning", message, say("{a} - {b}", a=a, b=b), fix)


def _sound(readings: Sequence[Reading], known: Mapping[str, Point], base: tuple[str, str] | None) -> None:
    for r in readings:
        if not (isfinite(r.distance_mm) and r.distance_mm > 0.0 and r.error_mm > 0.0):
            raise DrawingError(
                say("the distance {a} to {b} must be a number above zero", a=named(r.a), b=named(r.b)),
                say("{a} - {b}", a=named(r.a), b=named(r.b)),
            )
        if r.a == r.b:
            raise DrawingError(
                say("a distance must lead from one point to another"), say("{a} - {b}", a=named(r.a), b=named(r.b))
            )
    if len(known) < 2 and base is None:
        raise DrawingError(
            say("a survey needs two known points, or a base line"),
            hint=say("name two points as base: the first is the origin"),
        )


def _survey(
    found: Adjusted,
    readings: Sequence[Reading],
    used: Sequence[int],
    places: Mapping[str, Point],
    fixed: Mapping[str, Point],
    findings: list[Finding],
) -> Survey:
    """Return the result for all readings, used or not."""
    position = {i: k for k, i in enumerate(used)}
    checked: list[Checked] = []
    for i, r in enumerate(readings):
        k = position.get(i)
        if k is None or k in found.left_out:
            residual = r.distance_mm - places[r.a].distance(places[r.b])
            checked.append(Checked(r, residual, abs(residual) / r.error_mm, 1.0, False, True))
        else:
            row = found.residuals_mm[k], found.normalised[k], found.redundancy[k]
            checked.append(Checked(r, *row, True, found.checked(k)))
    loose = [c for c in checked if not c.checked]
    if loose:
        listed = ", ".join(f"{c.reading.a} - {c.reading.b}" for c in loose[:6])
        findings.append(
            Finding(
                "reading-unchecked",
                "warning",
                plural(
                    "{count} reading is checked by no other: {listed}",
                    "{count} readings are checked by no other: {listed}",
                    len(loose),
                    listed=named(listed),
                ),
                listed,
                say("a slip there would not show; tape one more distance to each point"),
            )
        )
    points: list[SurveyPoint] = []
    for k, (name, at) in enumerate(places.items()):
        if name in fixed:
            points.append(SurveyPoint(name, at, 0.0, 0.0))
            continue
        own = [c.residual_mm**2 for c in checked if c.used and name in (c.reading.a, c.reading.b)]
        points.append(SurveyPoint(name, at, found.error_mm(k), sqrt(sum(own) / len(own)) if own else 0.0))
    return Survey(tuple(points), tuple(checked), found.unit_error, found.spare, tuple(findings))


def surveyed_plate(survey: Survey, outline: Sequence[str], holes: Sequence[tuple[str, float]] = ()) -> Region:
    """Return the plate drawn from a survey alone: straight sides between corners, round holes at their centres.

    Parameters
    ----------
    survey : Survey
        The adjusted points.
    outline : sequence of str
        Names of the corners, once around, at least three.
    holes : sequence of (str, float)
        Name of each hole's centre and its diameter [mm].

    Returns
    -------
    Region
        Outline with holes [mm].

    Raises
    ------
    DrawingError
        If a name is unknown, or there are fewer than three corners, or a diameter is not above zero.
    """
    if len(outline) < 3 or len(set(outline)) != len(outline):
        raise DrawingError(
            say("an outline needs at least three different corners"), hint=say("name each corner once, in order")
        )
    corners = [survey.at(name) for name in outline]
    rounds = []
    for name, diameter in holes:
        if not diameter > 0.0:
            raise DrawingError(say("the hole at '{point}' needs a diameter above zero", point=named(name)), name)
        rounds.append(circle_contour(survey.at(name), 0.5 * diameter))
    return Region(polygon([(p.x, p.y) for p in corners]), tuple(rounds))
