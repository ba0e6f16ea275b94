import itertools

from cut_jobs import job_of, round_hole

from cutplan.cutting.order.heat import hot_pairs
from cutplan.cutting.plan import plan_cut
from cutplan.geometry.contour import rectangle
from cutplan.pattern.plate import Hole
from cutplan.pattern.shop import Shop


def pairs_apart(gap_mm: float):
    """Five pairs of holes; the two of a pair are near each other, the pairs far from each other."""
    holes = []
    for k in range(9):
        x, y = 40.0 + 90.0 * (k % 3), 40.0 + 60.0 * (k // 3) + 7.0 * (k % 2)
        holes += [round_hole(f"A{k}", x, y, 20.0), round_hole(f"B{k}", x + 20.0 + gap_mm, y, 20.0)]
    return job_of(tuple(holes), outline=rectangle(0.0, 0.0, 330.0, 230.0, 10.0))


def near_in_time(plan) -> int:
    return sum(a.name[1:] == b.name[1:] and a.name != b.name for a, b in itertools.pairwise(plan.paths[:-1]))


def test_holes_with_a_thin_web_are_not_cut_one_after_the_other_where_the_way_allows() -> None:
    near, far = plan_cut(pairs_apart(9.0), Shop()), plan_cut(pairs_apart(15.1), Shop())
    assert near_in_time(far) >= 4  # far enough: the short way cuts pairs together
    assert near_in_time(near) < near_in_time(far)


def test_what_stays_hot_is_told() -> None:
    holes = tuple(round_hole(f"H{k}", 30.0 + 30.0 * k, 30.0, 20.0) for k in range(3))
    plan = plan_cut(job_of(holes, outline=rectangle(0.0, 0.0, 120.0, 60.0)), Shop())
    said = [f for f in plan.findings if f.code == "heat-adds-up"]
    assert said and "15 mm" in str(said[0].message)  # our own rule: 3 x 5 mm


def test_hot_pairs_of_round_and_other_holes() -> None:
    holes = (
        round_hole("A", 50.0, 50.0, 20.0),
        round_hole("B", 80.0, 50.0, 20.0),
        Hole("C", rectangle(100.0, 40.0, 30.0, 20.0).reversed()),
    )
    cuts = [p for p in plan_cut(job_of(holes), Shop()).paths if p.inner]
    cuts.sort(key=lambda p: p.name)
    # exact: lines lie half a kerf inside, so gaps are 10 + 1.5 between A and B and between B and C
    assert hot_pairs(cuts, 11.4) == frozenset()
    assert hot_pairs(cuts, 11.6) == {(0, 1), (1, 2)}
