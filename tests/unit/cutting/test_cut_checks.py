from math import cos, pi, sin

import pytest
from cut_jobs import job_of, round_hole, slot_hole

from cutplan.cutting.checks import plate_findings
from cutplan.geometry.contour import polygon, rectangle
from cutplan.geometry.region import Region
from cutplan.pattern.plate import Hole


def found(holes=(), cut=None, **more):
    job = job_of(tuple(holes), **more)
    cut = job.plate.holes if cut is None else cut
    net = Region(job.plate.outline, tuple(h.contour for h in cut))
    return plate_findings(job, net, tuple(cut), 1.5)


def codes(findings) -> list[str]:
    return [f.code for f in findings]


L_SHAPE = polygon([(0.0, 0.0), (200.0, 0.0), (200.0, 80.0), (90.0, 80.0), (90.0, 160.0), (0.0, 160.0)])


def test_a_sound_plate_has_no_findings() -> None:
    assert found([round_hole("A", 150.0, 100.0, 60.0)]) == ()


def test_sharp_inside_corner_gets_a_radius_suggestion() -> None:
    findings = found(outline=L_SHAPE)
    corner = next(f for f in findings if f.code == "sharp-inside-corner")
    assert "15 mm" in str(corner.message) and "90.0, 80.0" in str(corner.where)  # our own rule: 3 x 5 mm
    assert "from memory" in str(corner.message)  # the 5 mm of EN 1090-2
    assert "inside-corner-below-kerf" in codes(findings)


def test_corner_of_a_hole_tighter_than_the_kerf_is_told_with_what_stays() -> None:
    (finding,) = found([Hole("S", rectangle(100.0, 80.0, 40.0, 30.0).reversed())])
    assert finding.code == "inside-corner-below-kerf" and "4 inside corners" in str(finding.message)
    assert "0.31 mm of metal" in str(finding.message)  # exact: 0.75 (sqrt 2 - 1)


def test_a_curve_drawn_in_chords_has_no_corners() -> None:
    # exact: the kerf leaves 0.75 (1 / cos(pi / 96) - 1) = 0.0004 mm in a corner of a polygon of 96 sides; a hollow
    # quarter of 24 chords turns by 3.75 degrees at each
    ring = [(100.0 + 20.0 * cos(k * pi / 48.0), 80.0 + 20.0 * sin(k * pi / 48.0)) for k in range(96)]
    hole = Hole("P", polygon(ring).reversed())
    bow = [(200.0 - 20.0 * sin(k * pi / 48.0), 100.0 + 20.0 - 20.0 * cos(k * pi / 48.0)) for k in range(25)]
    outline = polygon([(0.0, 0.0), (260.0, 0.0), (260.0, 100.0), *bow, (180.0, 160.0), (0.0, 160.0)])
    assert not {"inside-corner-below-kerf", "sharp-inside-corner"} & set(codes(found([hole], outline=outline)))


def test_a_fillet_tighter_than_half_the_kerf_keeps_less_than_a_sharp_corner() -> None:
    # exact: (0.75 - 0.5)(sqrt 2 - 1) = 0.10 mm
    (finding,) = found([Hole("S", rectangle(100.0, 80.0, 40.0, 30.0, 0.5).reversed())])
    assert finding.code == "inside-corner-below-kerf" and "0.10 mm of metal" in str(finding.message)


@pytest.mark.parametrize(("gap", "told"), [(7.4, True), (7.6, False)])
def test_web_between_cut_holes_against_one_and_a_half_thicknesses(gap: float, told: bool) -> None:
    # published: hole spacing at least 1.5 t
    holes = [round_hole("A", 100.0, 100.0, 20.0), round_hole("B", 120.0 + gap, 100.0, 20.0)]
    assert ("web-too-thin" in codes(found(holes))) == told


def test_web_to_the_outline_and_between_other_shapes() -> None:
    holes = [slot_hole("S", 4.0, 60.0, 60.0, 20.0), slot_hole("T", 70.0, 60.0, 60.0, 20.0)]
    messages = [str(f.message) for f in found(holes) if f.code == "web-too-thin"]
    assert any("hole S and the outline" in m and "4.0 mm" in m for m in messages)
    assert any("holes S and T" in m and "6.0 mm" in m for m in messages)


def test_many_thin_webs_are_counted_not_listed() -> None:
    holes = [round_hole(f"H{k}", 30.0 + 22.0 * k, 100.0, 20.0) for k in range(12)]
    webs = [f for f in found(holes) if f.code == "web-too-thin"]
    assert len(webs) == 7 and "5 more places" in str(webs[-1].message)


@pytest.mark.parametrize(("edge", "told"), [(13.1, True), (13.3, False)])
def test_bolt_edge_distance(edge: float, told: bool) -> None:
    # published (second hand): EN 1993-1-8 Table 3.3, 1.2 x 11 = 13.2 mm
    hole = round_hole("A", edge, 100.0, 11.0, purpose="bolt")
    assert ("bolt-edge-distance" in codes(found([hole], cut=()))) == told


@pytest.mark.parametrize(("pitch", "told"), [(24.1, True), (24.3, False)])
def test_bolt_pitch(pitch: float, told: bool) -> None:
    # published (second hand): EN 1993-1-8 Table 3.3, 2.2 x 11 = 24.2 mm
    holes = [round_hole(n, x, 100.0, 11.0, purpose="bolt") for n, x in (("A", 100.0), ("B", 100.0 + pitch))]
    assert ("bolt-pitch" in codes(found(holes, cut=()))) == told


def test_bolt_slots_need_more_edge() -> None:
    # published (second hand): 1.5 d0 from the centre of the slot's end
    slot = slot_hole("S", 100.0, 5.0, 40.0, 12.0, purpose="bolt")  # centre line 11 mm from the edge
    finding = next(f for f in found([slot], cut=()) if f.code == "bolt-edge-distance")
    assert "18.0 mm (1.5 x 12.0 mm)" in str(finding.message)


def test_distances_of_other_holes_are_left_alone() -> None:
    assert "bolt-edge-distance" not in codes(found([round_hole("A", 8.0, 100.0, 11.0)], cut=()))


def test_a_disc_is_told_to_stop_short() -> None:
    assert "disc-cuts-straight" in codes(found(outline=L_SHAPE, process="cut-off disc"))
    assert "disc-cuts-straight" not in codes(found(process="cut-off disc"))
    assert "disc-cuts-straight" not in codes(found(outline=L_SHAPE))
