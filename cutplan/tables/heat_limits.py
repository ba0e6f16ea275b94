"""What heat ruins beside a weld, and above which temperature."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class HeatLimit:
    """A thing to keep away from the weld.

    Parameters
    ----------
    thing : str
        What to protect.
    limit_C : float
        Temperature that it should not pass [degC].
    consequence : str
        What happens above.
    source : str
        Key of ``weld_sources.SOURCES``.
    """

    thing: str
    limit_C: float
    consequence: str
    source: str


HEAT_LIMITS: tuple[HeatLimit, ...] = (
    HeatLimit("zinc coating", 419.5, "melts, then fumes: strip it back and draw the fume off", "zinc"),
    HeatLimit("factory e-coat and paint", 220.0, "hardens, smokes from about 245 degC, then burns", "ecoat"),
    HeatLimit("seam sealer, EPDM rubber", 125.0, "hardens and lets go", "elastomers"),
    HeatLimit("nitrile rubber, hoses", 120.0, "hardens and cracks", "elastomers"),
    HeatLimit("natural rubber bushes, electronics, fluids", 80.0, "take them off or away", "elastomers"),
)
