import io
from collections.abc import Callable, Iterator
from dataclasses import replace
from math import pi
from pathlib import Path

import ezdxf
import numpy as np
import pytest
import shapely
from cut_jobs import drawings, job_of, region_job, sample_holes
from oracles.file_bite import FINE_ARCS, file_bite
from random_plates import micro_plate, random_plate

from cutplan.cutting.files.classes import class_layer
from cutplan.cutting.files.drawings import net_layers, path_layers
from cutplan.cutting.kerf.coupon import kerf_coupon
from cutplan.cutting.path.moves import moves_of
from cutplan.cutting.plan import plan_cut
from cutplan.cutting.result import CutPlan
from cutplan.files.drawing_in import read_drawing
from cutplan.files.dxf.write import dxf_text
from cutplan.files.job.read import read_job
from cutplan.findings import errors
from cutplan.geometry.clearance import Clearance
from cutplan.geometry.contour import rectangle
from cutplan.geometry.region import Region
from cutplan.geometry.segment import Arc
from cutplan.pattern.job import Job
from cutplan.pattern.plate import Hole
from cutplan.pattern.shop import Shop

#: The job files of the samples.
SAMPLES = sorted((Path(__file__).resolve().parents[3] / "sample_parts").glob("*/job.toml"))


def job(**more):
    base = job_of(sample_holes(), **more)
    return replace(base, plate=replace(base.plate, steel="S355", quantity=3))


def notes_of(layers) -> str:
    return "\n".join(str(n.text) for layer in layers for n in layer.notes)


@pytest.mark.parametrize("version", ["R2000", "R12"])
@pytest.mark.parametrize("make", [net_layers, path_layers])
def test_files_pass_the_auditor(version, make) -> None:
    j = job(reference_square=True)
    doc = ezdxf.read(io.StringIO(dxf_text(make(j, plan_cut(j, Shop())), version=version)))
    audit = doc.audit()
    assert not audit.errors and not audit.fixes
    kinds = {e.dxftype() for e in doc.modelspace()}
    assert not kinds & {"SPLINE", "ELLIPSE", "INSERT", "HATCH"}
    assert ("LWPOLYLINE" in kinds) == (version == "R2000")


def test_each_file_says_which_it_is_so_that_no_one_compensates_twice() -> None:
    j = job()
    plan = plan_cut(j, Shop())
    net, path = notes_of(net_layers(j, plan)), notes_of(path_layers(j, plan))
    assert "NET" in net and "NOT taken off" in net and "let the table compensate" in net
    assert "PATH" in path and "taken off" in path and "compensation OFF" in path
    for text in (net, path):
        for word in (
            "1.50 mm (stated)",
            "unit mm",
            "thickness 5 mm",
            "steel S355",
            "quantity 3",
            "300.00 mm x 200.00 mm",
        ):
            assert word in text
        assert "H1: drill 11.0 mm at 40.00, 40.00, pilot 4 mm, M10, ISO 273 medium" in text


def test_trial_piece_says_that_it_is_not_compensated() -> None:
    coupon = kerf_coupon("air plasma", 5.0)
    assert "NOT taken off on purpose" in notes_of(path_layers(coupon.job, coupon.plan))


def test_net_file_holds_closed_contours_and_circles_of_the_shape_wanted() -> None:
    j = job()
    doc = ezdxf.read(io.StringIO(dxf_text(net_layers(j, plan_cut(j, Shop())))))
    outer = [e for e in doc.modelspace() if e.dxf.layer == "net outline"]
    inner = [e for e in doc.modelspace() if e.dxf.layer in ("net openings", "net slow holes")]
    assert len(outer) == 1 and outer[0].closed
    assert sorted(e.dxftype() for e in inner) == ["CIRCLE"] * 3 + ["LWPOLYLINE"] * 2
    assert sorted(round(e.dxf.radius, 3) for e in inner if e.dxftype() == "CIRCLE") == [7.0, 15.0, 40.0]
    assert doc.header["$INSUNITS"] == 4


def test_path_file_holds_one_line_a_cut_in_order_with_true_arcs() -> None:
    j = job()
    plan = plan_cut(j, Shop())
    layers = [layer for layer in path_layers(j, plan) if layer.name.startswith("path")]
    chains = [c for layer in layers for c in layer.chains]
    assert [layer.name for layer in layers][-1] == "path outline"
    assert [c[0].start for c in chains] == [p.pierce for p in plan.paths]
    radii = {round(s.radius, 3) for c in chains for s in c if isinstance(s, Arc) and abs(s.sweep) > 1.9 * pi}
    assert radii == {14.25, 39.25, 6.25}  # exact: half the kerf inside
    assert all(layer.contours == () for layer in layers)


def test_drilled_holes_are_marks_not_cuts() -> None:
    j = job()
    plan = plan_cut(j, Shop())
    marks = [layer for layer in path_layers(j, plan) if layer.name == "drill marks not cut"]
    assert [m.points for m in marks] == [(d.centre,) for d in plan.drilled] and all(m.contours == () for m in marks)
    # exact: a quarter longer than the hole, but no shorter than 6 mm
    assert [m.cross_mm for m in marks] == [max(6.0, 1.25 * d.diameter_mm) for d in plan.drilled]


def test_reference_square_only_on_request_and_exact() -> None:
    j = job(reference_square=True)
    plan = plan_cut(j, Shop())
    (layer,) = [layer for layer in net_layers(j, plan) if layer.name == "reference not cut"]
    box = layer.contours[0].box
    assert (box.width, box.height) == (pytest.approx(100.0), pytest.approx(100.0))
    assert box.xmin > plan.net.box.xmax
    assert "reference not cut" not in [layer.name for layer in net_layers(job(), plan)]


def test_hand_path_is_a_closed_saw_line() -> None:
    j = job(process="jigsaw", kerf_mm=None)
    layers = {layer.name: layer for layer in path_layers(j, plan_cut(j, Shop()))}
    assert len(layers["saw line outline"].contours) == 1
    assert "SAW LINE" in notes_of(layers.values())


@pytest.mark.parametrize("make", [net_layers, path_layers])
def test_no_segment_is_too_short_and_none_is_there_twice(make) -> None:
    j = job()
    seen = set()
    for layer in make(j, plan_cut(j, Shop())):
        if "not cut" in layer.name:
            continue
        for chain in (*layer.chains, *(c.segments for c in layer.contours)):
            for s in chain:
                assert s.length >= 0.1
                key = (*(round(v, 4) for p in sorted((s.start, s.end)) for v in p), round(s.length, 4))
                assert key not in seen
                seen.add(key)


def test_gdal_reads_the_same_shapes(tmp_path) -> None:
    pyogrio = pytest.importorskip("pyogrio")
    j = job()
    plan = plan_cut(j, Shop())
    file = tmp_path / "plate-net.dxf"
    file.write_text(dxf_text(net_layers(j, plan)))
    _, _, shapes, values = pyogrio.raw.read(file, columns=["Layer"])

    lines = [shapely.from_wkb(g) for g, layer in zip(shapes, values[0], strict=True) if layer.startswith("net")]
    areas = sorted(shapely.Polygon(line.coords).area for line in lines)
    ours = sorted(c.area for c in plan.net.contours)
    assert len(areas) == len(ours)
    for a, b in zip(areas, ours, strict=True):
        assert a == pytest.approx(b, rel=0.005)  # GDAL draws arcs as chords of 4 degrees


def test_layers_tell_what_the_table_must_do_for_each_class() -> None:
    j = job(overburn_mm=2.0)
    plan = plan_cut(j, Shop())
    layers = path_layers(j, plan)
    by_layer = {p.name: class_layer(p) for p in plan.paths}
    assert by_layer["outline"] == "path outline" and by_layer["H3"] == "path openings"
    assert by_layer["H4"] == "path slow holes"  # from memory: below 32 mm
    text = notes_of(layers)
    assert "path slow holes: 4 cuts, feed" in text and "kerf 1.50 mm" in text and "no overburn" in text
    names = {str(n.text) for layer in layers if layer.name == "names not cut" for n in layer.notes}
    assert names == {h.name for h in plan.cut_holes} | {d.name for d in plan.drilled}


def test_slow_spans_lie_on_the_path_round_every_tight_bend() -> None:
    j = job_of((Hole("Q", rectangle(100.0, 60.0, 60.0, 50.0).reversed()),))
    plan = plan_cut(j, Shop())
    (slow,) = [layer for layer in path_layers(j, plan) if layer.name == "slow spans not cut"]
    whole = Clearance([s for p in plan.paths for s in p.segments])
    spans = [s for chain in slow.chains for s in chain]
    assert float(whole.of_points(np.array([s.point_at(0.5) for s in spans]), 1.0).max()) < 1e-9
    square = next(p for p in plan.paths if p.name == "Q")
    hold = [m for m in moves_of(square, "air plasma") if m.hold]
    # exact: four corners, each from 6 mm before to 3 mm after
    assert sum(m.segment.length for m in hold) == pytest.approx(4.0 * 9.0)
    assert sum(m.segment.length for m in moves_of(square, "air plasma")) == pytest.approx(square.length_mm)
    assert not any(m.hold for m in moves_of(square, "laser"))


def test_the_header_tells_what_is_drawn() -> None:
    j = job()
    doc = ezdxf.read(io.StringIO(dxf_text(net_layers(j, plan_cut(j, Shop())))))
    low, high = doc.header["$EXTMIN"], doc.header["$EXTMAX"]
    assert low[0] <= 0.0 and high[0] >= 300.0 and -300.0 < low[1] < 0.0 and 200.0 <= high[1] < 400.0


def bite_of(job: Job, plan: CutPlan, folder: Path) -> float:
    """Deepest bite of the path as GDAL reads it from the file, judged without our code [mm]."""
    file = folder / "plate-path.dxf"
    file.write_text(dxf_text(path_layers(job, plan)))
    return file_bite(file, plan.net.contours, len(plan.paths), 0.5 * plan.kerf_mm)


@pytest.fixture
def fine_arcs(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """Let GDAL lay out arcs so finely that an arc of 6 m is met within 0.0002 mm."""
    pyogrio = pytest.importorskip("pyogrio")
    pyogrio.set_gdal_config_options(FINE_ARCS)
    yield
    pyogrio.set_gdal_config_options(dict.fromkeys(FINE_ARCS))


@pytest.mark.usefixtures("fine_arcs")
@pytest.mark.parametrize("seed", range(6))
def test_the_file_never_bites(seed: int, tmp_path: Path) -> None:
    for plate in (random_plate(seed), micro_plate(seed)):
        j = region_job(plate)
        plan = plan_cut(j, Shop())
        if plan.paths and not errors(plan.findings):
            assert bite_of(j, plan, tmp_path) <= 0.001


@pytest.mark.slow
@pytest.mark.usefixtures("fine_arcs")
@pytest.mark.parametrize("make", [random_plate, micro_plate])
def test_a_hundred_files_never_bite(make: Callable[[int], Region], tmp_path: Path) -> None:
    """A sample of what ``benchmarks/files_bite.py`` does with three hundred."""
    written = 0
    for seed in range(1000, 1050):
        j = region_job(make(seed))
        plan = plan_cut(j, Shop())
        if plan.paths and not errors(plan.findings):
            written += 1
            assert bite_of(j, plan, tmp_path) <= 0.001, seed
    assert written > 40


@pytest.mark.slow
@pytest.mark.usefixtures("fine_arcs")
@pytest.mark.parametrize("path", [*drawings(), *SAMPLES], ids=lambda p: f"{p.parent.name}-{p.stem}")
def test_the_files_of_real_drawings_and_samples_never_bite(path: Path, tmp_path: Path) -> None:
    if path.suffix == ".toml":
        j = read_job(path)
        j = replace(j, cutting=replace(j.cutting, process="air plasma", kerf_mm=1.5))
    else:
        j = region_job(read_drawing(path, units="mm", repair=True).parts[0].region)
    plan = plan_cut(j, Shop())
    if plan.paths and not errors(plan.findings):
        assert bite_of(j, plan, tmp_path) <= 0.001
