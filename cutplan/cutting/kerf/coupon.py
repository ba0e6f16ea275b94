"""The kerf trial piece: a square with two slots, cut on its own lines; its measured sizes give the kerf per axis.

The torch runs on the net line itself. Then the outside comes out one kerf too small and each slot one kerf too wide, on
each axis of the table. Since a table may also run a little long or short, both are wanted: outside and slot together
tell the kerf apart from the table's scale.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import ceil, sqrt

from cutplan.cutting.plan import plan_cut
from cutplan.cutting.result import CutPlan
from cutplan.errors import JobError
from cutplan.findings import Finding
from cutplan.geometry.contour import rectangle
from cutplan.pattern.job import About, Job
from cutplan.pattern.plate import Hole, Plate
from cutplan.pattern.shop import KerfMeasured, Shop
from cutplan.pattern.wishes import CutProcess, Cutting
from cutplan.tables.cutting.cut_process import process_word
from cutplan.tables.cutting.holes import TABLE_PROCESSES, lead_rule
from cutplan.tables.cutting.kerf import kerf_band
from cutplan.texts import Message, code, every, inch_or_mm, mm, say

#: Least outside of the trial piece [mm], least length of a slot [mm] and least metal beside it [mm].
OUTSIDE_MM, SLOT_LENGTH_MM, MARGIN_MM = 100.0, 40.0, 10.0
#: Scale error that a table is thought to have [1]: 0.05 mm on 100 mm (our own choice).
TABLE_SCALE = 0.0005
#: Names of the readings: outside and slot width along each axis.
READINGS = ("outside_x", "outside_y", "slot_x", "slot_y")


@dataclass(frozen=True, slots=True)
class KerfCoupon:
    """The trial piece: its job, the uncompensated path, and what to measure.

    ``nominal_mm`` holds the drawn size of each reading [mm], ``measure`` one sentence each.
    """

    job: Job
    plan: CutPlan
    nominal_mm: dict[str, float]
    measure: tuple[Message, ...]


@dataclass(frozen=True, slots=True)
class KerfLearnt:
    """The kerf for the shop file, the scale of the table per axis [1], and findings."""

    measured: KerfMeasured
    scale_x: float
    scale_y: float
    findings: tuple[Finding, ...]


def slot_width_mm(process: str, thickness_mm: float) -> float:
    """Return the drawn slot width [mm]: wide enough that a pierce in its middle keeps its distance."""
    kerf = kerf_band(process, thickness_mm).high
    rule = lead_rule(process)
    return float(max(10.0, round(2.0 * rule.clear_mm(thickness_mm, kerf) + 2.0 * kerf + 1.0)))


def outside_mm(process: str, thickness_mm: float) -> float:
    """Return the drawn outside of the square [mm]: 100, or as many tens more as two slots with their webs need."""
    return max(OUTSIDE_MM, 10.0 * ceil(_layout(process, thickness_mm)[2] / 10.0))


def _layout(process: str, thickness_mm: float) -> tuple[float, float, float]:
    """Slot length, metal beside the slots and least outside [mm]."""
    width = slot_width_mm(process, thickness_mm)
    length, margin = max(SLOT_LENGTH_MM, 2.0 * width), max(MARGIN_MM, 2.0 * thickness_mm)
    return length, margin, max(width + length + 3.0 * margin, length + 2.0 * margin)


def kerf_coupon(process: CutProcess, thickness_mm: float, shop: Shop | None = None) -> KerfCoupon:
    """Return the trial piece for a process and thickness.

    Parameters
    ----------
    process : str
        ``air plasma``, ``laser``, ``waterjet`` or ``oxyfuel``.
    thickness_mm : float
        Thickness of the plate it is cut from [mm]
    shop : Shop or None
        What is known so far; only the leads depend on it.

    Raises
    ------
    JobError
        For a process led by hand, whose kerf no square can tell.
    """
    if process not in TABLE_PROCESSES:
        raise JobError(
            say("a {process} is led by hand: no trial piece tells its kerf", process=process_word(process)),
            "--process",
            say("measure the width of a cut with a feeler gauge and write it into the job file"),
        )
    width, outside = slot_width_mm(process, thickness_mm), outside_mm(process, thickness_mm)
    length, _, _ = _layout(process, thickness_mm)
    margin = (outside - width - length) / 3.0
    # a slot along y is measured along x, and the other way round
    slot_x = rectangle(margin, 0.5 * (outside - length), width, length)
    slot_y = rectangle(2.0 * margin + width, 0.5 * (outside - width), length, width)
    plate = Plate(
        rectangle(0.0, 0.0, outside, outside),
        (Hole("X", slot_x.reversed(), cut=True), Hole("Y", slot_y.reversed(), cut=True)),
        thickness_mm,
    )
    job = Job(
        About(
            str(
                say(
                    "kerf trial piece, {process}, {thickness}",
                    process=process_word(process),
                    thickness=inch_or_mm(thickness_mm, None),
                )
            )
        ),
        plate,
        cutting=Cutting(process=process, reference_square=False),
    )
    nominal = {"outside_x": outside, "outside_y": outside, "slot_x": width, "slot_y": width}
    measure = (
        say(
            "{reading}: width of the square, left to right (drawn {size}), at mid thickness",
            reading=code("outside_x"),
            size=mm(outside, None),
        ),
        say(
            "{reading}: height of the square, bottom to top (drawn {size})",
            reading=code("outside_y"),
            size=mm(outside, None),
        ),
        say(
            "{reading}: width of the upright slot, left to right (drawn {size}), away from its start",
            reading=code("slot_x"),
            size=mm(width, None),
        ),
        say(
            "{reading}: width of the lying slot, bottom to top (drawn {size})",
            reading=code("slot_y"),
            size=mm(width, None),
        ),
        say("break off the slag before measuring"),
    )
    plan = plan_cut(job, shop or Shop(), compensate=False)
    return KerfCoupon(job, plan, nominal, measure)


def learn_kerf(
    process: str, thickness_mm: float, readings_mm: Mapping[str, float], reading_mm: float = 0.05
) -> KerfLearnt:
    """Return the kerf per axis from the measured sizes of the trial piece.

    Parameters
    ----------
    process : str
        Process that cut it.
    thickness_mm : float
        Thickness of the piece [mm]
    readings_mm : mapping
        ``outside_x``, ``outside_y``, ``slot_x``, ``slot_y`` [mm]; for each axis at least one of the two.
    reading_mm : float
        Standard reading error of the caliper [mm]

    Returns
    -------
    KerfLearnt
        Least squares over kerf k and table scale s with outside = S (1 + s) - k and slot = w (1 + s) + k, the scale
        held near zero by its own likely size; ``reading_mm`` of the result is the standard error of the kerf.

    Raises
    ------
    JobError
        When a name is unknown, an axis has no reading, or the answer is no kerf.
    """
    unknown = [n for n in readings_mm if n not in READINGS]
    if unknown:
        raise JobError(
            say("there is no reading {reading}", reading=code(repr(unknown[0]))),
            "--measured",
            say("use {known}", known=every(READINGS)),
        )
    if not reading_mm > 0.0:
        raise JobError(
            say("the reading error must be above zero"),
            "--reading",
            say("a caliper reads to about {error}", error=mm(0.05, 2)),
        )
    width, outside = slot_width_mm(process, thickness_mm), outside_mm(process, thickness_mm)
    results = {axis: _axis(axis, readings_mm, outside, width, reading_mm) for axis in ("x", "y")}
    findings: list[Finding] = []
    for axis, (k, s, error) in results.items():
        if not 0.0 < k < 0.5 * width:
            raise JobError(
                say("the readings along {axis} give a kerf of {kerf}, which cannot be", axis=code(axis), kerf=mm(k, 2)),
                "--measured",
                say("check that the piece was cut with the table's compensation off, and the readings' units"),
            )
        if abs(s) > 3.0 * max(TABLE_SCALE, error / outside):
            findings.append(
                Finding(
                    "table-scale",
                    "warning",
                    say(
                        "along {axis} the table seems to run {off:+.2f} % off its scale", axis=code(axis), off=100.0 * s
                    ),
                    fix=say("check belt or screw against a long rule; the kerf is already freed from it"),
                )
            )
    (kx, sx, ex), (ky, sy, ey) = results["x"], results["y"]
    error = sqrt(0.5 * (ex * ex + ey * ey))
    if abs(kx - ky) > 3.0 * sqrt(ex * ex + ey * ey):
        findings.append(
            Finding(
                "kerf-differs-by-axis",
                "warning",
                say(
                    "the kerf differs by axis beyond the reading error: {x} along x, {y} along y",
                    x=mm(kx, 2),
                    y=mm(ky, 2),
                ),
                fix=say("check that the torch stands square and the nozzle is round"),
            )
        )
    measured = KerfMeasured(process, thickness_mm, round(kx, 3), round(ky, 3), round(error, 3))
    return KerfLearnt(measured, 1.0 + sx, 1.0 + sy, tuple(findings))


def _axis(
    axis: str, readings_mm: Mapping[str, float], outside_mm: float, width_mm: float, reading_mm: float
) -> tuple[float, float, float]:
    """Return kerf [mm], scale error [1] and standard error of the kerf [mm] of one axis, by normal equations."""
    rows: list[tuple[float, float, float]] = []  # sign of k, nominal, reading less nominal
    outside, slot = readings_mm.get(f"outside_{axis}"), readings_mm.get(f"slot_{axis}")
    if outside is not None:
        rows.append((-1.0, outside_mm, outside - outside_mm))
    if slot is not None:
        rows.append((1.0, width_mm, slot - width_mm))
    if not rows:
        raise JobError(
            say("no reading along {axis}", axis=code(axis)),
            "--measured",
            say("give {outside} or {slot}, better both", outside=code(f"outside_{axis}"), slot=code(f"slot_{axis}")),
        )
    weight = 1.0 / reading_mm**2
    a = weight * sum(c * c for c, _, _ in rows)
    b = weight * sum(c * n for c, n, _ in rows)
    d = weight * sum(n * n for _, n, _ in rows) + 1.0 / TABLE_SCALE**2
    p = weight * sum(c * r for c, _, r in rows)
    q = weight * sum(n * r for _, n, r in rows)
    det = a * d - b * b
    return (d * p - b * q) / det, (a * q - b * p) / det, sqrt(d / det)
