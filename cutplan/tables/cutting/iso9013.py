"""ISO 9013: squareness, roughness and limit deviations of thermal cuts (2017 layout, as seen second hand)."""

from __future__ import annotations

from cutplan.errors import CutplanError
from cutplan.tables.cutting.cut_process import PROCESSES
from cutplan.tables.cutting.cut_sources import source_text
from cutplan.texts import Message, say

#: Perpendicularity u = c0 [mm] + c1 [1] * thickness, by range (source key: iso9013).
U_RANGES: dict[int, tuple[float, float]] = {
    1: (0.05, 0.003),
    2: (0.15, 0.007),
    3: (0.4, 0.01),
    4: (0.8, 0.02),
    5: (1.2, 0.035),
}
#: Roughness Rz5 = c0 [um] + c1 [um/mm] * thickness, by range (source key: iso9013).
RZ5_RANGES: dict[int, tuple[float, float]] = {1: (10.0, 0.6), 2: (40.0, 0.8), 3: (70.0, 1.2), 4: (110.0, 1.8)}
_KNOWN = {key: facts.iso9013 for key, facts in PROCESSES.items() if facts.iso9013 is not None}
#: Thickness that the standard covers by process [mm].
SCOPE_MM: dict[str, tuple[float, float]] = {key: iso.scope_mm for key, iso in _KNOWN.items()}
#: Tolerance class usual for a process.
USUAL_CLASS: dict[str, int] = {key: iso.tolerance_class for key, iso in _KNOWN.items()}
#: Ranges of u and Rz5 usually reached.
USUAL_RANGES: dict[str, tuple[int, int]] = {key: (iso.squareness, iso.roughness) for key, iso in _KNOWN.items()}
#: Bevel of a plasma cut edge: least, middle, largest [deg] (source key: course-kerf, jobshop for the middle).
PLASMA_BEVEL_DEG = (1.0, 3.0, 5.0)
#: Upper ends of the nominal dimension columns [mm]; the lower end belongs to the column, the upper does not.
COLUMNS_MM = (3.0, 10.0, 35.0, 125.0, 315.0, 1000.0, 2000.0, 4000.0, 6000.0, 8000.0)
#: Upper ends of the thickness rows [mm]; the first row starts above 1 mm.
ROWS_MM = (3.15, 6.3, 10.0, 15.0)
#: Limit deviations +/- [mm] by class, row, column; None where the standard prints a dash (source key: iso9013-limits).
LIMITS: dict[int, tuple[tuple[float | None, ...], ...]] = {
    1: (
        (0.10, 0.15, 0.20, 0.25, 0.25, 0.35, 0.40, 0.65, 1.00, 1.75),
        (0.20, 0.20, 0.25, 0.25, 0.30, 0.40, 0.45, 0.70, 1.10, 1.90),
        (None, 0.25, 0.30, 0.30, 0.35, 0.45, 0.55, 0.75, 1.25, 2.20),
        (None, 0.30, 0.35, 0.40, 0.45, 0.55, 0.65, 0.85, 1.50, 2.50),
    ),
    2: (
        (0.6, 0.6, 0.7, 0.7, 0.8, 0.9, 1.0, 1.1, 1.4, 1.4),
        (0.7, 0.8, 0.9, 0.9, 1.1, 1.2, 1.3, 1.3, 1.6, 1.6),
        (None, 1.0, 1.1, 1.3, 1.4, 1.5, 1.6, 1.7, 1.9, 2.0),
        (None, 1.8, 1.8, 1.8, 1.9, 2.3, 3.0, 4.2, 4.3, 4.5),
    ),
}
#: Longest ratio of sides, and shortest contour [mm], for which oxyfuel and plasma limits hold (key: iso9013-reach).
REACH_RATIO = 4.0
REACH_CONTOUR_MM = 350.0


def squareness_mm(range_: int, thickness_mm: float) -> float:
    """Return the perpendicularity tolerance u of a range [1]_.

    Parameters
    ----------
    range_ : int
        Range, 1 (best) to 5.
    thickness_mm : float
        Plate thickness [mm]

    Returns
    -------
    float
        u = c0 + c1 a [mm].

    Raises
    ------
    CutplanError
        When the standard has no such range or class.

    References
    ----------
    .. [1] ISO 9013:2017 (source key ``iso9013``).
    """
    if range_ not in U_RANGES:
        raise CutplanError(
            say("ISO 9013 has no range {range} of squareness", range=range_), hint=say("use 1 to {last}", last=5)
        )
    c0, c1 = U_RANGES[range_]
    return c0 + c1 * thickness_mm


def roughness_um(range_: int, thickness_mm: float) -> float:
    """Return the roughness limit Rz5 of a range [1]_.

    Parameters
    ----------
    range_ : int
        Range, 1 (best) to 4.
    thickness_mm : float
        Plate thickness [mm]

    Returns
    -------
    float
        Rz5 = c0 + c1 a [um].

    Raises
    ------
    CutplanError
        When the standard has no such range or class.

    References
    ----------
    .. [1] ISO 9013:2017 (source key ``iso9013``).
    """
    if range_ not in RZ5_RANGES:
        raise CutplanError(
            say("ISO 9013 has no range {range} of roughness", range=range_), hint=say("use 1 to {last}", last=4)
        )
    c0, c1 = RZ5_RANGES[range_]
    return c0 + c1 * thickness_mm


def limit_deviation_mm(class_: int, thickness_mm: float, nominal_mm: float) -> float | None:
    """Return the limit deviation of a nominal dimension [1]_, or None where the table does not reach.

    Parameters
    ----------
    class_ : int
        Tolerance class, 1 or 2.
    thickness_mm : float
        Plate thickness [mm]; the rows kept here reach from above 1 to 15
    nominal_mm : float
        Nominal dimension [mm], up to 8000

    Returns
    -------
    float or None
        Plus and minus deviation [mm].

    Raises
    ------
    CutplanError
        When the standard has no such range or class.

    References
    ----------
    .. [1] ISO 9013:2017 (source key ``iso9013-limits``).
    """
    if class_ not in LIMITS:
        raise CutplanError(say("ISO 9013 has no tolerance class {class_}", class_=class_), hint=say("use 1 or 2"))
    if not 1.0 < thickness_mm <= ROWS_MM[-1] or not 0.0 < nominal_mm < COLUMNS_MM[-1]:
        return None
    row = next(i for i, end in enumerate(ROWS_MM) if thickness_mm <= end)
    column = next(i for i, end in enumerate(COLUMNS_MM) if nominal_mm < end)
    return LIMITS[class_][row][column]


def in_scope(process: str, thickness_mm: float) -> bool:
    """Return whether the standard covers a process at a thickness [mm] at all (sawing and waterjet: never)."""
    low, high = SCOPE_MM.get(process, (1.0, 0.0))
    return low <= thickness_mm <= high


def citation() -> Message:
    """Return how the tables of this file were seen."""
    return say("{source}; limits: {limits}", source=source_text("iso9013"), limits=source_text("iso9013-limits"))
