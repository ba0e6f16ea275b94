"""The documents of a job read back with other programs than their writer: GDAL for DXF, pdfium and pypdf for PDF."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest

from cutplan.files.job.read import read_job
from cutplan.pattern.opening import opening_line
from cutplan.project.make import make

ROOT = Path(__file__).parents[2]
SAMPLES = sorted(p.parent for p in (ROOT / "sample_parts").glob("*/job.toml"))
MM_PER_POINT = 25.4 / 72.0

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Iterator[dict[str, Path]]:
    """The drawn and printed documents of all samples."""
    base = tmp_path_factory.mktemp("made")
    for job in SAMPLES:
        make(job, base / job.name, ["plate-net", "plate-path", "opening", "templates"])
    yield {job.name: base / job.name for job in SAMPLES}


def layers(path: Path) -> dict[str, list[object]]:
    """Shapes of a DXF by layer, read by GDAL with arcs stroked finely."""
    import pyogrio
    import shapely

    pyogrio.set_gdal_config_options({"OGR_ARC_STEPSIZE": "0.05"})
    meta, _, geometry, fields = pyogrio.raw.read(path)
    names = fields[list(meta["fields"]).index("Layer")]
    out: dict[str, list[object]] = {}
    for name, shape in zip(names, shapely.from_wkb(geometry), strict=True):
        out.setdefault(name, []).append(shape)
    return out


def closed_areas(shapes: list[object]) -> list[float]:
    """Areas of the closed lines among shapes, largest first."""
    import shapely

    out = []
    for shape in shapes:
        for part in shapely.get_parts(shape):
            points = shapely.get_coordinates(part)
            if part.geom_type == "LineString" and len(points) > 3 and np.hypot(*(points[0] - points[-1])) < 1e-6:
                out.append(float(shapely.Polygon(points).area))
            elif part.geom_type == "Polygon":
                out.append(float(part.area))
    return sorted(out, reverse=True)


@pytest.mark.parametrize("name", [p.name for p in SAMPLES])
def test_net_outline_is_the_plate(made: dict[str, Path], name: str) -> None:
    """Exact within the chords that GDAL makes of arcs: the largest closed line is the plate's outline."""
    plate = read_job(ROOT / "sample_parts" / name).plate
    found = layers(made[name] / "plate-net.dxf")
    largest = max(closed_areas(shapes)[0] for shapes in found.values() if closed_areas(shapes))
    assert largest == pytest.approx(plate.outline.area, rel=2e-5)


@pytest.mark.parametrize("name", [p.name for p in SAMPLES])
def test_opening_line_is_the_opening(made: dict[str, Path], name: str) -> None:
    line = opening_line(read_job(ROOT / "sample_parts" / name))
    found = layers(made[name] / "opening.dxf")
    areas = [a for shapes in found.values() for a in closed_areas(shapes)]
    assert min(abs(a / line.area - 1.0) for a in areas) < 2e-5


@pytest.mark.parametrize("name", [p.name for p in SAMPLES])
def test_auditor_finds_nothing_and_the_unit_is_millimetres(made: dict[str, Path], name: str) -> None:
    import ezdxf

    for file in ("plate-net.dxf", "plate-path.dxf", "opening.dxf"):
        doc = ezdxf.readfile(made[name] / file)
        assert not doc.audit().errors
        assert doc.header["$INSUNITS"] == 4
        kinds = {e.dxftype() for e in doc.modelspace()}
        assert kinds <= {"LWPOLYLINE", "CIRCLE", "ARC", "LINE", "POINT", "TEXT", "MTEXT"}, kinds


@pytest.mark.parametrize("name", [p.name for p in SAMPLES])
def test_sheets_are_the_paper_asked_for_and_not_to_be_scaled(made: dict[str, Path], name: str) -> None:
    """Published: ISO 216 and ANSI Y14.1 sheet sizes in points of 1/72 inch (ISO 32000-1)."""
    import pypdf
    import pypdfium2

    paper = read_job(ROOT / "sample_parts" / name).paper
    path = made[name] / "templates.pdf"
    sizes = sorted((paper.width_mm, paper.height_mm))
    document = pypdfium2.PdfDocument(path)
    for page in document:
        assert sorted(v * MM_PER_POINT for v in page.get_size()) == pytest.approx(sizes, abs=0.01)
    document.close()
    reader = pypdf.PdfReader(path)
    root = reader.trailer["/Root"]
    assert root["/ViewerPreferences"]["/PrintScaling"] == "/None"
    assert all("/UserUnit" not in page for page in reader.pages)
    for page in reader.pages:
        for font in page["/Resources"].get("/Font", {}).values():
            descriptor = font.get_object()
            descriptor = descriptor.get("/FontDescriptor") or descriptor["/DescendantFonts"][0]["/FontDescriptor"]
            assert any(k.startswith("/FontFile") for k in descriptor.get_object()), "a font is not embedded"


def test_the_main_samples_figures_are_those_of_its_files(tmp_path: Path) -> None:
    """The summary speaks of the files beside it: pages and pierces counted in the files themselves."""
    import ezdxf
    import pypdf

    out = tmp_path / "out"
    make(ROOT / "sample_parts" / "van-nose-mount", out)
    summary = json.loads((out / "summary.json").read_text())
    assert summary["templates"]["pages"] == len(pypdf.PdfReader(out / "templates.pdf").pages)
    doc = ezdxf.readfile(out / "plate-path.dxf")
    pierce_layers = [e for e in doc.modelspace() if "pierce" in e.dxf.layer.lower()]
    if pierce_layers:
        points = [e for e in pierce_layers if e.dxftype() in ("POINT", "CIRCLE")]
        assert summary["cut"]["pierces"] == len(points)
