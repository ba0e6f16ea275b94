"""The disc's own geometry: the chord it cuts when plunged, and how far the face is cut beyond the back."""

from __future__ import annotations

from math import sqrt

from cutplan.errors import LimitError


def chord_mm(diameter_mm: float, depth_mm: float) -> float:
    """Return the length that a disc plunged straight in cuts on the face: 2 sqrt(d (D - d)).

    Parameters
    ----------
    diameter_mm : float
        Disc diameter D [mm].
    depth_mm : float
        Depth d below the face [mm], 0 to D.

    Returns
    -------
    float
        Length of the slot on the face [mm].

    Raises
    ------
    LimitError
        When the depth is negative or above the diameter.

    Notes
    -----
    Exact: the chord of a circle of diameter D at height d (Euclid, Elements III.35: half the chord squared is
    d (D - d)).
    """
    if not 0.0 <= depth_mm <= diameter_mm:
        raise LimitError(
            "a disc cannot be plunged that deep",
            where=f"depth {depth_mm:g} mm, disc {diameter_mm:g} mm",
            hint="use a depth between 0 and the disc's diameter",
        )
    return 2.0 * sqrt(depth_mm * (diameter_mm - depth_mm))


def run_out_mm(diameter_mm: float, depth_mm: float, thickness_mm: float) -> float:
    """Return how far the slot on the face runs beyond the place where the skin is cut right through.

    Parameters
    ----------
    diameter_mm : float
        Disc diameter [mm].
    depth_mm : float
        Depth below the face [mm], at least the skin's thickness.
    thickness_mm : float
        Skin thickness [mm].

    Returns
    -------
    float
        Half the chord on the face less half the chord on the back [mm].

    Raises
    ------
    LimitError
        When the disc does not come through the skin.

    Notes
    -----
    Exact, from the chord at the depth of the face and of the back.
    """
    if depth_mm < thickness_mm:
        raise LimitError(
            "the disc does not come through the skin",
            where=f"depth {depth_mm:g} mm, skin {thickness_mm:g} mm",
            hint="go deeper than the skin is thick",
        )
    return 0.5 * (chord_mm(diameter_mm, depth_mm) - chord_mm(diameter_mm, depth_mm - thickness_mm))
