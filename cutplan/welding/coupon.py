"""A weld trial piece: what to weld and measure, and what its readings say about the shop's own shrinkage and angle."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import sqrt

from cutplan.errors import JobError
from cutplan.findings import Finding
from cutplan.geometry.contour import rectangle
from cutplan.pattern.job import Job
from cutplan.pattern.joint import Joint
from cutplan.pattern.plate import Plate
from cutplan.pattern.shop import WeldMeasured
from cutplan.pattern.skin import Skin
from cutplan.pattern.wishes import Welding
from cutplan.texts import Message, inch_or_mm, listed, mm, name, number, say, size
from cutplan.welding.settings.machine import Settings, settings_for
from cutplan.welding.shrinkage.free_bead import FreeBead, free_bead
from cutplan.welding.stitches.joint import WeldJoint, weld_joint
from cutplan.welding.words import shown

#: Strip length along the weld, and from the weld to the far edge [mm] (our own: wide enough to have cold metal, narrow
#: enough to stay free).
STRIP_LENGTH_MM, ARM_MM = 160.0, 65.0
#: Scribed lines run this far from each edge of the joint [mm], on the cold side of the heated band.
LINE_FROM_EDGE_MM = 40.0
#: Stations along the weld where readings are taken, as shares of its length; ends are left out [1].
STATIONS = (0.25, 0.5, 0.75)
#: Reading error of a caliper between scribed lines, and of a feeler under a straight edge [mm] (common practice).
LINE_READING_MM, RISE_READING_MM = 0.05, 0.05
#: What carries over badly from a free strip to a held insert: relative, for shrinkage and angle [1] (our judgement).
TRANSFER_SHRINK, TRANSFER_ANGLE = 0.20, 0.35


@dataclass(frozen=True, slots=True)
class WeldCoupon:
    """A trial piece.

    Parameters
    ----------
    joint : WeldJoint
        The job's joint, straight.
    settings : Settings
        The settings to weld it with.
    strip_mm : (float, float)
        Size of each of the two strips: along the weld, across it [mm].
    thicknesses_mm : (float, float)
        Plate and skin [mm].
    overlap_mm : float
        Overlap of a lap, zero for a butt [mm].
    lines_apart_mm : float
        Distance of the two scribed lines before welding [mm].
    stations_mm : tuple of float
        Where to measure along the weld [mm].
    expected : FreeBead
        What the formulas predict.
    steps : tuple of Message
        What to do, one sentence each.
    """

    joint: WeldJoint
    settings: Settings
    strip_mm: tuple[float, float]
    thicknesses_mm: tuple[float, float]
    overlap_mm: float
    lines_apart_mm: float
    stations_mm: tuple[float, ...]
    expected: FreeBead
    steps: tuple[Message, ...]


def weld_coupon(job: Job) -> WeldCoupon:
    """Return the trial piece for a job: two strips of its own thicknesses, joint and settings.

    Parameters
    ----------
    job : Job
        The job

    Returns
    -------
    WeldCoupon
        Strips, scribed lines, stations, prediction and steps.
    """
    return coupon_for(job.joint, job.plate.thickness_mm, job.skin.thickness_mm, job.welding)


def coupon_for(joint_wish: Joint, plate_mm: float, skin_mm: float, welding: Welding) -> WeldCoupon:
    """Return the trial piece for a joint without a job.

    Parameters
    ----------
    joint_wish : Joint
        Butt with gap or lap with overlap; unwelded stretches do not count
    plate_mm, skin_mm : float
        Thicknesses [mm]
    welding : Welding
        Process and settings

    Returns
    -------
    WeldCoupon
        Strips, scribed lines, stations, prediction and steps.
    """
    lap = joint_wish.overlap_mm if joint_wish.kind == "lap" else 0.0
    wide = ARM_MM + lap
    strip = Plate(rectangle(0.0, 0.0, STRIP_LENGTH_MM, wide), (), plate_mm)
    job = Job("weld coupon", strip, replace(joint_wish, unwelded=()), Skin(skin_mm), welding=welding)
    plate, skin = plate_mm, skin_mm
    settings = settings_for(job.joint.kind, min(plate, skin), welding)
    joint = weld_joint(job, settings)
    beside = wide * (plate + skin)
    expected = free_bead(joint, settings, beside, 235.0)
    apart = 2.0 * LINE_FROM_EDGE_MM + joint.gap_mm + lap
    stations = tuple(STRIP_LENGTH_MM * s for s in STATIONS)
    steps = _steps(joint, settings, (plate, skin), lap, wide, apart, stations)
    return WeldCoupon(joint, settings, (STRIP_LENGTH_MM, wide), (plate, skin), lap, apart, stations, expected, steps)


def _steps(
    joint: WeldJoint,
    settings: Settings,
    thick_mm: tuple[float, float],
    lap_mm: float,
    wide_mm: float,
    apart_mm: float,
    stations_mm: tuple[float, ...],
) -> tuple[Message, ...]:
    """What to do, one message each."""
    plate, skin = (inch_or_mm(t, None) for t in thick_mm)
    lay = (
        say(
            "Lay the {plate} strip {lap} over the {skin} strip, on two narrow bars, free to move, and tack both ends.",
            plate=plate,
            lap=mm(lap_mm, None),
            skin=skin,
        )
        if lap_mm
        else say(
            "Set the strips edge to edge with a gap of {gap}, on two narrow bars, free to move, and tack both ends.",
            gap=mm(joint.gap_mm, None),
        )
    )
    return (
        say(
            "Cut two strips {size}, one of {plate} and one of {skin}, of the job's own steel; flatten them.",
            size=size(STRIP_LENGTH_MM, wide_mm, digits=None),
            plate=plate,
            skin=skin,
        ),
        lay,
        say(
            "Scribe a line on each strip, {line} from the joint: {apart} apart. Let it cool to room temperature and "
            "measure across at {stations} along the weld, with a caliper in the scribed lines.",
            line=mm(LINE_FROM_EDGE_MM, None),
            apart=mm(apart_mm, None),
            stations=listed([mm(s, None) for s in stations_mm]),
        ),
        say(
            "Lay a straight edge on one strip, across the joint, and note how far the other strip's far edge, {arm} from "
            "the weld, stands off it at the same three places.",
            arm=mm(ARM_MM, None),
        ),
        say(
            "Weld it in one go as the plan says ({current}, {voltage}, {speed}), on the side that the job is welded from. "
            "Note the time it took.",
            current=number(settings.current_A.mid, "A", 0),
            voltage=number(settings.voltage_V.mid, "V", 1),
            speed=number(settings.speed_mm_per_s.mid * 6.0, "cm/min", 0),
        ),
        say("Let it cool to room temperature in still air, unclamped."),
        say(
            "Measure the same three distances again, and the same three stand-offs: their change is the rise, positive "
            "towards the torch."
        ),
    )


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

    .. math:: f = \frac{\bar S}{S_{mid}}, \qquad
              u = 2 \sqrt{\frac{u_r^2 + s^2}{n}} \Big/ \bar S \;\oplus\; u_t

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
    The spread holds reading error and scatter (doubled, about 95 %), and what carries over badly from a free strip to a
    held insert (our judgement, 20 % of the shrinkage and 35 % of the angle). It is never narrower than that carry-over,
    and never wider than the unmeasured band.

    References
    ----------
    .. [1] Our own; standard error of a mean.
    """
    n = len(before_mm)
    if n < 2 or len(after_mm) != n or len(rise_mm) < 2:
        raise JobError(
            say("a weld coupon needs at least two distances before, as many after, and two rises"),
            where="--measured",
            hint=say(
                "measure at {stations} along the weld", stations=listed([mm(s, None) for s in coupon.stations_mm])
            ),
        )
    shrinks = [b - a for b, a in zip(before_mm, after_mm, strict=True)]
    angles = [r / ARM_MM for r in rise_mm]
    shrink, shrink_error = _mean(shrinks, LINE_READING_MM * sqrt(2.0))
    angle, angle_error = _mean(angles, RISE_READING_MM / ARM_MM)
    if not 0.0 < shrink < 5.0:
        raise JobError(
            say("a shrinkage of {shrink} is impossible for one bead", shrink=mm(shrink, 2)),
            where="--measured",
            hint=say("give the distances in the order before, after; a weld draws the lines together"),
        )
    findings: list[Finding] = []
    band = coupon.expected.shrink_mm
    if not band.low <= shrink <= band.high:
        findings.append(
            Finding(
                "coupon-off-band",
                "warning",
                say("measured {shrink}, the formulas give {band}", shrink=mm(shrink, 2), band=shown(band)),
                "--measured",
                say(
                    "measure again; if it stays, the machine does not do what its panel says, "
                    "or the strips were clamped"
                ),
            )
        )
    if arc_time_s is not None:
        speed = coupon.strip_mm[0] / arc_time_s
        table = coupon.settings.speed_mm_per_s
        if not 0.75 * table.low <= speed <= 1.25 * table.high:
            findings.append(
                Finding(
                    "coupon-off-speed",
                    "warning",
                    say(
                        "the coupon was welded at {speed}, the plan says {planned}",
                        speed=number(speed * 6.0, "cm/min", 0),
                        planned=number(table.mid * 6.0, "cm/min", 0),
                    ),
                    "--measured",
                    say("put the true speed into the job file (welding.speed) so that the heat input fits"),
                )
            )
    wide_shrink = (band.high - band.low) / (2.0 * band.mid)
    spread_shrink = min(sqrt((2.0 * shrink_error / shrink) ** 2 + TRANSFER_SHRINK**2), wide_shrink)
    middle = coupon.expected.angle_rad.mid
    factor_angle = max(angle, 0.0) / middle
    if angle > 0.0:
        spread_angle = min(sqrt((2.0 * angle_error / angle) ** 2 + TRANSFER_ANGLE**2), 1.0)
    else:
        factor_angle, spread_angle = max(2.0 * angle_error, 1e-6) / middle, 1.0
        findings.append(
            Finding(
                "coupon-no-angle",
                "note",
                say("no angle towards the torch was measured: the reading error stands in for it"),
                "--measured",
            )
        )
    measured = WeldMeasured(
        coupon.settings.process,
        min(coupon.thicknesses_mm),
        shrink / band.mid,
        spread_shrink,
        factor_angle,
        spread_angle,
    )
    return CouponResult(measured, shrink, shrink_error, angle, angle_error, tuple(findings))


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
