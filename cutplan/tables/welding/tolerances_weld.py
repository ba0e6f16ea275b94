"""Tolerances of welded work: extracts of ISO 13920 and ISO 5817."""

from __future__ import annotations

from cutplan.errors import CutplanError

#: ISO 13920:1996 table 1: upper end of the size range [mm] -> +/- tolerance [mm] for classes A, B, C, D.
LINEAR: tuple[tuple[float, dict[str, float]], ...] = (
    (30.0, {"A": 1.0, "B": 1.0, "C": 1.0, "D": 1.0}),
    (120.0, {"A": 1.0, "B": 2.0, "C": 3.0, "D": 4.0}),
    (400.0, {"A": 1.0, "B": 2.0, "C": 4.0, "D": 7.0}),
    (1000.0, {"A": 2.0, "B": 3.0, "C": 6.0, "D": 9.0}),
    (2000.0, {"A": 3.0, "B": 4.0, "C": 8.0, "D": 12.0}),
    (4000.0, {"A": 4.0, "B": 6.0, "C": 11.0, "D": 16.0}),
)
#: ISO 13920:1996 table 3: upper end of the longer side [mm] -> tolerance [mm]. E, F second hand; G, H from memory.
FLATNESS: tuple[tuple[float, dict[str, float]], ...] = (
    (120.0, {"E": 0.5, "F": 1.0, "G": 1.5, "H": 2.5}),
    (400.0, {"E": 1.0, "F": 1.5, "G": 3.0, "H": 5.0}),
    (1000.0, {"E": 1.5, "F": 3.0, "G": 5.5, "H": 9.0}),
    (2000.0, {"E": 2.0, "F": 4.5, "G": 9.0, "H": 14.0}),
    (4000.0, {"E": 3.0, "F": 6.0, "G": 11.0, "H": 18.0}),
)


def _from(table: tuple[tuple[float, dict[str, float]], ...], size_mm: float, letter: str, where: str) -> float:
    if size_mm > table[-1][0]:
        raise CutplanError(f"{size_mm:g} mm is beyond the table ({table[-1][0]:g} mm)", where=where)
    for upper, classes in table:
        if size_mm <= upper:
            try:
                return classes[letter]
            except KeyError:
                raise CutplanError(
                    f"no tolerance class {letter!r}", where=where, hint=f"use one of {', '.join(classes)}"
                ) from None
    raise AssertionError("unreachable")  # pragma: no cover


def linear_tolerance_mm(size_mm: float, letter: str = "B") -> float:
    """Return the +/- tolerance of a length after welding [1]_.

    Parameters
    ----------
    size_mm : float
        Nominal length, 2 to 4000 [mm]
    letter : str
        Tolerance class, A to D

    Returns
    -------
    float
        Tolerance, to either side [mm]

    References
    ----------
    .. [1] ISO 13920:1996, table 1 (second hand).
    """
    return _from(LINEAR, size_mm, letter, "ISO 13920 lengths")


def flatness_tolerance_mm(longer_side_mm: float, letter: str = "F") -> float:
    """Return the tolerance of straightness, flatness and parallelism after welding [1]_.

    Parameters
    ----------
    longer_side_mm : float
        Longer side of the surface, 30 to 4000; smaller ones get the first row [mm]
    letter : str
        Tolerance class, E to H

    Returns
    -------
    float
        Tolerance [mm]

    References
    ----------
    .. [1] ISO 13920:1996, table 3 (classes E and F second hand, G and H from memory).
    """
    return _from(FLATNESS, longer_side_mm, letter, "ISO 13920 flatness")


def fillet_root_gap_limit_mm(throat_mm: float, thickness_mm: float, level: str = "C") -> float:
    """Return the gap allowed between the parts of a fillet or lap weld [1]_.

    Parameters
    ----------
    throat_mm : float
        Throat of the fillet [mm]
    thickness_mm : float
        Thickness of the thinner part [mm]
    level : str
        Quality level, B, C or D

    Returns
    -------
    float
        Gap allowed [mm]

    References
    ----------
    .. [1] ISO 5817; above 3 mm as printed for EN 25817 (second hand), up to 3 mm from memory.
    """
    if thickness_mm > 3.0:
        base, share, most = {"B": (0.5, 0.1, 2.0), "C": (0.5, 0.2, 3.0), "D": (1.0, 0.3, 4.0)}[level]
    else:
        base, share, most = {"B": (0.2, 0.1, 2.0), "C": (0.3, 0.1, 3.0), "D": (0.5, 0.1, 4.0)}[level]
    return min(base + share * throat_mm, most)
