"""The trial piece for holes: what it shows is what small holes are cut with."""

from dataclasses import replace
from math import atan, degrees, pi, radians, tan
from pathlib import Path
from shlex import split

import pytest
from cut_jobs import job_of, round_hole

from cutplan.cutting.holes.coupon import hole_coupon, learn_holes
from cutplan.cutting.plan import plan_cut
from cutplan.errors import JobError
from cutplan.files.job.shop.read import read_shop
from cutplan.pattern.shop import HolesMeasured, KerfMeasured, Shop
from cutplan.project.coupons.run import Request, learn, make_coupon, next_call
from cutplan.units import parse_length

SHOP = Shop(kerfs=(KerfMeasured("air plasma", 4.0, 1.6, 1.6),))


def readings(sizes: dict[str, float], cut_with: float, true: float, lean: float) -> dict[str, float]:
    """Sizes of holes cut with one kerf whose true kerf is another, wider at the top by a lean each side [mm]."""
    found = {}
    for name, size in sizes.items():
        middle = size - cut_with + true
        found |= {f"{name}_top": middle + lean, f"{name}_bottom": middle - lean}
    return found


@pytest.mark.parametrize("process", ["air plasma", "laser", "waterjet", "oxyfuel"])
def test_the_row_holds_what_the_process_cuts_and_is_proved(process: str) -> None:
    coupon = hole_coupon(process, 5.0)
    assert 2 <= len(coupon.sizes_mm) <= 6 and coupon.plan.proof.proved
    assert {p.name for p in coupon.plan.paths} == {*coupon.sizes_mm, "outline"}


def test_a_wider_kerf_and_a_taper_come_back_as_they_were_put_in() -> None:
    sizes = hole_coupon("air plasma", 4.0, SHOP).sizes_mm
    learnt = learn_holes("air plasma", 4.0, readings(sizes, 1.6, 2.0, 0.15), SHOP)
    assert learnt.diameters_mm == tuple(sizes.values())
    assert learnt.kerfs_mm == pytest.approx([2.0] * len(sizes))  # exact
    assert learnt.tapers_deg == pytest.approx([degrees(atan(0.15 / 4.0))] * len(sizes), abs=0.01)  # exact


@pytest.mark.parametrize("face", ["top", "bottom"])
def test_a_hole_measured_again_at_one_face_keeps_its_taper_and_its_kerf(face: str) -> None:
    sizes = hole_coupon("air plasma", 4.0, SHOP).sizes_mm
    both = readings(sizes, 1.6, 2.0, 0.15)
    first = learn_holes("air plasma", 4.0, both, SHOP)
    again = {name: value for name, value in both.items() if name.endswith(face)}
    learnt = learn_holes("air plasma", 4.0, again, replace(SHOP, holes=(first,)))
    assert learnt.tapers_deg == first.tapers_deg
    assert learnt.kerfs_mm == pytest.approx([2.0] * len(sizes), abs=1e-3)  # exact, tapers kept to 0.01 degrees


def test_small_holes_are_cut_with_their_own_kerf_and_large_ones_with_the_usual_one() -> None:
    measured = HolesMeasured("air plasma", 4.0, (10.0, 20.0), (2.0, 1.8), (0.0, 0.0))
    shop = Shop(kerfs=SHOP.kerfs, holes=(measured,))
    holes = (round_hole("A", 60.0, 60.0, 15.0), round_hole("B", 150.0, 100.0, 80.0))
    plan = plan_cut(job_of(holes, thickness_mm=4.0, kerf_mm=None), shop)
    radius = {p.name: p.cut[0].length / (2.0 * pi) for p in plan.paths if p.inner}
    assert radius["A"] == pytest.approx(7.5 - 0.5 * 1.9)  # exact: half way between the two sizes measured
    assert radius["B"] == pytest.approx(40.0 - 0.5 * 1.6)
    assert plan.proof.proved and plan.proof.bite_mm < 1e-6


@pytest.mark.parametrize(("taper", "severity"), [(3.0, "warning"), (-1.0, "note"), (0.3, None)])
def test_the_taper_of_the_trial_piece_is_told_of_the_holes_that_are_cut(taper: float, severity: str | None) -> None:
    measured = HolesMeasured("air plasma", 4.0, (10.0, 40.0), (1.6, 1.6), (taper, taper))
    hole = replace(round_hole("A", 60.0, 60.0, 20.0), purpose="locating", cut=True)
    plan = plan_cut(job_of((hole,), thickness_mm=4.0, kerf_mm=None), Shop(kerfs=SHOP.kerfs, holes=(measured,)))
    found = [f for f in plan.findings if f.code == "hole-tapers"]
    assert [f.severity for f in found] == ([severity] if severity else [])
    if found:
        apart = 8.0 * tan(radians(abs(taper)))  # exact: both sides lean over 4 mm
        assert f"{apart:.2f} mm wider at the {'top' if taper > 0 else 'bottom'} face" in str(found[0].message)
        assert f"{20 - 0.5 * apart:.2f} mm to {20 + 0.5 * apart:.2f} mm" in str(found[0].message)


@pytest.mark.parametrize(
    ("diameter", "kerf"), [(10.0, 2.0), (15.0, 1.9), (20.0, 1.8), (8.0, 2.0), (24.0, 1.8), (7.0, None), (26.0, None)]
)
def test_between_and_beyond_the_sizes_measured(diameter: float, kerf: float | None) -> None:
    measured = HolesMeasured("laser", 4.0, (20.0, 10.0), (1.8, 2.0), (0.0, 0.0))
    assert measured.kerf_at(diameter) == (pytest.approx(kerf) if kerf else None)


@pytest.mark.parametrize(("name", "value", "says"), [("D99_top", 9.0, "no reading"), ("D10_top", 3.0, "cannot be")])
def test_readings_that_make_no_sense_are_refused(name: str, value: float, says: str) -> None:
    with pytest.raises(JobError, match=says):
        learn_holes("air plasma", 4.0, {name: value}, SHOP)


def test_the_shop_file_learns_and_is_read_back(tmp_path: Path) -> None:
    shop = tmp_path / "shop.toml"
    shop.write_text('units = "mm"\n# ours\n[[kerf]]\nprocess = "air plasma"\nthickness = 4.0\nx = 1.6\ny = 1.6\n')
    request = Request("holes", process="air plasma", thickness_mm=4.0, shop=shop)
    made = make_coupon(request, tmp_path)
    assert [p.name for p in made.files] == ["coupon-holes.dxf"]
    sizes = {n.split("_")[0]: float(n.split("_")[0][1:]) for n in made.readings if n != "kerf"}
    learn(request, readings(sizes, 1.6, 1.9, 0.0), shop)
    (there,) = read_shop(shop).holes
    assert there.kerfs_mm == pytest.approx([1.9] * len(sizes)) and "# ours" in shop.read_text()
    learn(request, readings(sizes, 1.6, 2.0, 0.0), shop)
    assert [h.kerfs_mm[0] for h in read_shop(shop).holes] == [pytest.approx(2.0)]


def test_holes_cut_before_the_kerf_was_learnt_keep_the_kerf_they_were_cut_with(tmp_path: Path) -> None:
    shop = tmp_path / "our shop.toml"
    request = Request("holes", process="air plasma", thickness_mm=4.0, shop=shop)
    made = make_coupon(request, tmp_path)
    command = split(next_call(request, made))
    assert command[command.index("--shop") + 1] == str(shop)
    (kerf,) = (parse_length(word.partition("=")[2], "mm", "") for word in command if word.startswith("kerf="))
    sizes = {n.split("_")[0]: float(n.split("_")[0][1:]) for n in made.readings if n != "kerf"}
    cut = readings(sizes, kerf, 1.7, 0.0)
    shop.write_text('[[kerf]]\nprocess = "air plasma"\nthickness = 4.0\nx = 1.6\ny = 1.6\n')  # learnt in between
    told = learn(request, {"kerf": kerf, **cut}, shop)
    assert read_shop(shop).holes[0].kerfs_mm == pytest.approx([1.7] * len(sizes))  # exact
    assert not any("known now" in str(note) for note in told.notes)
    told = learn(request, cut, shop)  # without it: today's is taken, and that is said
    assert any("kerf that is known now, 1.60 mm" in str(note) for note in told.notes)


@pytest.mark.parametrize("kerf", [0.0, -1.0, 11.0])
def test_a_kerf_that_no_torch_has_is_refused(kerf: float) -> None:
    with pytest.raises(JobError, match="cannot be"):
        learn_holes("air plasma", 4.0, {"kerf": kerf, "D10_top": 10.0}, SHOP)
    with pytest.raises(JobError, match="no reading"):
        learn_holes("air plasma", 4.0, {"kerf": 1.8}, SHOP)


def test_sizes_that_were_not_measured_again_stay_and_are_told(tmp_path: Path) -> None:
    shop = tmp_path / "shop.toml"
    request = Request("holes", process="air plasma", thickness_mm=4.0, shop=shop)
    both = {"D10_top": 10.5, "D10_bottom": 10.3, "D20_top": 20.3, "D20_bottom": 20.3}
    assert not any("kept" in str(note) for note in learn(request, {"kerf": 1.6, **both}, shop).notes)
    (before,) = read_shop(shop).holes
    told = learn(request, {"kerf": 1.6, "D20_top": 20.5, "D20_bottom": 20.5}, shop)
    (now,) = read_shop(shop).holes
    assert now.diameters_mm == (10.0, 20.0)
    assert now.kerfs_mm == (before.kerfs_mm[0], pytest.approx(2.1))  # exact: 1.6 + 20.5 - 20
    assert now.tapers_deg == (before.tapers_deg[0], 0.0) and before.tapers_deg[0] > 0.0
    assert [str(n) for n in told.notes if "kept" in str(n)] == [
        "not measured this time and kept as learnt before: holes of 10 mm"
    ]
    assert told.values["kept_diameters_mm"] == [10.0] and told.values["diameters_mm"] == [20.0]
    learn(replace(request, thickness_mm=4.2), {"kerf": 1.6, "D16_top": 16.5}, shop)
    assert [h.diameters_mm for h in read_shop(shop).holes] == [(10.0, 20.0), (16.0,)]  # of another sheet: by itself
