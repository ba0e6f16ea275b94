"""Cooling time from 800 to 500 degC by EN 1011-2 Annex D: thick (3-D) and thin (2-D) heat flow and their border."""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

from cutplan.errors import CutplanError

_ANNEX = "EN 1011-2 Annex D"


def _checked(start_C: float) -> None:
    if not -50.0 <= start_C < 500.0:
        raise CutplanError(f"start temperature {start_C:g} degC is outside -50 to 500", where=_ANNEX)


def t85_thick_s(heat_kJ_per_mm: float, start_C: float = 20.0, factor: float = 1.0) -> float:
    r"""Return t8/5 for three-dimensional heat flow [1]_.

    .. math:: t = (6700 - 5 T_0)\, Q \left[\frac{1}{500 - T_0} - \frac{1}{800 - T_0}\right] F_3

    Parameters
    ----------
    heat_kJ_per_mm : float
        Net heat input Q [kJ/mm]
    start_C : float
        Temperature before the bead T0, below 500 [degC]
    factor : float
        Shape factor F3 of the joint [1]

    Returns
    -------
    float
        Cooling time from 800 to 500 degC [s]

    Notes
    -----
    For plates at least as thick as :func:`transition_mm`. The constants are empirical: do not swap them for a
    conductivity from a handbook.

    References
    ----------
    .. [1] EN 1011-2:2001+A1 Annex D (second hand).
    """
    _checked(start_C)
    return (6700.0 - 5.0 * start_C) * heat_kJ_per_mm * (1.0 / (500.0 - start_C) - 1.0 / (800.0 - start_C)) * factor


def t85_thin_s(heat_kJ_per_mm: float, thickness_mm: float, start_C: float = 20.0, factor: float = 1.0) -> float:
    r"""Return t8/5 for two-dimensional heat flow [1]_.

    .. math:: t = (4300 - 4.3 T_0)\, 10^5 \frac{Q^2}{d^2}
              \left[\frac{1}{(500 - T_0)^2} - \frac{1}{(800 - T_0)^2}\right] F_2

    Parameters
    ----------
    heat_kJ_per_mm : float
        Net heat input Q [kJ/mm]
    thickness_mm : float
        Plate thickness d [mm]
    start_C : float
        Temperature before the bead T0, below 500 [degC]
    factor : float
        Shape factor F2 of the joint [1]

    Returns
    -------
    float
        Cooling time from 800 to 500 degC [s]

    Notes
    -----
    For plates thinner than :func:`transition_mm`.

    References
    ----------
    .. [1] EN 1011-2:2001+A1 Annex D (second hand).
    """
    _checked(start_C)
    return (
        (4300.0 - 4.3 * start_C)
        * 1e5
        * (heat_kJ_per_mm / thickness_mm) ** 2
        * (1.0 / (500.0 - start_C) ** 2 - 1.0 / (800.0 - start_C) ** 2)
        * factor
    )


def transition_mm(heat_kJ_per_mm: float, start_C: float = 20.0) -> float:
    r"""Return the thickness at which two- and three-dimensional flow give the same t8/5 [1]_.

    .. math:: d_t = \sqrt{\frac{(4300 - 4.3 T_0)\,10^5}{6700 - 5 T_0} Q
              \left[\frac{1}{500 - T_0} + \frac{1}{800 - T_0}\right]}

    Parameters
    ----------
    heat_kJ_per_mm : float
        Net heat input Q [kJ/mm]
    start_C : float
        Temperature before the bead T0, below 500 [degC]

    Returns
    -------
    float
        Transition thickness [mm]

    Notes
    -----
    With both shape factors equal to one.

    References
    ----------
    .. [1] EN 1011-2:2001+A1 Annex D (second hand).
    """
    _checked(start_C)
    ratio = (4300.0 - 4.3 * start_C) * 1e5 / (6700.0 - 5.0 * start_C)
    return sqrt(ratio * heat_kJ_per_mm * (1.0 / (500.0 - start_C) + 1.0 / (800.0 - start_C)))


#: Shape factors (F2, F3) by joint, EN 1011-2 Table D.1 (second hand): low, middle and high of the range.
SHAPE: dict[str, tuple[tuple[float, float, float], float]] = {
    "bead": ((1.0, 1.0, 1.0), 1.0),
    "butt": ((0.9, 0.9, 0.9), 0.9),
    "lap": ((0.67, 0.785, 0.9), 0.67),
    "tee": ((0.45, 0.56, 0.67), 0.67),
}


@dataclass(frozen=True, slots=True)
class Cooling:
    """Cooling time with the regime that gave it.

    Parameters
    ----------
    t85_s : float
        Cooling time [s].
    low_s, high_s : float
        The same at the ends of the shape factor's range [s].
    regime : {"thin", "thick"}
        Which of the two forms holds.
    transition_mm : float
        Thickness of the border between the two [mm].
    """

    t85_s: float
    low_s: float
    high_s: float
    regime: str
    transition_mm: float


def cooling(heat_kJ_per_mm: float, thickness_mm: float, start_C: float = 20.0, joint: str = "butt") -> Cooling:
    """Return the cooling time of a joint, in the regime that its thickness calls for [1]_.

    Parameters
    ----------
    heat_kJ_per_mm : float
        Net heat input [kJ/mm]
    thickness_mm : float
        Thickness of the thinner part [mm]
    start_C : float
        Temperature before the bead, below 500 [degC]
    joint : {"bead", "butt", "lap", "tee"}
        Joint, for the shape factor

    Returns
    -------
    Cooling
        Time and regime.

    References
    ----------
    .. [1] EN 1011-2:2001+A1 Annex D (second hand).
    """
    border = transition_mm(heat_kJ_per_mm, start_C)
    factors2, factor3 = SHAPE[joint]
    if thickness_mm < border:
        low, mid, high = (t85_thin_s(heat_kJ_per_mm, thickness_mm, start_C, f) for f in factors2)
        return Cooling(mid, low, high, "thin", border)
    time = t85_thick_s(heat_kJ_per_mm, start_C, factor3)
    return Cooling(time, time, time, "thick", border)
