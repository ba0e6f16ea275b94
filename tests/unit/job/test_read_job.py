"""Job files: every problem located, all in one report; sizes exact."""

from __future__ import annotations

from math import pi
from pathlib import Path

import pytest

from cutplan.errors import CutplanError, DrawingError, JobError
from cutplan.files.job.read import read_job
from cutplan.pattern.checks.check import check_job

BASE = """
units = "mm"
title = "Insert"
[skin]
thickness = "2.5 mm"
[plate]
shape = "rectangle"
width = 200
height = 100
thickness = 4
"""


def job(tmp_path: Path, text: str):  # type: ignore[no-untyped-def]
    path = tmp_path / "job.toml"
    path.write_text(text, encoding="utf-8")
    return read_job(path)


def test_the_smallest_job(tmp_path: Path) -> None:
    found = job(tmp_path, BASE)
    assert found.plate.region.area == pytest.approx(20_000.0)
    assert (found.joint.kind, found.joint.gap_mm, found.plate.thickness_mm) == ("butt", 1.0, 4.0)


def test_inches_once_and_mixed(tmp_path: Path) -> None:
    text = BASE.replace('"mm"', '"in"', 1).replace("200", "8").replace("100", '"4 in"').replace("= 4\n", '= "4 mm"\n')
    found = job(tmp_path, text)
    assert found.plate.outline.box.width == pytest.approx(203.2, abs=1e-12)  # exact: 8 x 25.4
    assert found.plate.thickness_mm == 4.0
    assert found.shown.display == "in"


def test_all_problems_in_one_report(tmp_path: Path) -> None:
    text = (
        BASE.replace('thickness = "2.5 mm"', "thickness = 2\nthicknes = 2\nribs = 1")
        + '[joint]\nkind = "but"\n[[pad]]\nhole = "H9"\n[cutting]\nkerf = "1 fathom"\n'
    )
    with pytest.raises(JobError) as caught:
        job(tmp_path, text)
    report = str(caught.value)
    for part in (
        "joint.kind",
        'did you mean "butt"',
        "skin.thicknes",
        'did you mean "thickness"',
        "pad[0].hole",
        "cutting.kerf",
        "5 problems",
    ):
        assert part in report, part


@pytest.mark.parametrize(
    ("old", "new", "where"),
    [
        ("thickness = 4", "thickness = nan", "plate.thickness"),
        ("thickness = 4", "thickness = -4", "plate.thickness"),
        ("thickness = 4", "thickness = inf", "plate.thickness"),
        ("thickness = 4", "thickness = true", "plate.thickness"),
        ("thickness = 4", "", "plate.thickness"),
        ('units = "mm"', "", "units"),
        ('units = "mm"', 'units = "furlong"', "units"),
        ('title = "Insert"', 'title = ""', "title"),
        ("width = 200", "width = 1e300", "plate.width"),
        ("width = 200", "width = 0", "plate.width"),
        ('shape = "rectangle"', 'shape = "rectangle"\ndrawing = "a.dxf"', "plate.drawing"),
        ('shape = "rectangle"', "", "plate.drawing"),
        ('shape = "rectangle"', 'drawing = "../a.dxf"', "plate.drawing"),
        ('shape = "rectangle"', 'drawing = "/etc/passwd"', "plate.drawing"),
        ("thickness = 4", 'thickness = 4\nsteel = "unobtainium"', "plate.steel"),
        ("thickness = 4", "thickness = 4\nquantity = 0", "plate.quantity"),
    ],
)
def test_one_wrong_key_is_named(tmp_path: Path, old: str, new: str, where: str) -> None:
    with pytest.raises(JobError) as caught:
        job(tmp_path, BASE.replace(old, new))
    assert where in str(caught.value)
    assert "try:" in str(caught.value)


def test_a_link_out_of_the_folder_is_not_followed(tmp_path: Path) -> None:
    outside = tmp_path / "outside.dxf"
    outside.write_text("0\nEOF\n")
    inner = tmp_path / "inner"
    inner.mkdir()
    (inner / "plate.dxf").symlink_to(outside)
    with pytest.raises(JobError, match="outside the job's folder"):
        job(
            inner,
            BASE.replace('shape = "rectangle"', 'drawing = "plate.dxf"').replace("width = 200\nheight = 100\n", ""),
        )


@pytest.mark.parametrize("raw", [b"\xff\xfe\x00", b"units = ", b"[" * 5000, b"a = " + b"[" * 100_000])
def test_what_is_no_toml_is_refused(tmp_path: Path, raw: bytes) -> None:
    path = tmp_path / "job.toml"
    path.write_bytes(raw)
    with pytest.raises(CutplanError):
        read_job(path)


def test_missing_files_are_named(tmp_path: Path) -> None:
    with pytest.raises(JobError, match="cannot be read"):
        read_job(tmp_path / "none.toml")
    text = BASE.replace('shape = "rectangle"', 'drawing = "none.dxf"').replace("width = 200\nheight = 100\n", "")
    with pytest.raises((DrawingError, JobError)) as caught:
        job(tmp_path, text)
    assert "none.dxf" in str(caught.value)


def test_typed_outline_with_fillets_arc_and_mirror(tmp_path: Path) -> None:
    """Exact: half of a 100 x 60 plate mirrored, two outer corners rounded by 10 mm."""
    text = """
units = "mm"
title = "Half"
[skin]
thickness = 2
[plate]
thickness = 3
mirror = "y"
outline = [ { at = [0, 0] }, { at = [50, 0], fillet = 10 }, { at = [50, 60] }, { at = [0, 60] } ]
"""
    plate = job(tmp_path, text).plate
    assert plate.outline.area == pytest.approx(6000 - 2 * (1 - pi / 4) * 100, rel=1e-12)
    assert len(plate.outline.segments) == 6  # four sides and two fillets: nothing left at the mirror line


@pytest.mark.parametrize(
    "outline",
    [
        "[{ at = [0, 0] }, { at = [10, 0] }]",
        "[{ at = [0, 0] }, { at = [0, 0] }, { at = [5, 5] }]",
        "[{ at = [0, 0], fillet = 9 }, { at = [10, 0] }, { at = [10, 10] }]",
        "[{ at = [0, 0] }, { at = [10, 0] }, { at = [10, 10], fillet = 3, through = [12, 5] }]",
        "[{ x = 1 }]",
        "7",
    ],
)
def test_impossible_outlines_are_refused(tmp_path: Path, outline: str) -> None:
    with pytest.raises(JobError, match=r"plate\.outline"):
        job(tmp_path, f'units = "mm"\ntitle = "x"\n[plate]\nthickness = 3\noutline = {outline}\n')


def test_slots_bolt_circles_rows_and_mirrors(tmp_path: Path) -> None:
    text = (
        BASE
        + """
[[plate.hole]]
at = [60, 50]
diameter = 9
circle_diameter = 60
count = 4
purpose = "bolt"
bolt = "M8"
[[plate.hole]]
at = [120, 20]
slot_length = 30
slot_width = 10
angle_deg = 90
mirror_y = 50
[[plate.hole]]
name = "row"
at = [150, 30]
diameter = 5
count = 3
step = [10, 10]
purpose = "locating"
"""
    )
    holes = job(tmp_path, text).plate.holes
    assert len(holes) == 4 + 2 + 3
    assert [round(h.centre.x, 6) for h in holes[:4]] == [90, 60, 30, 60]
    slot = holes[4].contour
    assert slot.area == pytest.approx(20 * 10 + pi * 25)
    assert slot.box.height == pytest.approx(30) and slot.box.width == pytest.approx(10)
    assert holes[5].centre.y == pytest.approx(80)
    assert [h.name for h in holes[6:]] == ["row1", "row2", "row3"]


def test_unwelded_sides_and_stretches(tmp_path: Path) -> None:
    found = job(tmp_path, BASE + '[joint]\nunwelded = ["top", { from = [0, 80], to = [0, 20] }]\n')
    spans = [(s.start_mm, s.end_mm) for s in found.joint.unwelded]
    assert spans == [pytest.approx((300, 500)), pytest.approx((520, 580))]
    with pytest.raises(JobError, match="off the outline"):
        job(tmp_path, BASE + "[joint]\nunwelded = [{ from = [50, 50], to = [0, 0] }]\n")


@pytest.mark.parametrize("size", [4, 5900])
def test_a_slip_between_inches_and_millimetres_is_asked_about(tmp_path: Path, size: int) -> None:
    found = job(tmp_path, BASE.replace("200", str(size)).replace("100", str(size)))
    assert [f.code for f in found.origin.findings] == ["size-unusual"]
    assert "inch" in str(found.origin.findings[0].fix)


@pytest.mark.parametrize(
    "plate, key",
    [
        ('shape = "rectangle"\nwidth = 20000\nheight = 100\n', "plate.width"),
        ("outline = [{ at = [0, 0] }, { at = [6000.5, 0] }, { at = [0, 90] }]\n", "plate.outline"),
    ],
)
def test_a_plate_too_long_to_be_planned_is_refused_at_the_door(tmp_path: Path, plate: str, key: str) -> None:
    text = 'units = "mm"\ntitle = "t"\n[skin]\nthickness = 2.5\n[plate]\nthickness = 4\n' + plate
    with pytest.raises(JobError) as refused:
        job(tmp_path, text)
    assert key in str(refused.value) and "6000" in str(refused.value).replace(",", "")
    assert job(tmp_path, text.replace("20000", "6000").replace("6000.5", "6000")).plate.outline.box.width == 6000.0


def test_arrows_are_those_named_and_forward_where_none_is(tmp_path: Path) -> None:
    assert job(tmp_path, BASE).marks.arrows == (("forward", 90.0),)
    rear = job(tmp_path, BASE + "[marks]\nup_deg = 90\nleft_deg = 180\n")
    assert rear.marks.arrows == (("up", 90.0), ("left", 180.0))


def test_what_depth_heat_and_weld_rest_on_is_never_invented(tmp_path: Path) -> None:
    """No [skin] is an error that says how to measure it, not a skin of 2.5 mm."""
    for text in (BASE.replace('[skin]\nthickness = "2.5 mm"\n', ""), BASE.replace('thickness = "2.5 mm"\n', "")):
        with pytest.raises(JobError) as told:
            job(tmp_path, text)
        assert "skin.thickness" in str(told.value) and "caliper" in str(told.value)


def test_walls_that_nobody_measured_are_told(tmp_path: Path) -> None:
    """The brace's room, the heat and the flatness rest on them: a usual distance is never taken in silence."""
    for walls, sides in (
        ("", ("left 60 mm", "right 60 mm", "bottom 30 mm", "top 30 mm")),
        ("[skin.walls]\nleft = 70\ntop = 41\n", ("right 60 mm", "bottom 30 mm")),
        ("[skin.walls]\nleft = 60\nright = 60\nbottom = 30\ntop = 30\n", ()),
    ):
        told = [str(f.message) for f in check_job(job(tmp_path, BASE + walls)) if f.code == "walls-assumed"]
        assert len(told) == bool(sides)
        assert not sides or told[0].endswith(f"not measured: {', '.join(sides)} taken")


@pytest.mark.parametrize(
    ("line", "says"), [("4mm", '"4mm"'), ("4,5", "4.5"), ("3/16 in", '"3/16 in"'), ('4"', "quotes")]
)
def test_a_bare_length_says_how_it_is_written(tmp_path: Path, line: str, says: str) -> None:
    with pytest.raises(JobError) as told:
        job(tmp_path, BASE.replace("thickness = 4\n", f"thickness = {line}\n"))
    assert says in str(told.value.hint) and "line 10" in str(told.value.hint)


def test_words_of_the_trade_are_understood(tmp_path: Path) -> None:
    for word, process in (("MIG", "GMAW"), ("mag", "GMAW"), ("TIG", "GTAW"), ("WIG", "GTAW"), ("gtaw", "GTAW")):
        assert job(tmp_path, BASE + f'[welding]\nprocess = "{word}"\n').welding.process == process


def test_at_most_twenty_problems_are_told_in_full(tmp_path: Path) -> None:
    """1.5 MB of unknown keys is no 25 MB of output."""
    with pytest.raises(JobError) as told:
        job(tmp_path, BASE + "".join(f"key_{i} = {i}\n" for i in range(60_000)))
    assert len(str(told.value)) < 20_000 and "59980 more" in str(told.value)
    with pytest.raises(JobError) as told:
        job(tmp_path, BASE.replace("= 4\n", "= " + "9" * 4000 + "\n"))
    assert len(str(told.value)) < 1000
    with pytest.raises(JobError, match="line 10 holds a number of 5000 digits"):
        job(tmp_path, BASE.replace("= 4\n", "= " + "9" * 5000 + "\n"))


def test_pads_of_one_name_or_one_place_are_refused(tmp_path: Path) -> None:
    from cutplan.pattern.checks.check import check_job

    two = '[[pad]]\nname = "mount"\nat = [50, 50]\n[[pad]]\nname = "Mount "\nat = [50, 50]\n'
    found = check_job(job(tmp_path, BASE + two))
    assert [f.code for f in found if f.severity == "error"] == ["pad-name-twice", "pad-twice"]


def test_a_key_that_needs_another_is_not_called_unknown(tmp_path: Path) -> None:
    from cutplan.files.job.read import job_from

    hole = {"at": [50, 50], "diameter": 12, "corner_radius": 2}
    plate = {"shape": "rectangle", "width": 200, "height": 120, "thickness": 4, "hole": [hole], "widht": 3}
    data = {"units": "mm", "title": "t", "plate": plate, "skin": {"thickness": 2.5}}
    with pytest.raises(CutplanError) as refused:
        job_from(data, tmp_path / "job.toml")
    said = str(refused.value)
    assert "plate.hole[0].corner_radius: does not go with the other keys" in said
    assert 'plate.widht: is not a known key (try: did you mean "width"' in said


def test_a_job_file_too_large_is_told_by_its_size(tmp_path: Path) -> None:
    path = tmp_path / "job.toml"
    path.write_bytes(b"#" * (2 * 1024 * 1024 + 1))
    with pytest.raises(CutplanError) as refused:
        read_job(path)
    # exact: one byte more than two mebibytes
    assert "2097153 bytes, more than 2097152" in str(refused.value)


def test_words_are_taken_whatever_their_capitals(tmp_path: Path) -> None:
    text = BASE + '[paper]\nsize = "letter"\n[cutting]\nprocess = "Laser "\n[joint]\nkind = "Butt"\n'
    found = job(tmp_path, text)
    assert (found.paper.name, found.cutting.process, found.joint.kind) == ("Letter", "laser", "butt")
    with pytest.raises(JobError, match='"lettre" is not known'):
        job(tmp_path, BASE + '[paper]\nsize = "lettre"\n')
