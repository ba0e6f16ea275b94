"""The gear that keeps Ackermann geometry exactly: the judge of every departure computed by the package."""

from __future__ import annotations

from typing import Any

import numpy as np


def sliding_gear(travel: Any, depth_mm: float, lean: float) -> tuple[Any, Any]:
    """Return left and right steer angles [rad] of the gear whose arms slide through the ends of a cross bar.

    The arms point ahead and lean inward by ``lean``; each slides through a swivel on a bar that moves sideways ahead of
    the axle: ``tan(lean - left) = tan lean - t`` and ``tan(lean + right) = tan lean + t``, ``t = travel / depth``.
    With ``tan lean = pivots / (2 wheelbase)`` the wheels keep Ackermann geometry exactly, at every travel; so it is the
    judge of every departure computed here.

    Parameters
    ----------
    travel : ndarray
        Travel of the bar, positive where it turns the wheels to the left [mm].
    depth_mm : float
        Distance of the bar from the line of the steering axes [mm].
    lean : float
        Angle of an arm from straight ahead, inward, wheels straight ahead [rad].
    """
    t = np.asarray(travel, dtype=float) / depth_mm
    left = lean - np.arctan(np.tan(lean) - t)
    right = np.arctan(np.tan(lean) + t) - lean
    return np.asarray(left), np.asarray(right)
