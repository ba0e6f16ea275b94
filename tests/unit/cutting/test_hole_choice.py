import pytest
from cut_jobs import job_of, round_hole, sample_holes, slot_hole

from cutplan.cutting.holes.choice import choose_holes
from cutplan.geometry.contour import rectangle
from cutplan.pattern.plate import Hole


def names(items: tuple) -> list[str]:
    return [i.name for i in items]


def test_bolt_holes_and_small_holes_are_drilled_the_rest_is_cut() -> None:
    cut, drilled, _ = choose_holes(job_of(sample_holes()), 1.5)
    assert names(cut) == ["H2", "H3", "H4", "S1", "S2"]
    assert names(drilled) == ["H1", "H5"]
    bolt, small = drilled
    assert "bolt holes" in str(bolt.reason) and str(bolt.fit) == "M10, ISO 273 medium"  # published: M10 medium 11
    assert "10.0 mm in 5 mm" in str(small.reason)  # from memory: 2 t


def test_nothing_is_lost() -> None:
    holes = sample_holes()
    for process in ("air plasma", "laser", "waterjet", "oxyfuel", "cut-off disc", "jigsaw", "hacksaw"):
        cut, drilled, _ = choose_holes(job_of(holes, process=process), 1.0)
        assert sorted({n.rstrip("ab") for n in names(cut) + names(drilled)}) == sorted(h.name for h in holes)


def test_the_job_overrules_for_bolt_holes_and_the_sheet_says_so() -> None:
    cut, drilled, findings = choose_holes(job_of(sample_holes(), cut_bolt_holes=True), 1.5)
    assert "H1" in names(cut) and "H1" not in names(drilled)
    assert [f.code for f in findings].count("rule-overruled") == 1


def test_one_hole_overruled_both_ways() -> None:
    holes = (round_hole("A", 50.0, 50.0, 6.0, cut=True), round_hole("B", 100.0, 50.0, 60.0, cut=False))
    cut, drilled, findings = choose_holes(job_of(holes), 1.5)
    assert names(cut) == ["A"] and names(drilled) == ["B"]
    assert "rule-overruled" in [f.code for f in findings]
    assert str(drilled[0].reason) == "the job says so"


def test_a_bolt_slot_becomes_two_marks_at_its_ends() -> None:
    cut, drilled, _ = choose_holes(job_of((slot_hole("S", 50.0, 50.0, 40.0, 11.0, purpose="bolt", bolt="M10"),)), 1.5)
    assert cut == ()
    assert names(drilled) == ["Sa", "Sb"]
    centres = sorted(d.centre for d in drilled)
    assert centres[0] == pytest.approx((55.5, 55.5)) and centres[1] == pytest.approx((84.5, 55.5))  # exact
    assert all(d.diameter_mm == pytest.approx(11.0) and "saw between" in str(d.how) for d in drilled)


def test_bolt_without_a_name_gets_a_likely_one() -> None:
    _, drilled, _ = choose_holes(job_of((round_hole("A", 50.0, 50.0, 9.0, purpose="bolt"),)), 1.5)
    assert str(drilled[0].fit) == "likely M8, ISO 273 medium"  # published: M8 medium 9


@pytest.mark.parametrize(
    ("bolt", "diameter", "code"),
    [
        ("M12", 11.0, "bolt-does-not-pass"),
        ("M8", 12.0, "bolt-hole-wide"),
        ("M42", 45.0, "bolt-not-listed"),
        ("stud bolt", 10.5, "bolt-unknown"),
        ("3/8 UNC", 12.0, "bolt-hole-wide"),
    ],
)
def test_bolts_that_do_not_fit_are_told(bolt: str, diameter: float, code: str) -> None:
    _, _, findings = choose_holes(job_of((round_hole("A", 50.0, 50.0, diameter, purpose="bolt", bolt=bolt),)), 1.5)
    assert code in [f.code for f in findings]


def test_by_hand_round_holes_are_drilled_and_large_ones_sawn() -> None:
    holes = (round_hole("A", 50.0, 50.0, 20.0), round_hole("B", 150.0, 100.0, 80.0))
    cut, drilled, _ = choose_holes(job_of(holes, process="jigsaw"), 1.1)
    assert names(cut) == ["B"] and names(drilled) == ["A"]
    assert "hole saw" in str(drilled[0].how)


def test_small_cut_holes_are_told_once() -> None:
    holes = tuple(round_hole(f"H{i}", 20.0 + 20.0 * i, 50.0, 12.0) for i in range(12))
    _, _, findings = choose_holes(job_of(holes), 1.5)
    told = [f for f in findings if f.code == "hole-may-cut-unclean"]
    assert len(told) == 1 and "4 more" in str(told[0].message)


def test_a_shaped_hole_that_is_marked_says_how_to_make_it() -> None:
    hole = Hole("A", rectangle(50.0, 50.0, 30.0, 12.0).reversed(), cut=False)
    _, drilled, _ = choose_holes(job_of((hole,)), 1.5)
    assert "start hole" in str(drilled[0].how) and drilled[0].diameter_mm < 12.0


@pytest.mark.parametrize(
    ("process", "cut_it"), [("air plasma", False), ("oxyfuel", False), ("laser", True), ("waterjet", True)]
)
def test_holes_for_pins_are_drilled_where_the_cut_is_too_rough(process: str, cut_it: bool) -> None:
    hole = round_hole("P", 100.0, 100.0, 20.0, purpose="locating")
    cut, drilled, _ = choose_holes(job_of((hole,), process=process), 1.0)
    assert (names(cut), names(drilled)) == ((["P"], []) if cut_it else ([], ["P"]))
