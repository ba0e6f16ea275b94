"""A tape survey adjusted: points from distances by least squares, their errors, and a wrong reading found."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from cutplan.errors import DrawingError
from cutplan.files.survey_start import Side, starting_points
from cutplan.files.survey_triangles import Side3, gross_slip
from cutplan.files.traces import Floats
from cutplan.findings import Finding
from cutplan.geometry.contour import circle_contour, polygon
from cutplan.geometry.region import Region
from cutplan.geometry.vector import Point
from cutplan.texts import mm, number, say
from cutplan.texts import name as named

__all__ = ["Reading", "Side", "Survey", "SurveyPoint", "adjust", "surveyed_plate"]

#: Standard error of one careful tape reading between marks [mm]. From memory: steel tape, half a millimetre.
TAPE_MM = 0.5
#: Normalised residual above which a reading counts as wrong [-]: one right reading in a thousand is above it.
#: From memory: data snooping after Baarda (1968), significance 0.001.
CRITICAL = 3.29
#: Share of a reading's error that must show in its residual for the reading to count as checked [-].
CHECKED = 0.05
_STEPS = 50


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

    ``redundancy`` is the share of the reading's error that the others reveal: 0 for a reading that nothing checks.
    """

    reading: Reading
    residual_mm: float
    normalised: float
    redundancy: float
    used: bool


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
    Gauss-Newton on the distances with weights 1 / s^2; covariance s0^2 N^-1 with s0 from the residuals when readings
    are spare, else 1 [1]_. A reading is wrong when its residual is more than 3.29 times its own standard error
    s sqrt(r), r the redundancy number; the worst one is left out and the rest adjusted again [2]_.

    References
    ----------
    .. [1] Ghilani, Adjustment Computations, chapters on trilateration and on error propagation (formulas from memory).
    .. [2] Baarda, A testing procedure for use in geodetic networks, 1968 (from memory).
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
    """Adjust without the reading that is a slip, then leave out the worst again and again while it is plainly wrong."""
    used = list(range(len(readings)))
    left_out: list[tuple[int, float]] = []
    if slip is not None:
        left_out.append((slip, 0.0))
        used.remove(slip)
    chosen = [readings[i] for i in used]
    start = starting_points(fixed, [(r.a, r.b, r.distance_mm) for r in chosen], sides, base if axis else None)
    while True:
        chosen = [readings[i] for i in used]
        fit = _fit(fixed, chosen, start, axis)
        start = fit.places
        worst = int(np.argmax(fit.normalised)) if len(used) else -1
        if worst < 0 or fit.normalised[worst] <= CRITICAL or fit.spare < 2:
            break
        left_out.append((used[worst], float(fit.normalised[worst])))
        del used[worst]
    findings = [_wrong(readings[i], times, fit) for i, times in left_out]
    if len(used) and fit.normalised[worst] > CRITICAL:
        findings.append(
            Finding(
                "readings-disagree",
                "warning",
                say(
                    "the readings disagree by up to {residuals}, no telling which is wrong",
                    residuals=mm(np.abs(fit.residuals).max(), 2),
                ),
                "",
                say("tape one more distance and all diagonals"),
            )
        )
    return _survey(fit, readings, used, fixed, findings)


def _wrong(bad: Reading, times: float, fit: _Fit) -> Finding:
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
    told = mm(fit.places[bad.a].distance(fit.places[bad.b]))
    fix = say("the others make it {distance}; tape it again", distance=told)
    return Finding("reading-wrong", "warning", message, say("{a} - {b}", a=a, b=b), fix)


@dataclass(slots=True)
class _Fit:
    """One adjustment of the readings in use."""

    names: list[str]
    places: dict[str, Point]
    covariance: dict[str, Floats]
    residuals: Floats
    redundancy: Floats
    normalised: Floats
    unit_error: float
    spare: int


def _sound(readings: Sequence[Reading], known: Mapping[str, Point], base: tuple[str, str] | None) -> None:
    for r in readings:
        if not (np.isfinite(r.distance_mm) and r.distance_mm > 0.0 and r.error_mm > 0.0):
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


def _fit(fixed: Mapping[str, Point], readings: Sequence[Reading], start: Mapping[str, Point], axis: str) -> _Fit:
    """Adjust readings by Gauss-Newton from starting points; the point ``axis`` stays on the x axis."""
    names = [n for n in start if n not in fixed]
    column: dict[str, tuple[int, int]] = {}
    free = 0
    for name in names:
        on_axis = name == axis
        column[name] = (free, -1 if on_axis else free + 1)
        free += 1 if on_axis else 2
    if len(readings) < free:
        raise DrawingError(
            say("{free} coordinates are to be found from {readings} distances", free=free, readings=len(readings)),
            hint=say("tape more"),
        )
    place = {n: np.array(start[n]) for n in start}
    weight = np.array([1.0 / r.error_mm for r in readings])
    for _ in range(_STEPS):
        design, misfit = _equations(readings, place, column, free)
        step, *_ = np.linalg.lstsq(design * weight[:, None], misfit * weight, rcond=None)
        for name in names:
            ix, iy = column[name]
            place[name] = place[name] + np.array([step[ix], step[iy] if iy >= 0 else 0.0])
        if free == 0 or float(np.abs(step).max()) < 1e-10 * max(1.0, max(r.distance_mm for r in readings)):
            break
    design, misfit = _equations(readings, place, column, free)
    scaled = design * weight[:, None]
    _, sizes, _ = np.linalg.svd(scaled, full_matrices=False) if free else (0, np.ones(1), 0)
    if free and sizes[-1] < 1e-6 * sizes[0]:
        raise DrawingError(
            say("the distances do not fix every point: some can move without changing any of them"),
            hint=say("tape another distance to the point on a line with its two known ones"),
        )
    inverse = np.linalg.inv(scaled.T @ scaled) if free else np.zeros((0, 0))
    redundancy = np.clip(1.0 - np.einsum("ij,jk,ik->i", scaled, inverse, scaled), 0.0, 1.0)
    spare = len(readings) - free
    own = np.sqrt(np.maximum(redundancy, 1e-12)) / weight
    normalised = np.where(redundancy > CHECKED, np.abs(misfit) / own, 0.0)
    unit = float(np.sqrt(((misfit * weight) ** 2).sum() / spare)) if spare > 0 else 1.0
    covariance: dict[str, Floats] = {}
    for name in names:
        ix, iy = column[name]
        c = np.zeros((2, 2))
        c[0, 0] = inverse[ix, ix]
        if iy >= 0:
            c[1, 1], c[0, 1], c[1, 0] = inverse[iy, iy], inverse[ix, iy], inverse[ix, iy]
        covariance[name] = c
    places = {n: Point(float(place[n][0]), float(place[n][1])) for n in start}
    return _Fit(names, places, covariance, misfit, redundancy, normalised, unit, spare)


def _equations(
    readings: Sequence[Reading], place: dict[str, Floats], column: dict[str, tuple[int, int]], free: int
) -> tuple[Floats, Floats]:
    """Return the derivatives of the distances by the free coordinates [-] and taped less computed [mm]."""
    design = np.zeros((len(readings), free))
    misfit = np.zeros(len(readings))
    for row, r in enumerate(readings):
        v = place[r.b] - place[r.a]
        size = float(np.hypot(*v))
        misfit[row] = r.distance_mm - size
        if size == 0.0:
            continue
        for name, sign in ((r.a, -1.0), (r.b, 1.0)):
            if name in column:
                ix, iy = column[name]
                design[row, ix] = sign * v[0] / size
                if iy >= 0:
                    design[row, iy] = sign * v[1] / size
    return design, misfit


def _survey(
    fit: _Fit, readings: Sequence[Reading], used: list[int], fixed: Mapping[str, Point], findings: list[Finding]
) -> Survey:
    """Return the result for all readings, used or not."""
    position = {i: k for k, i in enumerate(used)}
    checked: list[Checked] = []
    for i, r in enumerate(readings):
        if i in position:
            k = position[i]
            checked.append(
                Checked(r, float(fit.residuals[k]), float(fit.normalised[k]), float(fit.redundancy[k]), True)
            )
        else:
            residual = r.distance_mm - fit.places[r.a].distance(fit.places[r.b])
            checked.append(Checked(r, residual, abs(residual) / r.error_mm, 1.0, False))
    loose = [c for c in checked if c.used and c.redundancy <= CHECKED]
    if loose:
        listed = ", ".join(f"{c.reading.a} - {c.reading.b}" for c in loose[:6])
        findings.append(
            Finding(
                "reading-unchecked",
                "warning",
                say("{loose} readings are checked by no other: {listed}", loose=len(loose), listed=named(listed)),
                listed,
                say("a slip there would not show; tape one more distance to each point"),
            )
        )
    # spare readings that agree by luck must not make the tape better than it is
    unit = max(1.0, fit.unit_error) if fit.spare else 1.0
    points: list[SurveyPoint] = []
    for name, at in fit.places.items():
        if name in fixed:
            points.append(SurveyPoint(name, at, 0.0, 0.0))
            continue
        largest = float(np.sqrt(np.linalg.eigvalsh(fit.covariance[name])[-1])) * unit
        own = [c.residual_mm for c in checked if c.used and name in (c.reading.a, c.reading.b)]
        points.append(SurveyPoint(name, at, largest, float(np.sqrt(np.mean(np.square(own)))) if own else 0.0))
    return Survey(tuple(points), tuple(checked), fit.unit_error, fit.spare, tuple(findings))


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
