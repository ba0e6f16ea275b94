import itertools

import pytest

from cutplan.errors import CutplanError
from cutplan.tables.bolts import (
    CLEARANCE,
    INCH_CLEARANCE,
    bolt_fit,
    clearance_mm,
    least_edge_mm,
    likely_bolt,
    pilot_mm,
    thread_mm,
)


@pytest.mark.parametrize(
    ("bolt", "size"),
    [
        ("M10", 10.0),
        ("m 8", 8.0),
        ("M10x1.25", 10.0),
        ("M12 10.9", 12.0),
        ("3/8-16 UNC", 9.525),
        ('1/2"', 12.7),
        ("1 in", 25.4),
    ],
)
def test_threads_are_read(bolt: str, size: float) -> None:
    assert thread_mm(bolt) == size


def test_no_thread_is_refused() -> None:
    for text in ("bolt", "", "3/7 UNC", "M"):
        with pytest.raises(CutplanError, match="names no thread"):
            thread_mm(text)
    with pytest.raises(CutplanError):
        clearance_mm("M99")


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
    assert bolt_fit("M42", 45.0) is None


def test_likely_bolt_of_each_medium_hole_is_its_own() -> None:
    for name, (_, medium, _) in CLEARANCE.items():
        assert likely_bolt(medium) == name
    assert likely_bolt(50.0) == ""


def test_slots_need_more_edge() -> None:
    assert least_edge_mm(10.0, slot=True) == 15.0  # published: e3 = 1.5 d0 (second hand)
    assert least_edge_mm(10.0) == 12.0  # published: e1 = 1.2 d0 (second hand)


def test_pilot_is_smaller_than_half_and_grows() -> None:
    drills = [4.0, 6.6, 9.0, 11.0, 13.5, 17.5]
    pilots = [pilot_mm(d) for d in drills]
    assert pilots[0] == 0.0
    assert pilots == sorted(pilots)
    assert all(p < 0.5 * d for p, d in zip(pilots, drills, strict=True))


@pytest.mark.parametrize(
    ("bolt", "hole", "class_"),
    # from memory: ISO 273 M20 21 / 22 / 24, M36 37 / 39 / 42; ASME B18.2.8 1/2 in 17/32, 9/16, 39/64
    [
        ("M20", 22.0, "medium"),
        ("M36", 37.0, "fine"),
        ("M36", 42.2, "too large"),
        ("1/2", 14.2875, "medium"),
        ("1/2 in", 12.0, "too small"),
    ],
)
def test_fit_of_large_and_inch_bolts(bolt: str, hole: float, class_: str) -> None:
    fit = bolt_fit(bolt, hole)
    assert fit is not None and fit.class_ == class_ and str(fit.text)


def test_clearances_rise_by_class_and_size() -> None:
    """Law: close below normal below loose, and above the bolt; both tables rise with the size."""
    for table, per in ((CLEARANCE, 1.0), (INCH_CLEARANCE, 25.4)):
        rows = list(table.items())
        assert all(thread_mm(n) < per * a < per * b < per * c for n, (a, b, c) in rows)
        assert all(x[1][1] < y[1][1] for x, y in itertools.pairwise(rows))
