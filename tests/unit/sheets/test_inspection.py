"""Inspection: verdicts against ISO 13920 and the job, wrong readings named, and what it implies."""

from __future__ import annotations

from dataclasses import replace

import pytest
from sheet_results import small, small_job

from cutplan.drawing.model import Stroke, Text
from cutplan.errors import JobError
from cutplan.geometry.vector import Point
from cutplan.inspection.form import asked, form_csv
from cutplan.inspection.named_points import corners, dial_places, gap_stations, named_points
from cutplan.inspection.readings import Reading, read_readings
from cutplan.inspection.verdict import inspect
from cutplan.pattern.joint import Joint
from cutplan.pattern.wishes import Marks
from cutplan.sheets.welding.after_page import dial_figure

JOB = small_job()


def filled(changes: dict[tuple[str, str, str], float] | None = None) -> list[Reading]:
    """The whole form filled in as planned, with changes."""
    values = changes or {}
    return [
        Reading(a.kind, a.name, a.to, values.get((a.kind, a.name, a.to), a.plan_mm), i + 2)
        for i, a in enumerate(asked(JOB))
    ]


def test_the_form_filled_with_the_plan_passes() -> None:
    text = form_csv(JOB)
    lines = text.splitlines()
    rows = [x.split(",", 7) for x in lines[1:] if ",fit," not in x and ",tacks," not in x]
    done = [lines[0]] + [",".join(c if k != 5 else cells[4] for k, c in enumerate(cells)) for cells in rows]
    found = inspect(JOB, None, read_readings("\n".join(done)))
    assert found.verdict == "pass"
    assert (found.linear_class, found.flatness_class) == ("A", "E")
    assert found.missing == () and found.findings == ()
    assert max(p.deviation_mm for p in found.points) < 0.02  # exact but for the form's two decimals


def test_a_form_of_another_plan_is_told() -> None:
    lines = form_csv(JOB).splitlines()
    at = next(i for i, line in enumerate(lines) if line.startswith("distance,H1,H2,"))
    kind, name, to, after, plan, _, unit, note = lines[at].split(",", 7)
    for then, told in ((float(plan) + 0.01, False), (float(plan) - 3.0, True)):
        lines[at] = ",".join((kind, name, to, after, f"{then:.2f}", plan, unit, note))
        found = [f for f in inspect(JOB, None, read_readings("\n".join(lines))).findings if f.code[:4] == "form"]
        assert [f"H1-H2 {then:.2f} mm, now {plan} mm" in str(f.message) for f in found] == [True] * told


def test_a_pad_distance_beyond_its_tolerance_is_out() -> None:
    found = inspect(JOB, None, filled({("distance", "H1", "H2"): 139.3}))
    (bad,) = [c for c in found.checked if not c.ok]
    assert str(bad.label) == "H1-H2" and bad.deviation_mm == pytest.approx(-0.7)
    assert bad.high_mm == 0.5 and bad.source == "pitch_mm"
    assert found.verdict == "out"
    assert any("short" in a for a in found.advice)


@pytest.mark.parametrize(
    ("off", "letter"),
    [(0.9, "A"), (1.1, "B"), (1.9, "B"), (2.1, "C"), (3.9, "C"), (4.1, "D"), (6.9, "D"), (7.1, "-")],
)
def test_the_class_reached_by_a_length_over_120_mm(off: float, letter: str) -> None:
    # published: ISO 13920 table 1, 120 to 400 mm: A 1, B 2, C 4, D 7 (copy at modulusmetal.com)
    job = replace(JOB, pads=())
    rows = [Reading("distance", "H2", "H4", named_points(job)["H2"].distance(named_points(job)["H4"]) + off, 2)]
    found = inspect(job, None, rows)
    assert found.linear_class == letter
    assert found.checked[0].ok == (off < 2.0)


def test_dial_readings_of_a_tilted_flat_pad_are_flat() -> None:
    pad = JOB.pads[0]
    tilt = {("dial", "A", str(i)): 0.01 * p.x - 0.02 * p.y for i, p in enumerate(dial_places(JOB, pad), 1)}
    (c,) = [c for c in inspect(JOB, None, filled(tilt)).checked if str(c.label).startswith("pad A")]
    assert c.measured_mm == pytest.approx(0.0, abs=1e-9)  # exact: a plane has no deviation


def test_one_high_place_of_six_by_formula() -> None:
    # exact: six places on a ring; the plane fit takes h/6 + 2h/6 = h/2 at the high place, 1/6 +- 1/3 cos elsewhere;
    # residuals h (1/2, -1/3, 0, 1/6, 0, -1/3): top to bottom 5/6 h
    (c,) = [
        c for c in inspect(JOB, None, filled({("dial", "A", "1"): 0.6})).checked if str(c.label).startswith("pad A")
    ]
    assert c.measured_mm == pytest.approx(5.0 / 6.0 * 0.6)
    assert c.ok


def test_pad_out_of_flat_says_what_may_be_ground_off() -> None:
    found = inspect(JOB, None, filled({("feeler", "A", "B"): 0.9}))
    said = " ".join(found.advice)
    assert "0.20 mm" in said and "shims" in said and "dull red" in said  # 5 % of 4 mm (common practice)


def test_gaps_closed_and_too_wide() -> None:
    found = inspect(JOB, None, filled({("gap", "G1", ""): 0.3, ("gap", "G2", ""): 2.9, ("gap", "G3", ""): 2.4}))
    bad = [str(c.label) for c in found.checked if not c.ok]
    assert bad == ["gap G1", "gap G2"]  # 0.5 x 1.2 mm at least, thinner sheet 2.5 mm at most
    assert "G2" in found.advice[0] and "G1" in found.advice[1]


def test_a_lap_keeps_the_fillet_root_gap() -> None:
    job = replace(JOB, joint=Joint("lap", 0.0, 20.0))
    rows = [Reading("gap", "G1", "", 0.2, 2), Reading("gap", "G2", "", 0.6, 3)]
    found = inspect(job, None, rows)
    # from memory: ISO 5817-C up to 3 mm: 0.3 + 0.1 a = 0.4768 mm at a = 0.7071 x 2.5 mm
    assert [c.ok for c in found.checked] == [True, False]
    assert found.checked[0].high_mm == pytest.approx(0.476775)


def test_a_gap_above_the_settings_range_asks_for_other_settings() -> None:
    plan = small()
    assert plan.weld is not None
    widest = max(plan.weld.settings.table.gap_mm[1], JOB.joint.gap_mm)
    wide = inspect(JOB, plan, filled({("gap", "G4", ""): widest + 0.3}))
    assert all(c.ok for c in wide.checked)
    assert any("G4" in a and "less current" in a for a in wide.advice)
    fine = inspect(JOB, plan, filled({("gap", "G4", ""): widest + 0.1}))
    assert not any("less current" in a for a in fine.advice)


@pytest.mark.parametrize(
    ("value", "words"),
    [
        (240.0, "100 mm off"),
        (114.6, "1 in off"),
        (140.0 / 25.4, "Inch and millimetre"),
    ],
)
def test_slips_of_the_tape_are_named_and_left_out(value: float, words: str) -> None:
    found = inspect(JOB, None, filled({("distance", "H1", "H2"): value}))
    assert [f.code for f in found.findings] == ["reading-slip"]
    assert words in found.findings[0].message
    assert all(c.label != "H1-H2" for c in found.checked)
    assert found.verdict == "incomplete"


@pytest.mark.parametrize(
    ("marks", "way", "towards"),
    [
        (Marks(), "FORWARD", Point(0.0, 1.0)),
        (Marks(None, up_deg=0.0), "UP", Point(1.0, 0.0)),  # an upright face across the vehicle has no front
        (Marks(None, left_deg=180.0), "LEFT", Point(-1.0, 0.0)),
        (Marks(None), "UP", Point(0.0, 1.0)),
    ],
)
def test_the_picture_of_the_dial_numbers_the_places_that_the_form_asks_for(
    marks: Marks, way: str, towards: Point
) -> None:
    job = replace(JOB, marks=marks)
    asked_for = [a for a in asked(job) if a.kind == "dial"]
    assert {way} == {w for a in asked_for for w in ("FORWARD", "UP", "LEFT") if w in a.note}
    items = dial_figure(job).items
    names = [i.text for i in items if isinstance(i, Text) and i.tag == "dial place"]
    assert names == [a.to for a in asked_for] and len(names) == 6 * len(job.pads)
    rings = [i.segments[0].box.centre for i in items if isinstance(i, Stroke) and i.tag in ("pad", "dial")]
    for k in range(len(job.pads)):
        middle, first = rings[7 * k : 7 * k + 2]  # the pad, then its places in their order
        assert first.minus(middle).unit().distance(towards) < 1e-9


def test_missing_readings_are_named() -> None:
    rows = [r for r in filled() if r.kind != "gap"]
    found = inspect(JOB, None, rows)
    assert found.verdict == "incomplete"
    assert found.missing == tuple(f"gap {n}" for n, _, _ in gap_stations(JOB))


def test_unknown_names_come_in_one_report() -> None:
    rows = [
        Reading("distance", "H1", "H22", 1.0, 4),
        Reading("dial", "A", "9", 0.1, 5),
        Reading("gap", "G99", "", 1.0, 6),
    ]
    with pytest.raises(JobError) as caught:
        inspect(JOB, None, rows)
    said = str(caught.value)
    assert "line 4" in said and "nearest: 'H2'" in said and "line 5" in said and "line 6" in said


def test_the_same_distance_twice_with_another_value() -> None:
    found = inspect(JOB, None, [*filled(), Reading("distance", "H2", "H1", 145.0, 99)])
    assert [f.code for f in found.findings] == ["reading-twice"]


def test_points_from_measured_coordinates_in_the_measurer_s_own_axes() -> None:
    points = named_points(JOB)
    rows = []
    for name in ("H1", "H2", "H3"):
        p = points[name].turned(0.4).plus(Point(1000.0, -300.0))
        rows += [Reading("x", name, "", p.x, 2), Reading("y", name, "", p.y, 3)]
    found = inspect(JOB, None, rows)
    assert found.fit is not None and found.fit.angle_rad == pytest.approx(-0.4, abs=1e-9)  # exact
    assert max(p.deviation_mm for p in found.points) < 1e-9


def test_points_that_no_reading_ties_to_the_others_have_no_place_and_bend_no_fit() -> None:
    job = small_job()
    at = {n: p for n, p in named_points(job).items() if n in ("H1", "H2", "H3", "H4")}
    names = list(at)
    pairs = [(a, b) for k, a in enumerate(names) for b in names[k + 1 :]]
    rows = [Reading("distance", a, b, at[a].distance(at[b]) + 0.2 * (-1) ** k) for k, (a, b) in enumerate(pairs)]
    alone = inspect(job, None, rows)
    both = inspect(job, None, [*rows, Reading("distance", "A", "B", 140.3)])
    # exact: the two pads are measured to each other alone, and could stand anywhere beside the four holes
    assert [p.name for p in both.points] == names
    assert [p.deviation_mm for p in both.points] == pytest.approx([p.deviation_mm for p in alone.points], abs=1e-6)
    assert max(p.deviation_mm for p in both.points) < 0.3
    assert any(c.kind == "length" and c.size_mm == pytest.approx(140.0) for c in both.checked)


def test_no_value_at_all_is_an_error() -> None:
    with pytest.raises(JobError):
        inspect(JOB, None, [Reading("gap", "G1", "", None, 2)])


def test_sharp_corners_are_named_from_the_lower_left() -> None:
    from cutplan.geometry.contour import rectangle

    plate = replace(JOB.plate, outline=rectangle(0.0, 0.0, 100.0, 50.0))
    named = corners(replace(JOB, plate=plate))
    assert [n for n, _ in named] == ["E1", "E2", "E3", "E4"]
    assert named[0][1] == Point(0.0, 0.0) and named[1][1] == Point(100.0, 0.0)


def test_inspection_as_data_is_plain() -> None:
    import json

    json.dumps(inspect(JOB, None, filled()).as_dict(), allow_nan=False)
