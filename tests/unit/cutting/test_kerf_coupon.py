import pytest

from cutplan.cutting.kerf.coupon import OUTSIDE_MM, kerf_coupon, learn_kerf, outside_mm, slot_width_mm
from cutplan.errors import JobError
from cutplan.findings import errors


def made(kx: float, ky: float, scale_x: float = 1.0, scale_y: float = 1.0) -> dict[str, float]:
    """What a caliper reads on a piece cut on its own lines."""
    w = slot_width_mm("air plasma", 5.0)
    return {
        "outside_x": OUTSIDE_MM * scale_x - kx,
        "outside_y": OUTSIDE_MM * scale_y - ky,
        "slot_x": w * scale_x + kx,
        "slot_y": w * scale_y + ky,
    }


@pytest.mark.parametrize("process", ["air plasma", "laser", "waterjet", "oxyfuel"])
@pytest.mark.parametrize("thickness", [2.0, 5.0, 10.0, 25.0])
def test_the_piece_can_be_cut_and_its_torch_runs_on_the_net_line(process, thickness: float) -> None:
    coupon = kerf_coupon(process, thickness)
    assert errors(coupon.plan.findings) == () and not coupon.plan.compensated
    assert [p.name for p in coupon.plan.paths][-1] == "outline" and len(coupon.plan.paths) == 3
    outline = coupon.plan.paths[-1].contour
    side = outside_mm(process, thickness)
    assert outline.box.width == pytest.approx(side) and outline.area == pytest.approx(side**2)
    assert side == OUTSIDE_MM if thickness <= 5.0 else side >= OUTSIDE_MM
    assert set(coupon.nominal_mm) == {"outside_x", "outside_y", "slot_x", "slot_y"}


def test_kerf_per_axis_comes_back() -> None:
    learnt = learn_kerf("air plasma", 5.0, made(1.6, 1.5))
    assert learnt.measured.x_mm == pytest.approx(1.6, abs=1e-3)  # exact: no scale error
    assert learnt.measured.y_mm == pytest.approx(1.5, abs=1e-3)
    assert learnt.measured.process == "air plasma" and learnt.measured.thickness_mm == 5.0
    assert learnt.findings == ()


def test_scale_of_the_table_is_taken_out_when_the_caliper_is_fine() -> None:
    learnt = learn_kerf("air plasma", 5.0, made(1.5, 1.5, 1.002, 1.0), reading_mm=0.005)
    assert learnt.scale_x == pytest.approx(1.002, abs=3e-4)
    assert learnt.measured.x_mm == pytest.approx(1.5, abs=0.02)
    assert "table-scale" in [f.code for f in learnt.findings]


def test_reading_error_is_weighed() -> None:
    fine, coarse = (learn_kerf("air plasma", 5.0, made(1.5, 1.5), reading_mm=r) for r in (0.02, 0.1))
    assert 0.0 < fine.measured.reading_mm < coarse.measured.reading_mm
    both = learn_kerf("air plasma", 5.0, made(1.5, 1.5), reading_mm=0.05)
    outside = learn_kerf("air plasma", 5.0, {k: v for k, v in made(1.5, 1.5).items() if k.startswith("out")}, 0.05)
    assert both.measured.reading_mm < 0.05 < outside.measured.reading_mm


def test_axes_that_differ_beyond_the_reading_are_told() -> None:
    assert "kerf-differs-by-axis" in [f.code for f in learn_kerf("air plasma", 5.0, made(1.9, 1.5)).findings]


@pytest.mark.parametrize(
    ("readings", "says"),
    [
        ({"width": 1.0}, "no reading 'width'"),
        ({"outside_x": 98.5}, "along y"),
        ({"outside_x": 100.5, "outside_y": 98.5}, "cannot be"),
        ({"outside_x": 3.88, "outside_y": 3.88}, "cannot be"),
    ],
)
def test_readings_that_make_no_sense_are_refused(readings: dict[str, float], says: str) -> None:
    with pytest.raises(JobError, match=says):
        learn_kerf("air plasma", 5.0, readings)


def test_reading_error_must_be_above_zero() -> None:
    with pytest.raises(JobError, match="reading error"):
        learn_kerf("air plasma", 5.0, made(1.5, 1.5), 0.0)


def test_hand_processes_have_no_trial_piece() -> None:
    with pytest.raises(JobError, match="led by hand"):
        kerf_coupon("hacksaw", 3.0)
