"""What the readings of a weld trial piece say: the same update as at the bench, of the shrinkage and angle of the day."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt

import numpy as np

from cutplan.errors import JobError
from cutplan.findings import Finding
from cutplan.pattern.shop import WeldMeasured
from cutplan.tables.band import Band
from cutplan.texts import listed, mm, name, number, say
from cutplan.welding.coupon import (
    ARM_MM,
    LINE_READING_MM,
    RISE_READING_MM,
    TRANSFER_ANGLE,
    TRANSFER_SHRINK,
    WeldCoupon,
)
from cutplan.welding.distortion.draws import HALF_BAND, day_of, placed
from cutplan.welding.readings.agree import agreement
from cutplan.welding.readings.cloud import Cloud, Floats, Read
from cutplan.welding.readings.update import updated
from cutplan.welding.words import shown

#: Draws of the day that the readings condition, and their seed.
DRAWS, SEED = 4000, 3
#: Distances of the same two scribed lines farther apart than this are a slip [mm] (our own: a weld draws them by less than 5).
ALIKE_MM = 10.0


@dataclass(frozen=True, slots=True)
class CouponResult:
    """What a welded trial piece says.

    Parameters
    ----------
    measured : WeldMeasured
        Factors and spreads for the shop file.
    shrink_mm, shrink_error_mm : float
        Mean shrinkage across and its standard error [mm].
    angle_rad, angle_error_rad : float
        Mean angle and its standard error [rad].
    findings : tuple of Finding
        Readings that do not fit.
    """

    measured: WeldMeasured
    shrink_mm: float
    shrink_error_mm: float
    angle_rad: float
    angle_error_rad: float
    findings: tuple[Finding, ...]


def evaluate_coupon(
    coupon: WeldCoupon,
    before_mm: Sequence[float],
    after_mm: Sequence[float],
    rise_mm: Sequence[float],
    arc_time_s: float | None = None,
) -> CouponResult:
    r"""Return the factors that a trial piece gives on the formulas, with their own uncertainty [1]_.

    .. math:: f = \frac{E[S \mid \bar S]}{S_{mid}}, \qquad
              u = 1.645 \frac{\sigma[S \mid \bar S]}{E[S \mid \bar S]} \;\oplus\; u_t

    Parameters
    ----------
    coupon : WeldCoupon
        The trial piece
    before_mm, after_mm : sequence of float
        Distances of the scribed lines before and after, at the same places [mm]
    rise_mm : sequence of float
        How far the far edge stands off the straight edge, positive towards the torch [mm]
    arc_time_s : float or None
        Time that the weld took [s]; None when not noted

    Returns
    -------
    CouponResult
        Factors, spreads, means and doubts.

    Raises
    ------
    JobError
        When readings are missing, unequal in number or impossible.

    Notes
    -----
    Draws of the day's shrinkage and angle, within the bands of the formulas, are conditioned on the means of the readings
    with their standard errors: a blunt reading moves them little, a sharp one all the way. Where the readings lie outside
    what the draws can do they stand alone, and a finding says so. What carries over badly from a free strip to a held
    insert is added as squares (our judgement, 20 % of the shrinkage and 35 % of the angle). The spread is never narrower
    than that carry-over, and never wider than the unmeasured band.

    References
    ----------
    .. [1] Our own, by :func:`cutplan.welding.readings.update.updated`; standard error of a mean.
    """
    _refuse(coupon, before_mm, after_mm, rise_mm)
    shrink, shrink_error = _mean([b - a for b, a in zip(before_mm, after_mm, strict=True)], LINE_READING_MM * sqrt(2.0))
    angle, angle_error = _mean([r / ARM_MM for r in rise_mm], RISE_READING_MM / ARM_MM)
    if not 0.0 < shrink < 5.0:
        raise JobError(
            say("a shrinkage of {shrink} is impossible for one bead", shrink=mm(shrink, 2)),
            where="--measured",
            hint=say("give the distances in the order before, after; a weld draws the lines together"),
        )
    findings = [*_off_band(coupon, (shrink, shrink_error), (angle, angle_error)), *_off_speed(coupon, arc_time_s)]
    drawn = _conditioned(coupon, (shrink, angle), (shrink_error, angle_error))
    if angle <= 0.0:
        text = say("no angle towards the torch was measured: the reading error stands in for it")
        findings.append(Finding("coupon-no-angle", "note", text, "--measured"))
    band, middle = coupon.expected.shrink_mm, coupon.expected.angle_rad.mid
    wide = (band.high - band.low) / (2.0 * band.mid)
    (mean, spread), (turned, turned_spread) = drawn
    measured = WeldMeasured(
        coupon.settings.process,
        min(coupon.thicknesses_mm),
        mean / band.mid,
        min(sqrt((HALF_BAND * spread / mean) ** 2 + TRANSFER_SHRINK**2), wide),
        turned / middle,
        min(sqrt((HALF_BAND * turned_spread / turned) ** 2 + TRANSFER_ANGLE**2), 1.0) if angle > 0.0 else 1.0,
    )
    return CouponResult(measured, shrink, shrink_error, angle, angle_error, tuple(findings))


def _conditioned(
    coupon: WeldCoupon, means: tuple[float, float], errors: tuple[float, float]
) -> tuple[tuple[float, float], tuple[float, float]]:
    """Mean and spread of shrinkage [mm] and of angle [rad], given the means of the readings and their errors."""
    rows = np.random.default_rng(SEED).standard_normal((DRAWS, 4))
    cloud = Cloud(rows, np.zeros(DRAWS, dtype=np.int64), 1, 4)
    shrink, angle = coupon.expected.shrink_mm, coupon.expected.angle_rad

    def predict(some: Cloud) -> Floats:
        day = day_of(some.latent) / HALF_BAND
        return np.column_stack([placed(shrink, day[:, 0]), placed(angle, day[:, 2])])

    # readings of very different size: each in its own error
    scale = np.array(errors)
    read = Read(np.array(means) / scale, np.eye(2))
    predicted = predict(cloud) / scale
    found = []
    fits = [agreement(predicted[:, [i]], Read(read.values[[i]], np.eye(1))).agrees for i in (0, 1)]
    now = updated(cloud, lambda some: predict(some) / scale, read, SEED, predicted).after * scale if all(fits) else None
    for i in (0, 1):
        if now is None or not fits[i]:
            # outside all draws the reading stands alone; a flat strip still has its reading error
            found.append((means[i] if means[i] > 0.0 else max(2.0 * errors[i], 1e-6), errors[i]))
        else:
            found.append((max(float(now[:, i].mean()), 1e-6), float(now[:, i].std())))
    return found[0], found[1]


def _refuse(
    coupon: WeldCoupon, before_mm: Sequence[float], after_mm: Sequence[float], rise_mm: Sequence[float]
) -> None:
    """Raise where readings are missing or unequal in number."""
    if len(before_mm) < 2 or len(after_mm) != len(before_mm) or len(rise_mm) < 2:
        stations = listed([mm(s, None) for s in coupon.stations_mm])
        raise JobError(
            say("a weld coupon needs at least two distances before, as many after, and two rises"),
            where="--measured",
            hint=say("measure at {stations} along the weld", stations=stations),
        )
    usual = sorted((*before_mm, *after_mm))[len(before_mm)]
    for value in (*before_mm, *after_mm):
        if abs(value - usual) > ALIKE_MM:
            raise JobError(
                say(
                    "a distance of {value} cannot stand beside {usual} of the same two lines",
                    value=mm(value),
                    usual=mm(usual),
                ),
                where="--measured",
                hint=say("look for a decimal point or a unit in the wrong place, or measure it again"),
            )


def _off_band(coupon: WeldCoupon, shrink: tuple[float, float], angle: tuple[float, float]) -> list[Finding]:
    """A shrinkage or an angle, each with its standard error, that lies further outside the formulas' band than it may err.

    The angle is told as the rise that was read. One away from the torch has a finding of its own.
    """
    expected, rise = coupon.expected.shrink_mm, coupon.expected.angle_rad.times(ARM_MM, "mm")
    found = []
    if _outside(expected, *shrink):
        text = say("measured {shrink}, the formulas give {band}", shrink=mm(shrink[0], 2), band=shown(expected))
        found.append(text)
    if angle[0] > 0.0 and _outside(rise, ARM_MM * angle[0], ARM_MM * angle[1]):
        found.append(say("rise {rise}, the formulas give {band}", rise=mm(ARM_MM * angle[0], 2), band=shown(rise)))
    fix = say("measure again; if it stays, the machine does not do what its panel says, or the strips were clamped")
    return [Finding("coupon-off-band", "warning", text, "--measured", fix) for text in found]


def _outside(band: Band, value: float, error: float) -> bool:
    return not band.low - 2.0 * error <= value <= band.high + 2.0 * error


def _off_speed(coupon: WeldCoupon, arc_time_s: float | None) -> list[Finding]:
    """A weld that was not travelled at the speed of the plan."""
    if arc_time_s is None:
        return []
    speed, table = coupon.strip_mm[0] / arc_time_s, coupon.settings.arc.speed_mm_per_s
    if 0.75 * table.low <= speed <= 1.25 * table.high:
        return []
    text = say(
        "the coupon was welded at {speed}, the plan says {planned}",
        speed=number(speed * 6.0, "cm/min", 0),
        planned=number(table.mid * 6.0, "cm/min", 0),
    )
    fix = say("put the true speed into the job file (welding.speed) so that the heat input fits")
    return [Finding("coupon-off-speed", "warning", text, "--measured", fix)]


def evaluate_readings(coupon: WeldCoupon, readings: dict[str, float]) -> CouponResult:
    """Return what named readings of a trial piece say.

    Parameters
    ----------
    coupon : WeldCoupon
        The trial piece
    readings : dict of str to float
        ``before1``, ``after1``, ``rise1`` and so on [mm]

    Returns
    -------
    CouponResult
        As :func:`evaluate_coupon`.

    Raises
    ------
    JobError
        For unknown names, and as :func:`evaluate_coupon`.
    """
    sorted_names = sorted(readings, key=lambda key: (len(key), key))
    kinds: dict[str, list[float]] = {"before": [], "after": [], "rise": []}
    for key in sorted_names:
        kind = key.rstrip("0123456789")
        if kind not in kinds:
            raise JobError(
                say("unknown reading {reading}", reading=name(key)),
                where="--measured",
                hint=say("use before1, after1, rise1, before2, after2, rise2"),
            )
        kinds[kind].append(readings[key])
    return evaluate_coupon(coupon, kinds["before"], kinds["after"], kinds["rise"])


def _mean(values: Sequence[float], reading: float) -> tuple[float, float]:
    """Mean and its standard error, scatter and reading error together."""
    n = len(values)
    mean = sum(values) / n
    scatter = sum((v - mean) ** 2 for v in values) / (n - 1)
    return mean, sqrt((scatter + reading**2) / n)
