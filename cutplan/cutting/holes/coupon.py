"""The trial piece for holes: a row of sizes cut as a job would cut them; their measured sizes give the kerf by size.

A small hole is cut slowly and its kerf is wider, and it tapers. The row is cut with the kerf that is known; what each hole
comes out larger than drawn is what its kerf is wider. Measured at the top and at the bottom it tells the taper too.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import atan, degrees, radians, tan

from cutplan.cutting.kerf.choice import LARGEST_MM
from cutplan.cutting.plan import plan_cut
from cutplan.cutting.result import CutPlan
from cutplan.errors import JobError
from cutplan.geometry.contour import circle_contour, rectangle
from cutplan.geometry.vector import Point
from cutplan.pattern.job import About, Job
from cutplan.pattern.plate import Hole, Plate
from cutplan.pattern.shop import HolesMeasured, Shop
from cutplan.pattern.wishes import CutProcess, Cutting
from cutplan.tables.cutting.cut_process import process_word
from cutplan.tables.cutting.holes import TABLE_PROCESSES, lead_rule
from cutplan.tables.cutting.kerf import kerf_band
from cutplan.texts import Message, code, every, inch_or_mm, mm, say

#: Sizes of the row, as far as the process cuts them [mm].
SIZES_MM = (6.0, 8.0, 10.0, 12.0, 16.0, 20.0, 25.0, 32.0, 40.0)
#: Most holes in the row.
MOST = 6
#: Reading that names the kerf taken off in the file.
KERF = "kerf"


@dataclass(frozen=True, slots=True)
class HoleCoupon:
    """The trial piece: its job, its path, the drawn size of each hole by its name [mm], and what to measure."""

    job: Job
    plan: CutPlan
    sizes_mm: dict[str, float]
    measure: tuple[Message, ...]

    @property
    def readings(self) -> tuple[str, ...]:
        """Names of the readings: the kerf it was cut with, and each hole at the top and at the bottom."""
        return (KERF, *(f"{hole}_{face}" for hole in self.sizes_mm for face in ("top", "bottom")))

    @property
    def known_mm(self) -> dict[str, float]:
        """Readings that are known when the piece is made [mm]: the kerf taken off."""
        return {KERF: round(self.plan.kerf_mm, 3)}


def hole_coupon(process: CutProcess, thickness_mm: float, shop: Shop | None = None) -> HoleCoupon:
    """Return the trial piece for a process and thickness.

    Parameters
    ----------
    process : str
        ``air plasma``, ``laser``, ``waterjet`` or ``oxyfuel``.
    thickness_mm : float
        Thickness of the plate it is cut from [mm]
    shop : Shop or None
        The kerf known so far, which the path is made with; what is known of holes is left aside.

    Raises
    ------
    JobError
        For a process led by hand.
    """
    if process not in TABLE_PROCESSES:
        raise JobError(
            say("a {process} is led by hand: it cuts no small holes", process=process_word(process)),
            "--process",
            say("drill them"),
        )
    known = Shop(kerfs=shop.kerfs, source=shop.source) if shop else Shop()
    sizes = _sizes(process, thickness_mm)
    gap = max(10.0, 3.0 * thickness_mm)
    holes: list[Hole] = []
    x = 0.0
    for size in sizes:
        x += gap + 0.5 * size
        holes.append(Hole(f"D{size:g}", circle_contour(Point(x, 0.0), 0.5 * size, ccw=False), cut=True))
        x += 0.5 * size
    tall = sizes[-1] + 2.0 * gap
    plate = Plate(rectangle(0.0, -0.5 * tall, x + gap, tall), tuple(holes), thickness_mm)
    title = say(
        "trial piece for holes, {process}, {thickness}",
        process=process_word(process),
        thickness=inch_or_mm(thickness_mm, None),
    )
    job = Job(About(str(title)), plate, cutting=Cutting(process=process))
    plan = plan_cut(job, known)
    measure = (
        say(
            "{reading}: size of the hole drawn {size}, at the top face",
            reading=code(f"D{sizes[0]:g}_top"),
            size=mm(sizes[0], None),
        ),
        say("{reading}: the same hole at the bottom face", reading=code(f"D{sizes[0]:g}_bottom")),
        say("and so for each hole: {holes}", holes=every(h.name for h in holes)),
        say(
            "the kerf of {kerf} is taken off in the file: turn the table's own compensation OFF",
            kerf=mm(plan.kerf_mm, 2),
        ),
        say(
            "{reading}: that kerf, so that it stays known whatever is learnt about the kerf before the holes are measured",
            reading=code(KERF),
        ),
    )
    return HoleCoupon(job, plan, {f"D{s:g}": s for s in sizes}, measure)


def _sizes(process: str, thickness_mm: float) -> list[float]:
    """Return the sizes that the process cuts, small ones first, evenly taken when there are many."""
    least = lead_rule(process).least_hole_mm(thickness_mm, kerf_band(process, thickness_mm).mid)
    fitting = [s for s in SIZES_MM if s >= least] or [2.0 * least, 3.0 * least]
    return (
        fitting if len(fitting) <= MOST else [fitting[round(k * (len(fitting) - 1) / (MOST - 1))] for k in range(MOST)]
    )


def _half_way_down(readings_mm: Mapping[str, float], hole: str, taper_deg: float, thickness_mm: float) -> float:
    """Return the size of a hole half way down [mm]: between both faces, or from the one measured and a known taper."""
    top, bottom = readings_mm.get(f"{hole}_top"), readings_mm.get(f"{hole}_bottom")
    if top is not None and bottom is not None:
        return 0.5 * (top + bottom)
    slope = thickness_mm * tan(radians(taper_deg))
    return bottom + slope if top is None and bottom is not None else (top or 0.0) - slope


def learn_holes(
    process: CutProcess, thickness_mm: float, readings_mm: Mapping[str, float], shop: Shop, reading_mm: float = 0.05
) -> HolesMeasured:
    """Return the kerf and the taper by size from the measured holes of the trial piece.

    Parameters
    ----------
    process : str
        Process that cut it.
    thickness_mm : float
        Thickness of the piece [mm]
    readings_mm : mapping
        ``D10_top`` and ``D10_bottom`` and so on [mm]; of each hole measured at least one. ``kerf``: the one taken off in
        the file that was cut.
    shop : Shop
        What is known now: the kerf where the readings name none, the taper of a hole measured at one face only.
    reading_mm : float
        Reading error of the caliper [mm]

    Raises
    ------
    JobError
        When a name is unknown, nothing was measured, or the answer is no kerf.
    """
    coupon = hole_coupon(process, thickness_mm, shop)
    unknown = [n for n in readings_mm if n not in coupon.readings]
    if unknown or not set(readings_mm) - {KERF}:
        raise JobError(
            say("there is no reading {reading}", reading=code(repr(unknown[0] if unknown else ""))),
            "--measured",
            say("use {known}", known=every(coupon.readings)),
        )
    known = readings_mm.get(KERF, coupon.plan.kerf_mm)
    if not 0.0 < known <= LARGEST_MM:
        raise JobError(say("a kerf of {kerf} cannot be", kerf=mm(known, None)), f"--measured {KERF}")
    rows: list[tuple[float, float, float]] = []
    for hole, size in coupon.sizes_mm.items():
        faces = [readings_mm[n] for n in (f"{hole}_top", f"{hole}_bottom") if n in readings_mm]
        if not faces:
            continue
        before = shop.hole_taper(process, thickness_mm, size) or 0.0
        kerf = known + _half_way_down(readings_mm, hole, before, thickness_mm) - size
        if not 0.05 < kerf < min(12.0, size):
            raise JobError(
                say("the readings of {hole} give a kerf of {kerf}, which cannot be", hole=code(hole), kerf=mm(kerf, 2)),
                "--measured",
                say("check the readings and their units"),
            )
        taper = degrees(atan(0.5 * (faces[0] - faces[1]) / thickness_mm)) if len(faces) == 2 else before
        rows.append((size, round(kerf, 3), round(taper, 2)))
    return HolesMeasured(
        process,
        thickness_mm,
        tuple(r[0] for r in rows),
        tuple(r[1] for r in rows),
        tuple(r[2] for r in rows),
        reading_mm,
    )
