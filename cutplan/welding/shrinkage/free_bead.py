"""What one bead of this joint does when it cools, as bands, narrowed by the shop's trial piece where there is one."""

from __future__ import annotations

from dataclasses import dataclass

from cutplan.pattern.shop import WeldMeasured
from cutplan.tables.band import Band, spread
from cutplan.texts import Message, number, say, sourced, together
from cutplan.welding.settings.machine import Settings
from cutplan.welding.shrinkage.across import butt_blodgett_mm, butt_spraragen_mm, energy_mm, lap_mm
from cutplan.welding.shrinkage.angular import sheet_angle
from cutplan.welding.shrinkage.tendon import Shares, Tendon, tendon
from cutplan.welding.stitches.joint import WeldJoint

#: A tack shrinks by this share of a long bead across, and pulls this share along [1]: low, middle, high (our own).
TACK_ACROSS = (0.3, 0.6, 1.0)
TACK_ALONG = (0.1, 0.3, 0.6)


@dataclass(frozen=True, slots=True)
class FreeBead:
    """A long bead on parts that are free to move.

    Parameters
    ----------
    shrink_mm : Band
        Shrinkage across the joint [mm].
    tendon : Tendon
        Contraction force along it.
    angle_rad : Band
        Angle, folding towards the torch [rad].
    """

    shrink_mm: Band
    tendon: Tendon
    angle_rad: Band


def measured_band(band: Band, factor: float, half_width: float, what: Message) -> Band:
    """Return a band replaced by a measured factor [1] on its middle with a relative half width [1], low end not below zero."""
    middle = band.mid * factor
    return Band(
        max(0.0, middle * (1.0 - half_width)),
        middle,
        middle * (1.0 + half_width),
        band.unit,
        say(
            "{what} x {factor} ± {spread} from the shop's trial piece; formula: {formula}",
            what=what,
            factor=number(factor, "", 2),
            spread=number(100.0 * half_width, "%", 0),
            formula=sourced(band.source),
        ),
    )


def free_bead(
    joint: WeldJoint,
    settings: Settings,
    beside_mm2: float,
    yield_N_per_mm2: float,
    measured: WeldMeasured | None = None,
    runs: int = 1,
    shares: Shares = (1.0, 1.0, 1.0),
) -> FreeBead:
    """Return what a long bead of a joint does on free parts [1]_.

    Parameters
    ----------
    joint : WeldJoint
        Joint
    settings : Settings
        Settings with heat input
    beside_mm2 : float
        Section of the metal beside the weld, both sides together [mm2]
    yield_N_per_mm2 : float
        Yield strength of the weaker part [N/mm2]
    measured : WeldMeasured or None
        The shop's trial piece; None keeps the wide bands
    runs : int
        Runs laid in each stitch; each shrinks anew across, the pull along is that of one (our own rule)
    shares : (float, float, float)
        Low, middle and high of that section over it, where nobody measured how far it goes [1]

    Returns
    -------
    FreeBead
        Shrinkage, tendon force and angle as bands.

    References
    ----------
    .. [1] Energy form over the thickness that carries the heat in the middle; published forms and the heat of the whole
       range of settings around it, at least +/- 50 % (our judgement).
    """
    heat = settings.arc.heat_input_J_per_mm
    middle = energy_mm(runs * heat.mid, joint.flow_mm)
    values = [
        0.5 * middle,
        1.5 * middle,
        energy_mm(heat.low, joint.thick_mm),
        energy_mm(runs * heat.high, joint.flow_mm),
    ]
    source = say("energy form (Leggatt, from memory) in the middle, at least ± 50 % (our own)")
    if joint.leg_mm == 0.0:
        values += [
            butt_blodgett_mm(joint.section_mm2, joint.thin_mm),
            butt_spraragen_mm(joint.section_mm2, joint.thin_mm, joint.gap_mm),
        ]
        source = together(
            source, say("Blodgett (from memory) and Spraragen-Ettinger (second hand) around it"), sep="; "
        )
    elif joint.leg_mm <= 0.75 * joint.thin_mm:
        values.append(0.5 * lap_mm(joint.leg_mm, joint.thin_mm))
        source = together(source, say("AWS lap form, halved for one fillet (from memory)"), sep="; ")
    shrink = spread(tuple(values), "mm", source, mid=middle)
    force = tendon(heat.mid, joint.section_mm2, beside_mm2, yield_N_per_mm2, shares=shares)
    angle = sheet_angle(full_penetration=joint.leg_mm == 0.0)
    if measured is not None:
        shrink = measured_band(shrink, measured.shrink, measured.shrink_spread, say("shrinkage"))
        angle = measured_band(angle, measured.angle, measured.angle_spread, say("angle"))
    return FreeBead(shrink, force, angle)


def of_tack(bead: FreeBead) -> FreeBead:
    """Return what a tack does: shares of a long bead, our judgement."""

    def part(band: Band, shares: tuple[float, float, float]) -> Band:
        return Band(
            band.low * shares[0],
            band.mid * shares[1],
            band.high * shares[2],
            band.unit,
            say(
                "{share} of a long bead for a tack (our judgement); {source}",
                share=number(100.0 * shares[1], "%", 0),
                source=sourced(band.source),
            ),
        )

    whole = bead.tendon
    force = Tendon(
        part(whole.force_N, TACK_ALONG),
        part(whole.free_N, TACK_ALONG),
        whole.section_mm2,
        whole.capped,
        whole.yielded_mm2,
    )
    return FreeBead(part(bead.shrink_mm, TACK_ACROSS), force, part(bead.angle_rad, TACK_ACROSS))
