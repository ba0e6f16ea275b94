"""Temperature from heat released along lines: in a wide sheet, and in an insert whose edges let no heat out."""

from __future__ import annotations

from math import pi

import numpy as np
from numpy.typing import NDArray

from cutplan.tables.steel import CARBON_STEEL, SteelProperties

Floats = NDArray[np.float64]

#: Heat lost by each face near room temperature, air and radiation together [W/(m2 K)] (from memory: 5 to 25).
SURFACE_W_PER_M2K = 15.0


def sheet_rise_K(
    places: Floats,
    times_s: Floats,
    sources: Floats,
    source_times_s: Floats,
    heats_J: Floats,
    thickness_mm: float,
    steel: SteelProperties = CARBON_STEEL,
    loss_W_per_m2K: float = SURFACE_W_PER_M2K,
) -> Floats:
    r"""Return the rise at places and times from heat released along lines through a wide sheet [1]_.

    .. math:: \Delta T = \sum_i \frac{Q_i}{4 \pi k h (t - \tau_i)}
              e^{-r_i^2 / 4 a (t - \tau_i)} e^{-\beta (t - \tau_i)}, \qquad \beta = \frac{2 h_c}{\rho c h}

    Parameters
    ----------
    places : ndarray (m, 2)
        Places [mm]
    times_s : ndarray (m,)
        Time at each place [s]
    sources : ndarray (n, 2)
        Places of release [mm]
    source_times_s : ndarray (n,)
        Times of release; later ones than ``times_s`` count nothing [s]
    heats_J : ndarray (n,)
        Heat released at each [J]
    thickness_mm : float
        Sheet thickness h [mm]
    steel : SteelProperties
        Properties
    loss_W_per_m2K : float
        Heat lost by each face h_c [W/(m2 K)]

    Returns
    -------
    ndarray (m,)
        Temperature rise [K]

    Notes
    -----
    Infinite sheet, constant properties, loss in proportion to the rise. A moving arc is the sum over pieces of its
    bead, each released when the arc passes.

    References
    ----------
    .. [1] Instantaneous line source in a plate (Carslaw and Jaeger, Rosenthal; from memory).
    """
    since = times_s[:, None] - source_times_s[None, :]
    on = since > 0.0
    since = np.where(on, since, 1.0)
    square = (places[:, None, 0] - sources[None, :, 0]) ** 2 + (places[:, None, 1] - sources[None, :, 1]) ** 2
    loss = _loss_per_s(thickness_mm, steel, loss_W_per_m2K)
    a = steel.diffusivity_mm2_per_s
    rise = (
        heats_J
        / (4.0 * pi * steel.conductivity_W_per_mmK * thickness_mm * since)
        * np.exp(-square / (4.0 * a * since) - loss * since)
    )
    return np.asarray(np.where(on, rise, 0.0).sum(axis=1), dtype=np.float64)


def insert_rise_K(
    places: Floats,
    times_s: Floats,
    sources: Floats,
    source_times_s: Floats,
    heats_J: Floats,
    box: tuple[float, float, float, float],
    thickness_mm: float,
    steel: SteelProperties = CARBON_STEEL,
    loss_W_per_m2K: float = SURFACE_W_PER_M2K,
) -> Floats:
    r"""Return the rise in an insert whose edges let no heat out [1]_.

    .. math:: \Delta T = \sum_i \frac{Q_i}{\rho c\, h}\, G(x, x_i)\, G(y, y_i)\, e^{-\beta (t - \tau_i)}

    Parameters
    ----------
    places : ndarray (m, 2)
        Places [mm]
    times_s : ndarray (m,)
        Time at each place [s]
    sources : ndarray (n, 2)
        Places of release [mm]
    source_times_s : ndarray (n,)
        Times of release [s]
    heats_J : ndarray (n,)
        Heat released at each into the insert [J]
    box : (float, float, float, float)
        x and y of the lower left, width and height [mm]
    thickness_mm : float
        Thickness [mm]
    steel : SteelProperties
        Properties
    loss_W_per_m2K : float
        Heat lost by each face [W/(m2 K)]

    Returns
    -------
    ndarray (m,)
        Temperature rise [K]

    Notes
    -----
    Rectangle with insulated edges, G the one-dimensional kernel of images (short times) or of cosines (long times).

    References
    ----------
    .. [1] Product solution for a rectangle (Carslaw and Jaeger; from memory).
    """
    since = times_s[:, None] - source_times_s[None, :]
    on = since > 0.0
    since = np.where(on, since, 1.0)
    x0, y0, width, height = box
    spread = steel.diffusivity_mm2_per_s * since
    gx = _insulated(np.clip(places[:, 0] - x0, 0.0, width), np.clip(sources[:, 0] - x0, 0.0, width), width, spread)
    gy = _insulated(np.clip(places[:, 1] - y0, 0.0, height), np.clip(sources[:, 1] - y0, 0.0, height), height, spread)
    loss = _loss_per_s(thickness_mm, steel, loss_W_per_m2K)
    rise = heats_J / (steel.heat_capacity_J_per_mm3K * thickness_mm) * gx * gy * np.exp(-loss * since)
    return np.asarray(np.where(on, rise, 0.0).sum(axis=1), dtype=np.float64)


def _loss_per_s(thickness_mm: float, steel: SteelProperties, loss_W_per_m2K: float) -> float:
    return 2.0 * loss_W_per_m2K * 1e-6 / (steel.heat_capacity_J_per_mm3K * thickness_mm)


def _insulated(x: Floats, s: Floats, width: float, spread: Floats) -> Floats:
    """Kernel of heat on a line of a width with insulated ends [1/mm]; ``spread`` is diffusivity times time [mm2]."""
    early = spread < 0.15 * width * width
    if early.all():
        return _of_images(x[:, None], s[None, :], width, spread)
    if not early.any():
        return _of_cosines(x[:, None], s[None, :], width, spread)
    out = np.empty_like(spread)
    for some, kernel in ((early, _of_images), (~early, _of_cosines)):
        rows, columns = np.nonzero(some)
        out[rows, columns] = kernel(x[rows], s[columns], width, spread[rows, columns])
    return out


def _of_images(at: Floats, near: Floats, width: float, far: Floats) -> Floats:
    """The kernel at short times, of arrays that go together."""
    off = np.concatenate([np.array([at - near, at + near]) + 2.0 * m * width for m in (-1, 0, 1)])
    return np.asarray(np.exp(-(off**2) / (4.0 * far)).sum(axis=0) / np.sqrt(4.0 * pi * far))


def _of_cosines(at: Floats, near: Floats, width: float, far: Floats) -> Floats:
    """The kernel at long times, of arrays that go together."""
    total = np.ones_like(far)
    for n in range(1, 7):
        k = n * pi / width
        total += 2.0 * np.cos(k * at) * np.cos(k * near) * np.exp(-k * k * far)
    return np.asarray(total / width)
