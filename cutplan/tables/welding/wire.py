"""Solid wire: feed speed for a current, mass of wire, gas flow for a diameter."""

from __future__ import annotations

from itertools import pairwise

from cutplan.errors import CutplanError

#: Wire feed speed per ampere [in/min per A] by wire diameter [in], makers' charts (source key: maker-wfs).
FEED_IPM_PER_A: tuple[tuple[float, float], ...] = ((0.023, 3.5), (0.030, 2.0), (0.035, 1.6), (0.045, 1.0))
_INCH_MM = 25.4
#: Gas flow over wire diameter for MAG on carbon steel [l/min per mm] (source key: gas-flow).
GAS_L_PER_MIN_PER_MM = 10.0


def wire_feed_mm_per_s(current_A: float, wire_mm: float) -> float:
    r"""Return the wire feed speed that a current needs [1]_.

    .. math:: w = c(d)\, I

    Parameters
    ----------
    current_A : float
        Welding current [A]
    wire_mm : float
        Wire diameter [mm]

    Returns
    -------
    float
        Wire feed speed [mm/s]

    Notes
    -----
    Charts for solid steel wire of 0.58 to 1.14 mm in short-circuit transfer; between two charts the factor times the
    wire's section is interpolated, since that product changes little. Diameters up to 5 % outside are accepted.

    Examples
    --------
    >>> round(wire_feed_mm_per_s(125.0, 0.889) * 60.0 / 1000.0, 2)  # m/min
    5.08

    Raises
    ------
    CutplanError
        For a diameter outside the charts.

    References
    ----------
    .. [1] Miller OM-228042 p. 43; Craftsman 117.205710 p. 21; Hobart OM-283007.
    """
    d = wire_mm / _INCH_MM
    rows = FEED_IPM_PER_A
    if not 0.95 * rows[0][0] <= d <= 1.05 * rows[-1][0]:
        raise CutplanError(f"no feed chart for a {wire_mm:g} mm wire", where="wire", hint="charts hold 0.6 to 1.2 mm")
    d_in = min(max(d, rows[0][0]), rows[-1][0])
    for (d0, f0), (d1, f1) in pairwise(rows):
        if d_in <= d1:
            part = (d_in - d0) / (d1 - d0)
            volume = (1.0 - part) * f0 * d0 * d0 + part * f1 * d1 * d1
            return volume / (d_in * d_in) * current_A * _INCH_MM / 60.0
    raise AssertionError("unreachable")  # pragma: no cover


def gas_flow_l_per_min(wire_mm: float) -> float:
    """Return the shielding gas flow for MAG on carbon steel: ten times the wire diameter [1]_.

    Parameters
    ----------
    wire_mm : float
        Wire diameter [mm]

    Returns
    -------
    float
        Gas flow [l/min]

    References
    ----------
    .. [1] ESAB Warrior 750i instruction manual 0463 730 001 (2021), p. 24.
    """
    return GAS_L_PER_MIN_PER_MM * wire_mm
