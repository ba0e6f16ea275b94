"""A rib as a beam on edge behind the plate: its stiffness at the places where it is fixed, its own height told."""

from __future__ import annotations

import numpy as np

from cutplan.fem.mesh import Floats, Ints, Mesh
from cutplan.welding.distortion.task import FixedBrace, Sheet

#: Fixings lie so far apart at least, in sizes of the mesh [1], and at most so many are made.
APART, MOST = 2.5, 12


def rib_fixings(mesh: Mesh, places: Floats) -> Ints:
    """Return the vertices at which a rib is fixed, from its start to its end; fewer than two where there is no room.

    Parameters
    ----------
    mesh : Mesh
        The plate.
    places : ndarray (n, 2)
        Places along the rib [mm].
    """
    size = float(np.sqrt(np.median(mesh.areas) / 0.433))
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(places, axis=0).T))])
    count = int(np.clip(along[-1] / (APART * size), 2, MOST))
    wanted = np.linspace(0.0, along[-1], count)
    spots = np.column_stack([np.interp(wanted, along, places[:, axis]) for axis in range(2)])
    return np.array(list(dict.fromkeys(mesh.nearest(spots).tolist())), dtype=np.int64)


def rib_bar(name: str, places: Floats, section_mm: tuple[float, float], sheet: Sheet) -> FixedBrace:
    r"""Return a rib as a beam fixed along its line to the plate.

    Its axis lies :math:`(h + d)/2` below the plate's middle surface, h thick the plate, d deep the rib, so that
    a place on the axis moves along by :math:`u + \frac{h + d}{2}\,\theta`; it bends about its own axis, twists as a thin
    strip, and is hinged about the upright axis.

    Parameters
    ----------
    name : str
        Name of the rib.
    places : ndarray (n, 2)
        Fixings [mm].
    section_mm : (float, float)
        Thickness and depth [mm].
    sheet : Sheet
        The plate: thickness and elastic constants.
    """
    thick, deep = section_mm
    modulus = sheet.modulus_N_per_mm2
    area, second, twisting = thick * deep, thick * deep**3 / 12.0, deep * thick**3 / 3.0
    shear = modulus / (2.0 * (1.0 + sheet.poisson))
    reach = 0.5 * (sheet.thickness_mm + deep)
    matrix = np.zeros((5 * len(places), 5 * len(places)))
    for i in range(len(places) - 1):
        run = places[i + 1] - places[i]
        length = float(np.hypot(*run))
        c, s = run / length
        rows = np.zeros((4, 10))
        along = np.array([c, s, 0.0, reach * c, reach * s])
        rows[0, :5], rows[0, 5:] = -along, along
        rows[1, 3:5] = rows[2, 8:10] = (c, s)
        rows[1:3, 2], rows[1:3, 7] = 1.0 / length, -1.0 / length
        rows[3, 3:5], rows[3, 8:10] = (s, -c), (-s, c)
        law = np.zeros((4, 4))
        law[0, 0] = modulus * area / length
        law[1:3, 1:3] = modulus * second / length * np.array([[4.0, 2.0], [2.0, 4.0]])
        law[3, 3] = shear * twisting / length
        at = slice(5 * i, 5 * i + 10)
        matrix[at, at] += rows.T @ law @ rows
    return FixedBrace(name, places, (True,) * len(places), matrix)
