"""The travel at which tie rod and steering arm come into line: nearest roots of a quartic, both ways."""

from __future__ import annotations

import numpy as np

from cutplan.linkage.solved.side import Loop
from cutplan.linkage.solved.vectors import Floats

#: Newton steps that polish a root after the eigenvalues; the second changes nothing but the last digit.
_POLISH = 2
#: A root with an imaginary part beyond this share of its size is no root [-].
_REAL = 1e-6


def centre_polynomial(loop: Loop) -> Floats:
    """Return the coefficients of ``H**2`` over the travel, highest power first, shape (..., 5) [mm2/mm**n].

    ``H**2 = A**2 + B**2 - K**2`` (see :class:`cutplan.linkage.solved.side.Loop`) is zero where the rod and the arm are in line
    seen along the steering axis; beyond it nothing closes. Derived, exact.
    """
    a0, b0, a1, b1, q, r = loop.a0, loop.b0, loop.a1, loop.b1, loop.q, loop.r
    return np.stack(
        np.broadcast_arrays(
            -1.0 / (4.0 * r * r),
            -q / (r * r),
            a1 * a1 + b1 * b1 - (q / r) ** 2 - a0 / r,
            2.0 * (a0 * a1 + b0 * b1 - a0 * q / r),
            b0 * b0,
        ),
        axis=-1,
    )


def over_centre(loop: Loop) -> tuple[Floats, Floats]:
    """Return the nearest travels below and above straight ahead at which rod and arm are in line [mm], each (places,).

    The leading coefficient is negative and the last is ``b0**2``, so there is a root on either side of zero unless the
    linkage is in line straight ahead already; then both are zero.
    """
    poly = centre_polynomial(loop)
    size = np.maximum(loop.r, 1.0)
    with np.errstate(all="ignore"):
        lead = poly[..., :1]
        scaled = poly[..., 1:] / lead / np.stack([size, size**2, size**3, size**4], axis=-1)
        bad = ~np.isfinite(scaled).all(axis=-1)
        scaled = np.where(bad[..., None], 1.0, scaled)
        frame = np.zeros((*scaled.shape[:-1], 4, 4))
        frame[..., 0, :] = -scaled
        frame[..., 1, 0] = frame[..., 2, 1] = frame[..., 3, 2] = 1.0
        roots = np.linalg.eigvals(frame) * size[..., None]
    real = np.abs(roots.imag) <= _REAL * np.maximum(np.abs(roots), 1.0)
    x = roots.real
    above = np.where(real & (x > 0.0), x, np.inf).min(axis=-1)
    below = np.where(real & (x < 0.0), x, -np.inf).max(axis=-1)
    above, below = _polished(poly, above), _polished(poly, below)
    none = bad | ~(np.abs(loop.b0) > 0.0)
    return np.where(none, 0.0, below), np.where(none, 0.0, above)


def _polished(poly: Floats, x: Floats) -> Floats:
    c4, c3, c2, c1, c0 = (poly[..., i] for i in range(5))
    with np.errstate(all="ignore"):
        for _ in range(_POLISH):
            value = (((c4 * x + c3) * x + c2) * x + c1) * x + c0
            slope = ((4.0 * c4 * x + 3.0 * c3) * x + 2.0 * c2) * x + c1
            step = value / slope
            x = np.where(np.isfinite(step) & (np.abs(step) < 1e-3 * np.abs(x)), x - step, x)
    return x
