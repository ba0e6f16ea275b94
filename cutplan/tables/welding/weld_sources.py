"""Where the weld facts come from: one key per source, how it was seen, and the citation."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from cutplan.texts import Message, name, say, template, together

Seen = Literal["read", "second hand", "memory", "own"]
"""``read``: seen at the source named. ``second hand``: quoted elsewhere. ``memory``: recalled, not seen.
``own``: our own reasoning or arithmetic."""


@dataclass(frozen=True, slots=True)
class Source:
    """One source of weld facts.

    Parameters
    ----------
    seen : {"read", "second hand", "memory", "own"}
        How the fact was seen.
    citation : str or Message
        Author, title, year, place; a message where it is a sentence of ours.
    """

    seen: Seen
    citation: Message | str

    @property
    def text(self) -> Message:
        """Citation with the way it was seen, for print; titles and names are no language's."""
        return _SEEN[self.seen].fill(source=name(self.citation) if isinstance(self.citation, str) else self.citation)


_SEEN = {
    "read": template("{source}"),
    "second hand": template("{source} (second hand)"),
    "memory": template("{source} (from memory)"),
    "own": template("{source} (our own)"),
}


SOURCES: dict[str, Source] = {
    "adams": Source(
        "memory",
        "C. M. Adams, peak temperature equations, AWS Welding Handbook vol. 1, heat flow chapter",
    ),
    "aws-handbook": Source("memory", "AWS Welding Handbook vol. 1, residual stresses and distortion chapter"),
    "blodgett": Source("memory", "O. W. Blodgett, Design of Welded Structures (1966), section 7.7"),
    "carbon-iiw": Source("read", "Dillinger, welding help text: carbon equivalents CE (IIW), CET and Pcm"),
    "conrardy": Source(
        "read",
        "C. Conrardy and R. Dull, Control of distortion in thin ship panels, J. Ship Production 13(2) (1997) 83-92",
    ),
    "consumable-cost": Source("read", "ESAB, consumable cost: P = W L / E with 0.283 lb/in3 (esabna.com 577fm8_1)"),
    "default": Source("own", say("default of this program, stated so that a shop can change it")),
    "deposition": Source(
        "read",
        "weldinganswers.com, Which arc welding process is the most efficient: deposition efficiency by process",
    ),
    "dupont-marder": Source(
        "read",
        "J. N. DuPont and A. R. Marder, Thermal efficiency of arc welding processes, Welding Journal (1995), abstract",
    ),
    "ecoat": Source("read", "Products Finishing (2012), Temperature limits for e-coated parts"),
    "elasticity": Source(
        "own", say("plane-stress elasticity of a disc shrunk into a wide sheet of the same thickness")
    ),
    "elastomers": Source(
        "read",
        "Nur Kaucuk, Guide to rubber temperature ranges by material; Actum Sweden, EPDM data page",
    ),
    "en-1011-1": Source("memory", say("EN 1011-1 and ISO/TR 17671-1, arc thermal efficiency k")),
    "en-1011-2-cet": Source("second hand", "EN 1011-2:2001 Annex C, method B (preheat from CET)"),
    "en-1011-2-t85": Source("second hand", say("EN 1011-2:2001+A1 Annex D (cooling time t8/5)")),
    "en-1011-2-tack": Source(
        "second hand",
        say(
            "EN 1011-2 clause 13 (tacks: 50 mm, below 12 mm thickness 4 t of the thicker part), quoted by "
            "everyweld.fi, Tack welds"
        ),
    ),
    "gas-flow": Source(
        "read",
        "ESAB Warrior 750i instruction manual 0463 730 001 (2021), p. 24, shielding gas recommendation: 10 times "
        "the wire diameter for MAG on carbon steel",
    ),
    "grades": Source(
        "memory",
        say(
            "composition limits of EN 10025-2, EN 10111, EN 10130, EN 10149-2 and ASTM A36 for product thicknesses up"
            " to 16 mm"
        ),
    ),
    "iec-60974": Source(
        "memory",
        say("IEC 60974-1 conventional load voltage: TIG U = 10 + 0.04 I, MIG/MAG U = 14 + 0.05 I"),
    ),
    "iso-13920": Source(
        "second hand",
        "ISO 13920:1996, tables 1 to 3 (copy at modulusmetal.com; a 2023 edition exists, not seen)",
    ),
    "iso-13920-memory": Source("memory", "ISO 13920:1996, table 3, classes G and H"),
    "iso-5817": Source("second hand", "ISO 5817 quality levels, extracts (level C mostly from scribd 253871562)"),
    "iso-5817-memory": Source("memory", "ISO 5817 quality levels B and D, extracts"),
    "iso-9692-1": Source("memory", "ISO 9692-1:2013, joint preparation for gas-shielded arc welding of steels"),
    "jass-6": Source("memory", "JASS 6, minimum tack bead length for building steel"),
    "joint-volumes": Source(
        "read",
        "ESAB welding consumables handbook, calculation of electrode consumption, joint volume tables (scribd "
        "273957967)",
    ),
    "kou": Source("memory", "S. Kou, Welding Metallurgy, property table for carbon steel"),
    "leggatt": Source(
        "memory",
        "R. H. Leggatt, PhD thesis, Cambridge (1980), reviewed in G. Verhaeghe, Predictive formulae for weld "
        "distortion (1999)",
    ),
    "maker-co2-butt": Source(
        "read",
        "OTC Daihen Welbee P500L manual, p. 10-8, square butt, CO2, no backing (reference table)",
    ),
    "maker-co2-fillet": Source("read", "OTC Daihen CPTX-400 manual, p. 25, horizontal fillet, CO2 (reference table)"),
    "maker-co2-lap": Source("read", "OTC Daihen P400L II manual, p. 161, lap fillet, CO2 (reference table)"),
    "maker-mag-butt": Source(
        "read",
        "OTC Daihen Welbee M350L II manual, p. 148, square butt, Ar+CO2 short arc (reference table, cm/min column)",
    ),
    "maker-mag-fillet": Source("read", "Panasonic YD-350GL4 manual, MAG fillet, argon with CO2 (reference table)"),
    "maker-wfs": Source(
        "read",
        "Miller OM-228042 p. 43, Craftsman 117.205710 p. 21, Hobart OM-283007: wire feed speed per ampere and 1 A"
        " per 0.001 in",
    ),
    "masubuchi": Source("memory", "K. Masubuchi, Analysis of Welded Structures (1980)"),
    "murakawa": Source(
        "memory",
        "Y. Ueda, H. Murakawa and N. Ma, Welding Deformation and Residual Stress Prevention (2012); Murakawa, Luo"
        " and Ueda, J. Soc. Naval Arch. Japan 180 (1996) 739-751",
    ),
    "okerblom": Source(
        "memory",
        "N. O. Okerblom, The calculations of deformations of welded metal structures (1958)",
    ),
    "rosenthal": Source(
        "memory",
        "D. Rosenthal, Welding J. 20 (1941) 220s and Trans. ASME 68 (1946) 849; S. Kou, Welding Metallurgy ch. 2",
    ),
    "short-arc-prep": Source(
        "read",
        "ESAB MIG welding handbook, chapter 8, joint preparation for short arc and spray",
    ),
    "spraragen": Source(
        "second hand",
        "W. Spraragen and W. G. Ettinger, Shrinkage distortion in welding, Welding J. 29 (1950)",
    ),
    "stainless-tacks": Source(
        "memory",
        "Avesta welding handbook for stainless steel, table of tack lengths and spacings",
    ),
    "symbols": Source("memory", "ISO 2553, symbolic representation of welds"),
    "tendon": Source("memory", "J. D. White, CUED/C-Struct/TR57 (1977): tendon force 0.2 kN per J/mm"),
    "tig-fillet": Source(
        "read",
        "Air Products Welder's Handbook (2017), p. 41, typical conditions for TIG welding, fillet welds, carbon steel",
    ),
    "tig-speed": Source("memory", say("manual TIG travel speed on sheet, about 80 to 150 mm/min")),
    "twi-shrinkage": Source("read", "TWI, FAQ: How much shall I allow for weld shrinkage"),
    "zinc": Source("memory", say("zinc melts at 419.5 degC and boils at 907 degC (physical tables)")),
}


def source_text(*keys: str) -> Message:
    """Return the citations of one or more keys of ``SOURCES``, joined for print."""
    return together(*(SOURCES[key].text for key in keys), sep="; ")
