"""A weld trial piece: what to weld and measure, and what its readings say about the shop's own shrinkage and angle."""

from __future__ import annotations

from dataclasses import dataclass, replace

from cutplan.geometry.contour import rectangle
from cutplan.pattern.job import About, Job
from cutplan.pattern.joint import Joint
from cutplan.pattern.plate import Plate
from cutplan.pattern.skin import Skin
from cutplan.pattern.wishes import Welding
from cutplan.texts import Message, inch_or_mm, listed, mm, number, say, size
from cutplan.welding.settings.machine import Settings, settings_for
from cutplan.welding.shrinkage.free_bead import FreeBead, free_bead
from cutplan.welding.stitches.joint import WeldJoint, weld_joint

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
    job = Job(About("weld coupon"), strip, replace(joint_wish, unwelded=()), Skin(skin_mm), welding=welding)
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
    strips = size(STRIP_LENGTH_MM, wide_mm, digits=None)
    return (
        say("Cut two strips {size} of {plate}, of the job's own steel; flatten them.", size=strips, plate=plate)
        if plate == skin
        else say(
            "Cut two strips {size}, one of {plate} and one of {skin}, of the job's own steel; flatten them.",
            size=strips,
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
            current=number(settings.arc.current_A.mid, "A", 0),
            voltage=number(settings.arc.voltage_V.mid, "V", 1),
            speed=number(settings.arc.speed_mm_per_s.mid * 6.0, "cm/min", 0),
        ),
        say("Let it cool to room temperature in still air, unclamped."),
        say(
            "Measure the same three distances again, and the same three stand-offs: their change is the rise, positive "
            "towards the torch."
        ),
    )
