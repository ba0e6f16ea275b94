"""The figures of a drawing's dimensions, and the unit its notes name, against what it draws. Expected values are exact: lengths as drawn."""

from __future__ import annotations

from pathlib import Path

import ezdxf
import pytest
from drawing_help import box, circle, dxf, entity, save

from cutplan.files.drawing_in import Drawing, read_drawing
from cutplan.files.known_length import parse_known
from cutplan.files.unit_note import unit_noted
from cutplan.findings import Finding


def along(text: str, x0: float, y0: float, x1: float, y1: float, angle: float = 0.0, kind: int = 32) -> str:
    """A DIMENSION between two points, along an angle (kind 32) or as it lies (33)."""
    ends = ((13, x0), (23, y0), (14, x1), (24, y1))
    return entity("DIMENSION", (1, text), (70, kind), *ends, (50, angle))


def across(text: str, x0: float, x1: float, kind: int) -> str:
    """A DIMENSION of a diameter (35) or of a radius (36) on a level line."""
    return entity("DIMENSION", (1, text), (70, kind), (10, x0), (20, 50.0), (15, x1), (25, 50.0))


def read(tmp_path: Path, text: str) -> Drawing:
    return read_drawing(save(tmp_path, text))


def told(tmp_path: Path, *dimensions: str, header: str = "9\n$INSUNITS\n70\n4\n") -> list[Finding]:
    drawing = read(tmp_path, dxf(box(0, 0, 200, 100), circle(50, 50, 10), *dimensions, header=header))
    return [f for f in drawing.findings if f.code in ("drawn-to-scale", "dimension-differs")]


def overall(tmp_path: Path, text: str) -> list[Finding]:
    return told(tmp_path, along(text, 0, 0, 200, 0))


@pytest.mark.parametrize(
    "text",
    [
        *(
            "200",
            "200.0",
            "200,00",
            "200 mm",
            "(200)",
            "200 TYP",
            "200%%p0.5",
            "\\A1;200",
            "{\\H0.7x;200}",
            "200 [7.87]",
        ),
        *("7.87", '7.874"', "7.87 in"),  # the same in inches: 200 / 25.4 = 7.874
        *("0", "0.00", "", "<>", "see note 3", "1/2", "200x100", "M8", "\\fArial|b0;width"),  # no plain figure
    ],
)
def test_a_figure_that_is_what_is_drawn_or_none_is_no_doubt(tmp_path: Path, text: str) -> None:
    assert overall(tmp_path, text) == []


@pytest.mark.parametrize(
    ("text", "scale"),
    [("400", "1 : 2"), ("400 mm", "1 : 2"), ("100", "2 : 1"), ("\\A1;2000", "1 : 10"), ("200 in", "1 : 25.4")],
)
def test_a_drawing_to_a_scale_is_refused(tmp_path: Path, text: str, scale: str) -> None:
    (found,) = overall(tmp_path, text)
    assert found.code == "drawn-to-scale" and found.severity == "error"
    assert f"scale of {scale}" in str(found.message) and "200 mm is drawn" in str(found.message)


def test_every_kind_of_length_is_compared(tmp_path: Path) -> None:
    right = [
        along("100", 0, 0, 30, 100, 90.0),  # upright: the height only
        along("104.4", 0, 0, 30, 100, 0.0, 33),  # as it lies: sqrt(30² + 100²)
        across("%%c20", 40, 60, 35),
        across("4x R10", 50, 60, 36),
        entity("DIMENSION", (1, "45"), (70, 34), (13, 0), (23, 0), (14, 9), (24, 9)),  # an angle: no length
    ]
    assert told(tmp_path, *right) == []
    (found,) = told(tmp_path, along("100", 0, 0, 100, 100, 45.0))
    assert "141.421 mm is drawn" in str(found.message)
    assert told(tmp_path, along("100", 0, 0, 100, -100, 45.0)) == []  # nothing lies between its ends along that angle
    for wrong in (along("30", 0, 0, 30, 100, 90.0), across("%%c10", 40, 60, 35), across("R20", 50, 60, 36)):
        (found,) = told(tmp_path, wrong)
        assert found.code == "drawn-to-scale"


def test_one_figure_among_others_is_warned_of(tmp_path: Path) -> None:
    (found,) = told(tmp_path, along("200", 0, 0, 200, 0), along("100", 0, 0, 0, 100, 90.0), across("%%c22", 40, 60, 35))
    assert found.code == "dimension-differs" and found.severity == "warning"
    assert "says 22 where 20 mm is drawn" in str(found.message)


def test_the_scale_of_a_drawing_in_inches_is_told_in_inches(tmp_path: Path) -> None:
    plate = box(0, 0, 8, 4) + along("16", 0, 0, 8, 0)
    drawing = read(tmp_path, dxf(plate, header="9\n$INSUNITS\n70\n1\n"))
    (found,) = [f for f in drawing.findings if f.code == "drawn-to-scale"]
    assert "scale of 1 : 2" in str(found.message)


def test_half_of_the_figures_are_no_scale(tmp_path: Path) -> None:
    right = [along("200", 0, 0, 200, 0), along("100", 0, 0, 0, 100, 90.0)]
    (found,) = told(tmp_path, *right, across("%%c40", 40, 60, 35), across("R20", 50, 60, 36))
    assert found.code == "dimension-differs" and "2 dimensions say other lengths" in str(found.message)


def test_a_length_that_was_measured_settles_it(tmp_path: Path) -> None:
    path = save(tmp_path, dxf(box(0, 0, 200, 100), along("400", 0, 0, 200, 0), header="9\n$INSUNITS\n70\n4\n"))
    scaled = read_drawing(path, length=parse_known("width=400", "mm"))
    assert scaled.sound and scaled.parts[0].region.box.width == pytest.approx(400.0)
    assert not [f for f in scaled.findings if f.code == "drawn-to-scale"]
    as_drawn = read_drawing(path, units="mm")
    assert as_drawn.sound and [f.severity for f in as_drawn.findings if f.code == "drawn-to-scale"] == ["warning"]


@pytest.mark.parametrize(("factor", "sound"), [(1.0, True), (2.0, False)])
def test_the_figure_that_another_program_prints_is_read_from_its_picture(
    tmp_path: Path, factor: float, sound: bool
) -> None:
    made = ezdxf.new("R2010", setup=True)
    made.header["$INSUNITS"] = 4
    space = made.modelspace()
    space.add_lwpolyline([(0, 0), (200, 0), (200, 100), (0, 100)], close=True)
    space.add_linear_dim(base=(0, -15), p1=(0, 0), p2=(200, 0), override={"dimlfac": factor}).render()
    made.saveas(tmp_path / "plate.dxf")
    assert read_drawing(tmp_path / "plate.dxf").sound == sound


def test_a_dimension_of_the_drawing_sheet_is_passed_over(tmp_path: Path) -> None:
    on_paper = along("400", 0, 0, 200, 0).replace("8\n0\n", "67\n1\n8\n0\n", 1)
    assert told(tmp_path, on_paper) == []


@pytest.mark.parametrize(
    ("text", "unit"),
    [
        ("ALL DIMENSIONS IN INCHES", "in"),
        ("Unless otherwise noted, dimensions are in mm", "mm"),
        ("UNITS: INCH", "in"),
        ("alle Maße in mm", "mm"),
        ("Maßangaben in Zoll", "in"),
        ("dimensions in mm, dims in brackets in inches", None),  # both
        ("pitch 20 mm", None),
        ("inches", None),
        ("unit weight 3 kg, drilled 6 mm deep", None),  # more than four words between
    ],
)
def test_a_note_names_the_unit(text: str, unit: str | None) -> None:
    assert unit_noted(text) == unit


@pytest.mark.parametrize(("unit", "word", "factor"), [("mm", "mm", 25.0), ("in", "inches", 1.0)])
def test_a_drawing_without_a_unit_is_of_the_one_that_its_note_names(
    tmp_path: Path, unit: str, word: str, factor: float
) -> None:
    plate = box(0, 0, 8 * factor, 4 * factor) + circle(2 * factor, 2 * factor, 0.25 * factor)
    note = entity("TEXT", (10, 0), (20, -20), (1, f"dimensions in {word}"))
    drawing = read(tmp_path, dxf(plate, note, header=""))
    assert (drawing.units.name, drawing.units.firm, drawing.sound) == (unit, True, True)
    assert not read(tmp_path, dxf(plate, header="")).units.firm


def test_a_note_against_the_header_decides_nothing(tmp_path: Path) -> None:
    note = entity("TEXT", (10, 0), (20, -20), (1, "dimensions in inches"))
    assert read(tmp_path, dxf(box(0, 0, 200, 100), note)).units.name == "mm"
