"""Chords that stand for exact curves: only for questions put to GEOS, for meshes and for screens."""

from __future__ import annotations

from math import acos, ceil
from typing import TYPE_CHECKING

import numpy as np

from cutplan.errors import GeometryError
from cutplan.geometry.contour import Contour
from cutplan.geometry.region import Region
from cutplan.geometry.segment import TAU, Arc, Segment
from cutplan.geometry.vector import Point
from cutplan.tolerance import CHORD_MM

if TYPE_CHECKING:
    from shapely import Polygon

#: Fewest chords that may stand for a full circle, however coarse the tolerance.
FEWEST_CHORDS = 12


def chord_count(radius_mm: float, sweep_rad: float, chord_mm: float = CHORD_MM) -> int:
    """Return how many equal chords keep an arc within a tolerance.

    Parameters
    ----------
    radius_mm : float
        Radius of the arc [mm], above zero.
    sweep_rad : float
        Angle of the arc, either sign [rad].
    chord_mm : float
        Largest distance between arc and chord [mm], above zero.

    Returns
    -------
    int
        n = ceil(sweep / (2 acos(1 - chord / radius))), at least 12 for a full circle and 1 for any arc.

    Raises
    ------
    GeometryError
        When the tolerance is not above zero.
    """
    if not chord_mm > 0.0:
        raise GeometryError("the chord tolerance must be above zero", hint="use 0.001 mm")
    sweep = abs(sweep_rad)
    widest = TAU / FEWEST_CHORDS
    if chord_mm < radius_mm:
        widest = min(widest, 2.0 * acos(1.0 - chord_mm / radius_mm))
    # below a nanometre on a metre the arc cosine has no digits left
    widest = max(widest, 1e-7)
    return max(1, ceil(sweep / widest - 1e-9))


def flatten_segment(segment: Segment, chord_mm: float = CHORD_MM) -> list[Point]:
    """Return points on a segment, both ends included, whose chords stay within a tolerance [mm] of it."""
    if not isinstance(segment, Arc):
        return [segment.start, segment.end]
    n = chord_count(segment.radius, segment.sweep, chord_mm)
    inner = [segment.point_at(i / n) for i in range(1, n)]
    return [segment.start, *inner, segment.end]


def flatten(contour: Contour, chord_mm: float = CHORD_MM) -> list[Point]:
    """Return the vertices of a polygon inscribed in a contour, first vertex not repeated.

    Parameters
    ----------
    contour : Contour
        Closed contour.
    chord_mm : float
        Largest distance between an arc and its chord [mm].

    Returns
    -------
    list[Point]
        Vertices in the direction of travel [mm].
    """
    points: list[Point] = []
    for segment in contour.segments:
        points.extend(flatten_segment(segment, chord_mm)[:-1])
    return points


def flatten_array(contour: Contour, chord_mm: float = CHORD_MM) -> np.ndarray:
    """Return the same polygon as :func:`flatten` as an (n, 2) array [mm]; quick for many chords."""
    rows: list[np.ndarray] = []
    run: list[tuple[float, float]] = []
    for segment in contour.segments:
        run.append(segment.start)
        if isinstance(segment, Arc):
            n = chord_count(segment.radius, segment.sweep, chord_mm)
            if n > 1:
                rows.append(np.asarray(run))
                run = []
                angle = segment.start_angle + segment.sweep * np.arange(1, n) / n
                inner = np.empty((n - 1, 2))
                inner[:, 0] = segment.centre.x + segment.radius * np.cos(angle)
                inner[:, 1] = segment.centre.y + segment.radius * np.sin(angle)
                rows.append(inner)
    if run:
        rows.append(np.asarray(run))
    return np.concatenate(rows)


def to_shapely(shape: Region | Contour, chord_mm: float = CHORD_MM) -> Polygon:
    """Return a GEOS polygon inscribed in a region (with its holes) or in a contour (filled).

    Parameters
    ----------
    shape : Region or Contour
        Exact shape.
    chord_mm : float
        Largest distance between an arc and its chord [mm].

    Returns
    -------
    shapely.Polygon
        Polygon [mm]. Shapely is loaded here, not when this module is imported.
    """
    from shapely import Polygon

    if isinstance(shape, Contour):
        return Polygon(flatten_array(shape, chord_mm))
    return Polygon(flatten_array(shape.outer, chord_mm), [flatten_array(h, chord_mm) for h in shape.holes])
