import io
from dataclasses import replace
from math import pi

import ezdxf
import pytest
from cut_jobs import job_of, sample_holes

from cutplan.cutting.files.drawings import net_layers, path_layers
from cutplan.cutting.kerf.coupon import kerf_coupon
from cutplan.cutting.plan import plan_cut
from cutplan.files.dxf.write import dxf_text
from cutplan.geometry.segment import Arc
from cutplan.pattern.shop import Shop


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
    outer = [e for e in doc.modelspace() if e.dxf.layer == "net outer"]
    inner = [e for e in doc.modelspace() if e.dxf.layer == "net inner"]
    assert len(outer) == 1 and outer[0].closed
    assert sorted(e.dxftype() for e in inner) == ["CIRCLE"] * 3 + ["LWPOLYLINE"] * 2
    assert sorted(round(e.dxf.radius, 3) for e in inner if e.dxftype() == "CIRCLE") == [7.0, 15.0, 40.0]
    assert doc.header["$INSUNITS"] == 4


def test_path_file_holds_one_line_a_cut_in_order_with_true_arcs() -> None:
    j = job()
    plan = plan_cut(j, Shop())
    layers = {layer.name: layer for layer in path_layers(j, plan)}
    chains = [*layers["path inner"].chains, *layers["path outer"].chains]
    assert [c[0].start for c in chains] == [p.pierce for p in plan.paths]
    radii = {round(s.radius, 3) for c in chains for s in c if isinstance(s, Arc) and abs(s.sweep) > 1.9 * pi}
    assert radii == {14.25, 39.25, 6.25}  # exact: half the kerf inside
    assert layers["path outer"].contours == ()


def test_drilled_holes_are_marks_not_cuts() -> None:
    j = job()
    plan = plan_cut(j, Shop())
    marks = next(layer for layer in path_layers(j, plan) if layer.name == "drill marks")
    assert marks.points == tuple(d.centre for d in plan.drilled) and marks.contours == ()


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
    assert len(layers["saw line outer"].contours) == 1
    assert "SAW LINE" in notes_of(layers.values())


@pytest.mark.parametrize("make", [net_layers, path_layers])
def test_no_segment_is_too_short_and_none_is_there_twice(make) -> None:
    j = job()
    seen = set()
    for layer in make(j, plan_cut(j, Shop())):
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
    import shapely

    lines = [shapely.from_wkb(g) for g, layer in zip(shapes, values[0], strict=True) if layer.startswith("net")]
    areas = sorted(shapely.Polygon(line.coords).area for line in lines)
    ours = sorted(c.area for c in plan.net.contours)
    assert len(areas) == len(ours)
    for a, b in zip(areas, ours, strict=True):
        assert a == pytest.approx(b, rel=0.005)  # GDAL draws arcs as chords of 4 degrees
