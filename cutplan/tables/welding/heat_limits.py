"""What heat ruins beside a weld, and above which temperature."""

from __future__ import annotations

from dataclasses import dataclass

from cutplan.texts import Message, say


@dataclass(frozen=True, slots=True)
class HeatLimit:
    """A thing to keep away from the weld.

    Parameters
    ----------
    thing : Message
        What to protect.
    limit_C : float
        Temperature that it should not pass [degC].
    consequence : Message
        What happens above.
    source : str
        Key of ``weld_sources.SOURCES``.
    """

    thing: Message
    limit_C: float
    consequence: Message
    source: str


HEAT_LIMITS: tuple[HeatLimit, ...] = (
    HeatLimit(say("zinc coating"), 419.5, say("melts, then fumes: strip it back and draw the fume off"), "zinc"),
    HeatLimit(say("factory e-coat and paint"), 220.0, say("hardens, smokes from about 245 °C, then burns"), "ecoat"),
    HeatLimit(say("seam sealer, EPDM rubber"), 125.0, say("hardens and lets go"), "elastomers"),
    HeatLimit(say("nitrile rubber, hoses"), 120.0, say("hardens and cracks"), "elastomers"),
    HeatLimit(say("natural rubber bushes, electronics, fluids"), 80.0, say("take them off or away"), "elastomers"),
)
