"""Arc energy and the heat that enters the work."""

from __future__ import annotations


def arc_energy_J_per_mm(voltage_V: float, current_A: float, speed_mm_per_s: float) -> float:
    r"""Return the arc energy for each millimetre of bead [1]_.

    .. math:: E = U I / v

    Parameters
    ----------
    voltage_V : float
        Arc voltage [V]
    current_A : float
        Welding current [A]
    speed_mm_per_s : float
        Travel speed [mm/s]

    Returns
    -------
    float
        Arc energy [J/mm]

    Notes
    -----
    Direct current without pulsing; pulsed arcs need the instantaneous power.

    Examples
    --------
    >>> arc_energy_J_per_mm(18.0, 130.0, 4.5)
    520.0

    References
    ----------
    .. [1] ISO/TR 18491; ISO 15614-1:2017, 8.4.7.
    """
    return voltage_V * current_A / speed_mm_per_s


def heat_input_J_per_mm(arc_energy_J_per_mm: float, efficiency: float) -> float:
    r"""Return the net heat input [1]_.

    .. math:: q = k E

    Parameters
    ----------
    arc_energy_J_per_mm : float
        Arc energy E [J/mm]
    efficiency : float
        Arc thermal efficiency k [1]

    Returns
    -------
    float
        Net heat input [J/mm]

    Notes
    -----
    k is 0.8 for GMAW and 0.6 for GTAW; sources differ by up to 6 % and 12 % (``tables.efficiency``).

    Examples
    --------
    >>> heat_input_J_per_mm(520.0, 0.8)
    416.0

    References
    ----------
    .. [1] EN 1011-1; ISO/TR 17671-1.
    """
    return efficiency * arc_energy_J_per_mm
