"""Shrinkage as shops and handbooks print it, beside what the program's own bead does with the set-up that they state.

These are rules and tables of practice, not experiments: what was welded is told only in part, and what is missing is
assumed and marked so. A figure outside our band stands in the list like one inside it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import radians

from weld_jobs import plain_job

from cutplan.geometry.contour import rectangle
from cutplan.pattern.joint import Joint
from cutplan.pattern.wishes import Welding
from cutplan.tables.band import Band
from cutplan.tables.steel import CARBON_STEEL
from cutplan.welding.settings.machine import settings_for
from cutplan.welding.settings.metal import fillet_area_mm2, vee_area_mm2
from cutplan.welding.shrinkage.free_bead import FreeBead, free_bead
from cutplan.welding.stitches.joint import weld_joint

#: Least yield strength of the plates, not stated anywhere [N/mm2].
YIELD_N_PER_MM2 = 250.0
TWI = "TWI, Frequently asked questions: how much shall I allow for weld shrinkage (read)"
ESAB = (
    "ESAB welding consumables handbook, joint volumes with and without shrinkage (read; the difference is our reading)"
)


@dataclass(frozen=True)
class Figure:
    """One printed figure [unit], what was assumed to compute it, and ours."""

    name: str
    source: str
    assumed: str
    unit: str
    least: float
    most: float
    ours: Band

    @property
    def inside(self) -> bool:
        """Whether their range and our band meet."""
        return self.ours.low <= self.most and self.least <= self.ours.high


def butt_bead(
    thickness_mm: float, gap_mm: float, section_mm2: float | None = None, width_mm: float = 300.0
) -> FreeBead:
    """A long butt bead between two plates of one thickness with the makers' settings."""
    job = plain_job(rectangle(0.0, 0.0, 300.0, 0.5 * width_mm), thickness_mm, thickness_mm, Joint("butt", gap_mm))
    settings = settings_for("butt", thickness_mm, Welding())
    joint = weld_joint(job, settings)
    if section_mm2 is not None:
        joint = replace(joint, section_mm2=section_mm2)
    return free_bead(joint, settings, width_mm * thickness_mm, YIELD_N_PER_MM2)


def tee_bead(leg_mm: float, thickness_mm: float, beside_mm2: float) -> FreeBead:
    """A fillet of a tee: settings for that leg, heat carried away by both flange sides and the web."""
    job = plain_job(rectangle(0.0, 0.0, 300.0, 100.0), thickness_mm, thickness_mm, Joint("lap", 0.0, 30.0))
    settings = settings_for("lap", leg_mm, Welding())
    section = 1.1 * fillet_area_mm2(leg_mm)
    joint = replace(weld_joint(job, settings), leg_mm=leg_mm, section_mm2=section, flow_mm=1.5 * thickness_mm)
    return free_bead(joint, settings, beside_mm2, YIELD_N_PER_MM2)


def shortening(bead: FreeBead, area_mm2: float) -> Band:
    """Shortening along one metre of bead, F L / (E A) [mm]."""
    give = 1000.0 / (CARBON_STEEL.modulus_N_per_mm2 * area_mm2)
    force = bead.tendon.force_N
    return Band(force.low * give, force.mid * give, force.high * give, "mm", force.source)


def figures() -> list[Figure]:
    """Return every figure that was found, with ours beside it."""
    found = []
    for thick, gap, bare, shrunk in ((4.0, 1.0, 13.0, 12.5), (5.0, 1.0, 19.5, 19.0), (6.0, 1.0, 27.0, 25.5)):
        bead = butt_bead(thick, gap, vee_area_mm2(thick, gap, radians(60.0)))
        middle, rounding = (bare - shrunk) / thick, 0.5 / thick
        found.append(
            Figure(
                f"across a 60° V butt, {thick:.0f} mm",
                ESAB,
                "makers' settings for this thickness",
                "mm",
                max(0.0, middle - rounding),
                middle + rounding,
                bead.shrink_mm,
            )
        )
    tee = tee_bead(4.25, 6.0, 300.0 * 6.0)
    found += [
        Figure("across a fillet, leg to 3/4 t", TWI, "leg 4.25 mm on 6 mm", "mm", 0.8, 0.8, tee.shrink_mm),
        Figure(
            "along a butt weld, each metre",
            TWI,
            "3 mm plates, 300 mm wide together",
            "mm",
            1.0,
            1.0,
            shortening(butt_bead(3.0, 1.0), 300.0 * 3.0),
        ),
        Figure(
            "along a fillet weld, each metre",
            TWI,
            "leg 4.25 mm, tee of 200 x 6 and 100 x 6 mm",
            "mm",
            0.8 / 3.0,
            0.8 / 3.0,
            shortening(tee, 300.0 * 6.0),
        ),
    ]
    return found
