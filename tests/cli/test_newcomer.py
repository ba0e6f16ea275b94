"""What somebody types who is new here: a folder for a file, the wrong unit, a name with blanks, a step twice."""

from __future__ import annotations

import shlex
from pathlib import Path

import pytest
from drawing_help import box, dxf

from cutplan.cli.main import main
from cutplan.files.job.read import read_job
from cutplan.project.coupons.request import Request
from cutplan.project.coupons.run import make_coupon, next_call
from cutplan.texts import command
from cutplan.texts.command import pasted


@pytest.fixture(autouse=True)
def _own_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))


def called(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, str]:
    capsys.readouterr()
    try:
        code = main(list(words))
    except SystemExit as end:
        code = int(end.code or 0)
    out, err = capsys.readouterr()
    return code, out + err


def test_a_job_may_be_begun_by_its_folder(capsys: pytest.CaptureFixture[str]) -> None:
    code, said = called(capsys, "new", "Stütze links", "--thickness", "4", "--skin", "2,5")
    assert code == 0 and Path("Stütze links/job.toml").is_file()
    assert 'cutplan check "Stütze links/job.toml"' in said
    code, said = called(capsys, "new", "Stütze links", "--thickness", "4", "--skin", "2.5")
    assert code == 1 and "there already" in said and "Stütze links/job.toml" in said


def test_a_thickness_in_the_wrong_unit_is_told_in_both(capsys: pytest.CaptureFixture[str]) -> None:
    code, said = called(capsys, "new", "j", "--units", "in", "--thickness", "4", "--skin", "0.1")
    # exact: 4 in are 101.6 mm
    assert code == 1 and "4 in, that is 101.6 mm" in said and '"4 mm"' in said and "0.5 mm and 40 mm" in said


def test_a_name_with_blanks_without_quotes_is_told_so(capsys: pytest.CaptureFixture[str]) -> None:
    code, said = called(capsys, "make", "job", "-o", "my", "new", "folder", "--only")
    assert code == 2
    code, said = called(capsys, "inspect", "job", "form.csv", "two words", "more")
    assert code == 2 and "two words more: not understood" in said and "in quotes; cutplan inspect --help" in said


@pytest.mark.parametrize(
    ("words", "kind", "makes"),
    [
        (["check"], "job", "cutplan new"),
        (["place"], "study", "cutplan place --new"),
        (["coupon", "paper", "--measured", "x=180", "y=260", "--shop"], "shop", ""),
    ],
)
def test_a_folder_or_a_missing_file_is_told_by_what_it_should_be(
    capsys: pytest.CaptureFixture[str], words: list[str], kind: str, makes: str
) -> None:
    Path("d").mkdir()
    if kind != "job":  # a job is found in its folder
        code, said = called(capsys, *words, "d")
        assert code == 1 and f"not a {kind} file" in said and f"name the {kind}.toml" in said
    if makes:
        code, said = called(capsys, *words, "none.toml")
        assert code == 1 and f"; {makes} makes one" in said


def test_a_key_that_stands_twice_is_told_so(capsys: pytest.CaptureFixture[str]) -> None:
    called(capsys, "new", "j", "--thickness", "4", "--skin", "2.5")
    job = Path("j/job.toml")
    job.write_text(job.read_text("utf-8").replace('title = "j"', 'title = "j"\ntitle = "k"'), "utf-8")
    code, said = called(capsys, "check", "j")
    assert code == 1 and "stands in the file already" in said and "quotes" not in said


def test_readings_of_another_paper_are_told_with_their_names(capsys: pytest.CaptureFixture[str]) -> None:
    code, said = called(capsys, "coupon", "paper", "--paper", "Letter", "--measured", "x=179.25", "y=260.5")
    assert code == 1 and "y: 260.5 mm measured" in said and "--paper" in said
    code, said = called(capsys, "coupon", "paper", "--measured", "x=180", "y=260", "d1=316", "d2=390")
    assert code == 1 and "d2: 390 mm measured" in said


def test_a_slipped_decimal_point_of_the_trial_weld_teaches_nothing(capsys: pytest.CaptureFixture[str]) -> None:
    rows = ["after1=80.6", "rise1=0.4", "before2=81", "after2=80.6", "rise2=0.4", "before3=81", "after3=80.6"]
    call = ["coupon", "weld", "--thickness", "3", "--shop", "shop.toml", "--measured"]
    code, said = called(capsys, *call, "before1=8.1", *rows)
    assert code == 1 and "8.1 mm cannot stand beside 80.6 mm" in said and not Path("shop.toml").exists()
    assert called(capsys, *call, "before1=81", *rows)[0] == 0


def test_a_taper_is_told_only_where_both_faces_were_measured(capsys: pytest.CaptureFixture[str]) -> None:
    call = ["coupon", "holes", "--process", "air plasma", "--thickness", "4", "--shop", "shop.toml", "--measured"]
    _, said = called(capsys, *call, "kerf=1.5mm", "D10_top=10.4", "D10_bottom=10.1", "D20_top=20.2")
    ten, twenty = (line for line in said.splitlines() if line.startswith("holes of"))
    assert "taper 2.1" in ten and "taper not measured" in twenty


def test_a_remnant_is_not_written_over_by_its_own_order(capsys: pytest.CaptureFixture[str]) -> None:
    called(capsys, "new", "a", "--thickness", "4", "--skin", "2.5")
    Path("sheet").mkdir()
    remnant = Path("sheet/sheet-1-remnant.dxf")
    remnant.write_bytes(b"a remnant")
    code, said = called(capsys, "sheet", "a", "--stock", str(remnant), "-o", "sheet")
    assert code == 2 and "would be written over" in said and "-o sheet-2" in said
    assert remnant.read_bytes() == b"a remnant"


def test_a_sheet_of_stock_may_have_a_decimal_comma(capsys: pytest.CaptureFixture[str]) -> None:
    from cutplan.project.sheet import stock

    # exact: both are 1000.5 mm wide
    assert stock("1000,5x500").shape.box.width == stock("1000.5x500").shape.box.width == 1000.5


def test_a_printed_command_is_taken_by_every_terminal(monkeypatch: pytest.MonkeyPatch) -> None:
    for word in ("plain", "air plasma", "Müllers Anhänger/job.toml", "it's", 'a "b"', "$HOME", "back\\slash", ""):
        assert shlex.split(pasted(word)) == [word]
    assert pasted("air plasma") == '"air plasma"'  # the command prompt of Windows knows no single quotes
    monkeypatch.setattr(command.os, "name", "nt")
    assert pasted("C:\\parts\\job.toml") == "C:\\parts\\job.toml" and pasted("my parts\\a.toml") == '"my parts\\a.toml"'


def test_the_command_that_a_trial_piece_prints_is_understood(tmp_path: Path) -> None:
    made = make_coupon(Request("kerf", process="air plasma", thickness_mm=4.0), tmp_path / "trial")
    words = shlex.split(next_call(Request("kerf", process="air plasma", thickness_mm=4.0), made))
    assert words[:6] == ["cutplan", "coupon", "kerf", "--process", "air plasma", "--thickness"]


@pytest.mark.slow  # it plans the weld
def test_a_part_that_passes_is_told_how_to_get_the_page_to_file(capsys: pytest.CaptureFixture[str]) -> None:
    called(capsys, "new", "j", "--thickness", "4", "--skin", "2.5")
    called(capsys, "inspect", "j", "--form", "my form.csv")
    form = Path("my form.csv")
    rows = [line.split(",") for line in form.read_text("utf-8").splitlines()]
    form.write_text(
        "\n".join(",".join((*r[:5], r[4] if k else "measured", *r[6:])) for k, r in enumerate(rows)), "utf-8"
    )
    code, said = called(capsys, "inspect", "j", "my form.csv")
    assert code == 0 and 'cutplan inspect j "my form.csv" -o as-built.pdf' in said
    code, said = called(capsys, "inspect", "j", "my form.csv", "-o", "page.pdf")
    assert code == 0 and "as-built.pdf" not in said and Path("page.pdf").is_file()


@pytest.mark.parametrize(("skin", "taken"), [("0.4", True), ("20", True), ("20.1", False), ("250", False)])
def test_a_job_begins_with_no_thickness_that_its_file_refuses(tmp_path: Path, skin: str, taken: bool) -> None:
    # the job file takes skins of 0.4 to 20 mm: on the page as in the terminal
    from cutplan.errors import CutplanError
    from cutplan.project.desk.start import begin

    assert (main(["new", "j", "--thickness", "4", "--skin", skin]) == 0) is taken
    if taken:
        begin(tmp_path / "page", "tape", "a job", "mm", plate="4", skin=skin)
    else:
        with pytest.raises(CutplanError, match=f"{skin} mm, that is {skin} mm, is no thickness"):
            begin(tmp_path / "page", "tape", "a job", "mm", plate="4", skin=skin)
        assert not (tmp_path / "page").exists()


@pytest.mark.parametrize("words", [["check"], ["make"], ["new"], ["page", "--no-open"]])
def test_a_drawing_named_as_a_job_is_told_how_a_job_is_begun_from_it(
    capsys: pytest.CaptureFixture[str], words: list[str]
) -> None:
    Path("my plate.DXF").write_text(dxf(box(0, 0, 200, 100)))
    code, said = called(capsys, *words, "my plate.DXF")
    assert code == 1 and "this is a drawing, not a job file" in said
    begin = said.split("begin a job from it: cutplan ")[1].splitlines()[0]
    code, said = called(capsys, *shlex.split(begin), "--thickness", "4", "--skin", "2.5")
    assert code == 0 and Path("my plate.toml").is_file(), said


def test_a_picture_or_a_document_named_as_a_job_is_told_what_to_do(capsys: pytest.CaptureFixture[str]) -> None:
    code, said = called(capsys, "check", "card.JPG")
    assert code == 1 and "a picture" in said and "cutplan trace" in said
    code, said = called(capsys, "check", "plate.dwg")
    assert code == 1 and "DXF or SVG" in said


def test_a_job_file_named_as_a_drawing_is_told_so(capsys: pytest.CaptureFixture[str]) -> None:
    Path("job.toml").write_text("title = 'x'")
    code, said = called(capsys, "read", "job.toml")
    assert code == 1 and "a job file, not a drawing" in said and "cutplan check job.toml" in said


def test_a_job_of_an_inch_drawing_is_on_inch_paper_and_keeps_what_was_measured_in_millimetres(
    capsys: pytest.CaptureFixture[str],
) -> None:
    Path("plate.dxf").write_text(dxf(box(0, 0, 8, 4), header="9\n$INSUNITS\n70\n1\n"))
    code, said = called(capsys, "new", "j", "--drawing", "plate.dxf", "--thickness", "4 mm", "--skin", "0.1 in")
    text = Path("j/job.toml").read_text(encoding="utf-8")
    assert code == 0 and 'size = "Letter"' in text, said
    assert '\nthickness = "4 mm"' in text and '\nthickness = "0.1 in"' in text
    job = read_job(Path("j/job.toml"))
    assert job.plate.thickness_mm == 4.0 and job.skin.thickness_mm == pytest.approx(2.54, abs=1e-12)  # exact
