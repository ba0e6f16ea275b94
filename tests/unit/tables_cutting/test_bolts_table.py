import pytest

from cutplan.errors import CutplanError
from cutplan.tables.bolts import (
    CLEARANCE,
    bolt_fit,
    clearance_mm,
    least_edge_mm,
    likely_bolt,
    pilot_mm,
    tap_drill_mm,
    thread_mm,
)


@pytest.mark.parametrize(("bolt", "size"), [("M10", 10.0), ("m 8", 8.0), ("M10x1.25", 10.0), ("M12 10.9", 12.0)])
def test_threads_are_read(bolt: str, size: float) -> None:
    assert thread_mm(bolt) == size


def test_no_thread_is_refused() -> None:
    with pytest.raises(CutplanError, match="no metric thread"):
        thread_mm("3/8 UNC")
    with pytest.raises(CutplanError):
        clearance_mm("M99")
    with pytest.raises(CutplanError):
        tap_drill_mm("M5")


@pytest.mark.parametrize(
    ("hole", "class_"),
    # published: ISO 273 M10 10.5 / 11 / 12
    [(10.0, "too small"), (10.5, "fine"), (11.0, "medium"), (11.5, "coarse"), (12.0, "coarse"), (12.2, "too large")],
)
def test_fit_of_an_m10(hole: float, class_: str) -> None:
    fit = bolt_fit("M10", hole)
    assert fit is not None and fit.class_ == class_
    assert fit.clearance_mm == pytest.approx(hole - 10.0)


def test_thread_outside_the_table_has_no_fit() -> None:
    assert bolt_fit("M30", 33.0) is None


def test_likely_bolt_of_each_medium_hole_is_its_own() -> None:
    for name, (_, medium, _) in CLEARANCE.items():
        assert likely_bolt(medium) == name
    assert likely_bolt(30.0) == ""


def test_slots_need_more_edge() -> None:
    assert least_edge_mm(10.0, slot=True) == 15.0  # published: e3 = 1.5 d0 (second hand)
    assert least_edge_mm(10.0) == 12.0  # published: e1 = 1.2 d0 (second hand)


def test_pilot_is_smaller_than_half_and_grows() -> None:
    drills = [4.0, 6.6, 9.0, 11.0, 13.5, 17.5]
    pilots = [pilot_mm(d) for d in drills]
    assert pilots[0] == 0.0
    assert pilots == sorted(pilots)
    assert all(p < 0.5 * d for p, d in zip(pilots, drills, strict=True))
