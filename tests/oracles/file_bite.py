"""The deepest bite of a torch path as GDAL reads it from its file: the disc is swept along what stands there."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import Any

import shapely

from oracles.swept_disc import bite_mm, points_of, rows

#: Settings of GDAL with which an arc of 6 m is met within 0.0002 mm.
FINE_ARCS = {"OGR_ARC_STEPSIZE": "0.03", "OGR_ARC_MAX_GAP": "0"}


def file_bite(file: Path, net: Iterable[Any], paths: int, half_mm: float) -> float:
    """Return how deep half a kerf around the paths of a file cuts into the part between net contours [mm].

    Parameters
    ----------
    file : Path
        The drawing of the path.
    net : iterable
        Contours of the part, the outline first; only their ends and sweeps are read.
    paths : int
        Number of paths that must stand in the file.
    half_mm : float
        Half of the kerf [mm].
    """
    import pyogrio

    _, _, shapes, values = pyogrio.raw.read(file, columns=["Layer"])
    lines = [shapely.from_wkb(g) for g, layer in zip(shapes, values[0], strict=True) if layer.startswith("path")]
    assert len(lines) == paths
    rings = [points_of(rows(c), closed=True) for c in net]
    return bite_mm(shapely.Polygon(rings[0], rings[1:]), [list(line.coords) for line in lines], half_mm)
