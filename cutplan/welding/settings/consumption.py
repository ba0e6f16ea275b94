"""What a joint takes: runs, weld metal, wire, gas and arc time."""

from __future__ import annotations

from math import pi

from cutplan.tables.band import Band
from cutplan.tables.steel import CARBON_STEEL
from cutplan.tables.welding.efficiency import deposition_efficiency
from cutplan.tables.welding.weld_sources import source_text
from cutplan.texts import say
from cutplan.welding.result import Consumption, PlacedBead
from cutplan.welding.settings.machine import Settings
from cutplan.welding.settings.metal import deposited_area_mm2, mass_kg, runs_needed, wire_kg
from cutplan.welding.stitches.joint import WeldJoint

#: Gas runs on before and after each arc [s] (common practice).
GAS_PER_START_S = 2.0


def runs_and_section(joint: WeldJoint, settings: Settings) -> tuple[int, float]:
    """Return the runs on a joint and the section that one of them lays down [mm2].

    Parameters
    ----------
    joint : WeldJoint
        Joint
    settings : Settings
        Settings

    Returns
    -------
    (int, float)
        Runs, and section of one run [mm2].
    """
    if settings.feed_mm_per_s is None:
        return settings.table.runs, joint.section_mm2 / settings.table.runs
    deposition = deposition_efficiency(settings.process)
    laid = deposited_area_mm2(settings.wire_mm, settings.feed_mm_per_s, settings.arc.speed_mm_per_s.mid, deposition.mid)
    return runs_needed(joint.section_mm2, laid, settings.table.runs), laid


def consumption(
    joint: WeldJoint, settings: Settings, placed: tuple[PlacedBead, ...], runs: int, laid_mm2: float
) -> Consumption:
    """Return what a joint takes.

    Parameters
    ----------
    joint : WeldJoint
        Joint
    settings : Settings
        Settings
    placed : tuple of PlacedBead
        All tacks and stitches
    runs : int
        Runs in each of them
    laid_mm2 : float
        Section that one run lays down [mm2]

    Returns
    -------
    Consumption
        Metal, wire, gas and arc time; wire runs from the section to what the feed delivers.
    """
    deposition = deposition_efficiency(settings.process)
    density = CARBON_STEEL.density_kg_per_mm3
    plug_mm3 = sum(p.volume_mm3 for p in joint.plugs)
    metal = mass_kg(joint.section_mm2, joint.line.length_mm, density) + plug_mm3 * density
    speed = settings.arc.speed_mm_per_s
    welded = sum(b.length_mm for b in placed)
    arc_time = runs * welded / speed.mid + plug_mm3 / (laid_mm2 * speed.mid)
    fed = 0.0
    if settings.feed_mm_per_s is not None:
        fed = 0.25 * pi * settings.wire_mm**2 * settings.feed_mm_per_s * arc_time * density
    least, most = wire_kg(metal, deposition.high), wire_kg(metal, deposition.low)
    middle = wire_kg(metal, deposition.mid)
    wire = Band(
        least,
        middle,
        max(most, fed),
        "kg",
        say("section over deposition efficiency; high: what the feed speed delivers in the arc time"),
    )
    starts = len(placed) + len(joint.plugs)
    flow = settings.gas_l_per_min / 60.0
    gas = Band(
        flow * arc_time,
        flow * (arc_time + GAS_PER_START_S * starts),
        flow * (1.3 * arc_time + 3.0 * GAS_PER_START_S * starts),
        "l",
        source_text("gas-flow" if settings.process == "GMAW" else "tig-fillet"),
    )
    return Consumption(metal, runs * laid_mm2, wire, gas, arc_time)
