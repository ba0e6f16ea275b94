"""The samples' own drawings against another parser and another library: size, net area and holes."""

from __future__ import annotations

from collections.abc import Iterator
from math import pi
from pathlib import Path

import pytest
import shapely
from oracles.file_bite import FINE_ARCS
from shapely.ops import polygonize, unary_union

from cutplan.files.drawing_in import read_drawing

DRAWINGS = sorted((Path(__file__).parents[3] / "sample_parts").glob("*/plate.dxf"))


@pytest.fixture(autouse=True)
def fine_arcs() -> Iterator[None]:
    pyogrio = pytest.importorskip("pyogrio")
    pyogrio.set_gdal_config_options(FINE_ARCS)
    yield
    pyogrio.set_gdal_config_options(dict.fromkeys(FINE_ARCS))


@pytest.mark.parametrize("path", DRAWINGS, ids=lambda p: p.parent.name)
def test_a_sample_is_read_as_another_library_measures_it(path: Path) -> None:
    pyogrio = pytest.importorskip("pyogrio")
    shapes = [shapely.from_wkb(g) for g in pyogrio.raw.read(path, columns=["Layer"])[2]]
    lines = [s for s in shapes if s.geom_type in ("LineString", "MultiLineString")]
    plate = max(polygonize(unary_union([shapely.set_precision(s, 1e-5) for s in lines])), key=lambda p: p.envelope.area)
    drawing = read_drawing(path)
    mm, part = drawing.units.mm_per_unit, drawing.as_dict()["parts"][0]
    assert part["net_area_mm2"] == pytest.approx(plate.area * mm * mm, rel=1e-5)
    x0, y0, x1, y1 = plate.bounds
    assert part["size_mm"] == pytest.approx([(x1 - x0) * mm, (y1 - y0) * mm], abs=2e-3)
    assert len(part["holes"]) == len(plate.interiors)
    for hole in part["holes"]:
        # exact: a circle's area is pi d^2 / 4
        if hole["kind"] == "round":
            across = [2.0 * mm * (shapely.Polygon(r).area / pi) ** 0.5 for r in plate.interiors]
            assert min(abs(d - hole["diameter_mm"]) for d in across) < 1e-3
