"""Several parts on one sheet: apart, on the stock, inner before outer, proved; the same bytes again."""

import itertools
import json
from dataclasses import replace
from pathlib import Path

import pytest
import shapely
from cut_jobs import job_of, round_hole
from oracles.rs274 import run

from cutplan.cutting.nest.drawings import remnant_layers
from cutplan.cutting.nest.fill import spot_for
from cutplan.cutting.nest.lay import lay
from cutplan.cutting.nest.parts import TRIAL, Part, Placed, Room, Stock, part_said
from cutplan.cutting.nest.sheet_file import fingerprint, kept_sheets, sheet_text
from cutplan.cutting.nest.sheet_plan import SheetPlan, plan_sheet
from cutplan.cutting.plan import plan_cut
from cutplan.errors import JobError, UsageError
from cutplan.files.dxf.write import dxf_text
from cutplan.geometry.contour import circle_contour, polygon, rectangle
from cutplan.geometry.flatten import to_shapely
from cutplan.geometry.region import Region
from cutplan.geometry.vector import Point
from cutplan.pattern.shop import Shop
from cutplan.project.sheet import Order, make_sheets, stock
from cutplan.texts import Reader, say

ROOM = Room(9.0, 10.0)
SHEET = Stock(Region(rectangle(0.0, 0.0, 700.0, 400.0)), True)


def part(name: str, quantity: int, outline, *holes) -> Part:
    return Part(name, plan_cut(job_of(holes, outline=outline, thickness_mm=4.0), Shop()), quantity)


def pdf_words(data: bytes) -> str:
    """Return the text of a PDF, read by another library."""
    import pypdfium2

    document = pypdfium2.PdfDocument(data)
    return " ".join(" ".join(page.get_textpage().get_text_bounded().split()) for page in document)


@pytest.fixture(scope="module")
def parts() -> list[Part]:
    return [
        part("frame", 2, rectangle(0.0, 0.0, 220.0, 160.0, 10.0), round_hole("H1", 80.0, 80.0, 120.0)),
        part("gusset", 5, polygon([(0.0, 0.0), (70.0, 0.0), (0.0, 50.0)])),
        part("washer", 6, circle_contour(Point(0.0, 0.0), 18.0), round_hole("H1", 0.0, 0.0, 12.0)),
    ]


@pytest.fixture(scope="module")
def sheet(parts: list[Part]) -> SheetPlan:
    (placed,) = lay(parts, [SHEET], ROOM, seconds=1)
    return plan_sheet(parts, placed, SHEET, ROOM, 3.0)


def test_every_copy_lies_apart_and_on_the_stock(parts: list[Part], sheet: SheetPlan) -> None:
    assert sorted(p.part for p in sheet.placed) == [0] * 2 + [1] * 5 + [2] * 6
    shapes = [to_shapely(n, 0.001) for n in sheet.nets]
    for a, b in itertools.combinations(shapes, 2):
        assert a.distance(b) >= ROOM.spacing_mm - 0.01
    stock = shapely.box(0.0, 0.0, 700.0, 400.0).boundary
    assert min(s.distance(stock) for s in shapes) >= ROOM.border_mm - 0.01
    assert sheet.proof.proved and sheet.findings == ()


def test_small_copies_lie_in_big_holes_and_are_cut_before_them(parts: list[Part], sheet: SheetPlan) -> None:
    inside = [n for n, p in enumerate(sheet.placed) if p.host >= 0]
    assert len(inside) >= 2 and {sheet.placed[n].part for n in inside} <= {1, 2}
    done: dict[int, int] = {}
    for at, cut in enumerate(sheet.cuts):
        if not cut.path.inner:
            done[cut.copy] = at
    for at, cut in enumerate(sheet.cuts):
        if cut.path.inner:
            assert at < done[cut.copy]
            for n in inside:
                if sheet.placed[n].host == cut.copy and cut.path.contour.contains(
                    sheet.nets[n].outer.segments[0].start
                ):
                    assert done[n] < at


def test_yield_and_remnant(parts: list[Part], sheet: SheetPlan) -> None:
    area = sum(parts[p.part].net.area for p in sheet.placed)
    assert sheet.used == pytest.approx(area / 280_000.0)  # exact
    assert sheet.remnant is not None
    assert len(sheet.remnant.holes) == sum(p.host < 0 for p in sheet.placed)
    left = to_shapely(sheet.remnant, 0.01)
    for path in (c.path for c in sheet.cuts):
        for s in path.cut:
            assert left.distance(shapely.Point(s.point_at(0.5))) >= 0.5 * 1.5  # clear of the kerf


def test_the_remnant_of_a_full_sheet_is_read_as_stock(tmp_path: Path, sheet: SheetPlan) -> None:
    places = [(240.0 + 60.0 * (k % 6), 10.0 + 95.0 * (k // 6)) for k in range(24)]
    step = polygon([(10.0, 10.0), (225.0, 10.0), (225.0, 250.0), (150.0, 250.0), (150.0, 350.0), (10.0, 350.0)])
    cut = [step, *(rectangle(x, y, 50.0, 80.0) for x, y in places)]
    holes = tuple(c.reversed() for c in cut)
    left = Region(rectangle(0.0, 0.0, 600.0, 400.0), holes)
    path = tmp_path / "remnant.dxf"
    path.write_text(dxf_text(remnant_layers(replace(sheet, remnant=left), say("remnant"))))
    read = stock(str(path))
    assert len(read.shape.holes) == 25 and not read.rectangle
    assert read.shape.area == pytest.approx(left.area)  # exact


@pytest.mark.slow
def test_a_remnant_of_any_shape_is_filled_by_our_own_step(parts: list[Part], sheet: SheetPlan) -> None:
    assert sheet.remnant is not None
    stock = Stock(sheet.remnant, False)
    small = [Part(parts[1].name, parts[1].plan, 4)]
    (placed,) = lay(small, [stock], ROOM)
    plan = plan_sheet(small, placed, stock, ROOM, 3.0)
    assert len(plan.placed) == 4 and plan.proof.proved
    left = to_shapely(sheet.remnant, 0.001)
    assert all(left.contains(to_shapely(n, 0.001)) for n in plan.nets)


def test_held_to_the_rolling_direction(parts: list[Part]) -> None:
    (placed,) = lay(parts, [SHEET], ROOM, "rolling", seconds=1)
    assert {round(p.turn_deg) % 180 for p in placed} == {0}


@pytest.mark.slow
def test_more_than_one_sheet_and_none_at_all(parts: list[Part]) -> None:
    tight = Stock(Region(rectangle(0.0, 0.0, 260.0, 190.0)), True)
    sheets = lay(parts, [tight], ROOM, seconds=1)
    assert len(sheets) >= 2 and sum(len(s) for s in sheets) == 13
    tiny = Stock(Region(rectangle(0.0, 0.0, 200.0, 150.0)), True)
    with pytest.raises(JobError, match="fits on no empty sheet"):
        lay(parts[:1], [tiny], ROOM, seconds=1)


def test_a_remnant_is_there_once_and_the_next_sheet_takes_the_rest(parts: list[Part]) -> None:
    gussets = [Part(parts[1].name, parts[1].plan, 8)]
    corner = Region(polygon([(0.0, 0.0), (250.0, 0.0), (250.0, 90.0), (120.0, 90.0), (120.0, 130.0), (0.0, 130.0)]))
    remnant = Stock(corner, False)
    with pytest.raises(JobError, match="left over: a remnant is there once"):
        lay(gussets, [remnant], ROOM, seconds=1)
    sheets = lay(gussets, [remnant, SHEET], ROOM, seconds=1)
    assert len(sheets) == 2 and sum(len(s) for s in sheets) == 8
    left = to_shapely(corner, 0.001)
    assert all(left.contains(to_shapely(p.region(parts[1].net), 0.001)) for p in sheets[0])
    with pytest.raises(JobError, match="nothing fits on stock no"):
        lay(gussets, [Stock(Region(rectangle(0.0, 0.0, 40.0, 40.0)), False), SHEET], ROOM, seconds=1)


def test_a_copy_pushed_into_its_neighbour_is_refused(parts: list[Part], sheet: SheetPlan) -> None:
    near = [Placed(1, 0.0, 100.0, 100.0), Placed(1, 0.0, 100.0, 150.5)]
    plan = plan_sheet(parts, near, SHEET, ROOM, 3.0)
    assert not plan.proof.proved and {f.kind for f in plan.proof.faults} & {"bite", "inside"}
    over = plan_sheet(parts, [Placed(1, 0.0, 5.0, 1.0)], SHEET, ROOM, 3.0)
    assert "edge" in {f.kind for f in over.proof.faults}


def test_the_own_step_finds_the_only_place() -> None:
    free = shapely.box(0.0, 0.0, 100.0, 50.0).difference(shapely.box(30.0, -1.0, 31.0, 51.0))
    body = shapely.box(-10.0, -20.0, 15.0, 28.0)
    spot = spot_for(body, free, (0.0, 90.0))
    assert spot is not None and spot.turn_deg == 0.0
    assert free.contains(shapely.affinity.translate(body, spot.x_mm, spot.y_mm))
    assert spot_for(shapely.box(0.0, 0.0, 60.0, 45.0), free, (0.0,)) is not None
    assert spot_for(shapely.box(0.0, 0.0, 70.0, 45.0), free, (0.0,)) is None


def test_the_sheet_file_keeps_what_was_laid(parts: list[Part], sheet: SheetPlan, tmp_path: Path) -> None:
    key = fingerprint(parts, [SHEET], ROOM, "quarter")
    path = tmp_path / "sheet.toml"
    path.write_text(sheet_text([sheet.placed], parts, key))
    assert kept_sheets(path, key, 3) == [list(sheet.placed)]
    assert kept_sheets(path, fingerprint(parts, [SHEET], Room(9.5, 10.0), "quarter"), 3) is None
    path.write_text("no sheet at all = [")
    assert kept_sheets(path, key, 3) is None


JOB = """units = "mm"
title = "{title}"
[plate]
shape = "rectangle"
width = {size}
height = 90
corner_radius = 8
thickness = 4
quantity = {quantity}
[skin]
thickness = 2
[cutting]
kerf = "1.5 mm"
[marks]
mirrored_copy = {twin}
"""


@pytest.mark.slow
def test_the_same_order_gives_the_same_bytes_and_the_twin_comes_along(tmp_path: Path) -> None:
    jobs = []
    for title, size, quantity, twin in (("long", 180, 2, "false"), ("short", 100, 1, "true")):
        path = tmp_path / f"{title}.toml"
        path.write_text(JOB.format(title=title, size=size, quantity=quantity, twin=twin))
        jobs.append(path)
    order = Order(tuple(jobs), ("600x300",), seconds=1)
    made = make_sheets(order, tmp_path / "out")
    first = {p.name: p.read_bytes() for p in (tmp_path / "out").iterdir()}
    again = make_sheets(order, tmp_path / "out")
    assert {p.name: p.read_bytes() for p in (tmp_path / "out").iterdir()} == first
    assert made.written == again.written and "sheet-1-remnant.dxf" in made.written
    words = pdf_words(first["sheets.pdf"])
    assert "Sheet 1 of 1" in words and "short mirrored" in words and "Airbags" in words
    figures = json.loads(first["sheet.json"])
    assert figures["pieces"] == 4 and figures["sheets"][0]["proof"]["proved"]
    names = [p["part"] for p in figures["sheets"][0]["pieces"]]
    assert sorted(names) == ["long", "long", "short", "short mirrored"]
    rest = make_sheets(Order((jobs[1],), (str(tmp_path / "out" / "sheet-1-remnant.dxf"),)), tmp_path / "rest")
    assert rest.plans[0].proof.proved


def test_further_pieces_of_a_job_and_the_trial_piece_come_along(tmp_path: Path) -> None:
    path = tmp_path / "a.toml"
    more = """
[[piece]]
name = "gusset"
outline = [{ at = [0, 0] }, { at = [60, 0] }, { at = [0, 40] }]
quantity = 3
mirrored = true
[[piece]]
name = "washer"
shape = "round"
diameter = 40
quantity = 2
"""
    path.write_text(JOB.format(title="a", size=100, quantity=1, twin="false") + more)
    made = make_sheets(Order((path,), ("600x300",), seconds=1, kerf_coupon=True, program=True), tmp_path / "out")
    names = sorted(p["part"] for s in made.figures["sheets"] for p in s["pieces"])
    assert names == ["a", *["a gusset"] * 3, *["a gusset mirrored"] * 3, *["a washer"] * 2, "kerf trial piece"]
    assert made.plans[0].proof.proved
    machine = run((tmp_path / "out" / "sheet-1-path.ngc").read_text())
    starts = [b.rows[0][:2] for b in machine.path if b.rows]
    assert machine.fired == 0 and len(starts) == len(made.plans[0].cuts)
    for start, cut in zip(starts, made.plans[0].cuts, strict=True):
        assert cut.path.pierce.distance(Point(*start)) < 0.001


def test_what_is_no_stock_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "a.toml"
    path.write_text(JOB.format(title="a", size=100, quantity=1, twin="false"))
    with pytest.raises(UsageError, match="neither a size nor a drawing"):
        make_sheets(Order((path,), ("1000 by 500",)), tmp_path / "out")
    with pytest.raises(UsageError, match="cannot be"):
        make_sheets(Order((path,), ("0.1x500",)), tmp_path / "out")


def test_two_kerfs_for_one_sheet_are_refused_and_one_shop_file_for_all_helps(tmp_path: Path) -> None:
    jobs, kerf = [], '[[kerf]]\nprocess = "air plasma"\nthickness = 4\nx = {0}\ny = {0}\n'
    holes = '[[holes]]\nprocess = "air plasma"\nthickness = 4\ndiameters = [8, 16]\nkerfs = [{0}, 1.6]\n'
    for title in ("one", "two"):
        (tmp_path / title).mkdir()
        jobs.append(tmp_path / title / "job.toml")
        jobs[-1].write_text(JOB.format(title=title, size=100, quantity=1, twin="false"))
    order, out, shops = (
        Order(tuple(jobs), ("600x300",), seconds=1),
        tmp_path / "out",
        [j.with_name("shop.toml") for j in jobs],
    )
    for shop, x in zip(shops, (1.4, 1.9), strict=True):
        shop.write_text('units = "mm"\n' + kerf.format(x))
    with pytest.raises(JobError, match=r"kerf of 1\.90 mm .*1\.40 mm") as told:
        make_sheets(order, out)
    assert "--shop" in str(told.value.hint) and not out.exists()
    for shop, x in zip(shops, (1.5, 1.7), strict=True):
        shop.write_text('units = "mm"\n' + kerf.format(1.4) + holes.format(x))
    with pytest.raises(JobError, match="other kerfs of holes"):
        make_sheets(order, out)
    made = make_sheets(order, out, shops[0])
    assert made.plans[0].proof.proved and made.figures["pieces"] == 2


def test_the_trial_piece_is_told_in_the_reader_s_language_and_a_part_in_its_own_name() -> None:
    # exact: the catalogue's word; what the user named stays
    told = [Reader(lang)(say("{part}", part=part_said(p))) for lang in ("en", "de") for p in (TRIAL, "bracket")]
    assert told == ["kerf trial piece", "bracket", "Fugen-Probestück", "bracket"]
