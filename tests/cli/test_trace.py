"""``cutplan marks`` and ``cutplan trace`` as a person calls them."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from rig.sample import KNOWN, PHOTOS

from cutplan.cli.main import main

CALL = ["trace", *map(str, PHOTOS[:2]), "--thickness", "2.5 mm", "--known", f"A1-D2={KNOWN['A1-D2']}"]


def test_nothing_is_written_before_somebody_looked(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    target = tmp_path / "plate.dxf"
    assert main([*CALL, "-o", str(target), "--json"]) == 1
    answer = json.loads(capsys.readouterr().out)
    assert answer["confirmed"] is False and len(answer["holes"]) == 4
    assert not target.exists()
    assert (tmp_path / "plate.found.png").stat().st_size > 10_000


@pytest.mark.slow
def test_a_confirmed_plate_is_written_with_its_errors(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    target = tmp_path / "plate.dxf"
    assert main([*CALL, "-o", str(target), "--holes", "4", "--language", "de"]) == 0
    said = capsys.readouterr().out
    assert "Standardfehler" in said and "Löcher: 4" in said
    assert main(["read", str(target), "--json"]) == 0
    part = json.loads(capsys.readouterr().out)["parts"][0]
    assert part["size_mm"] == pytest.approx([230.0, 150.0], abs=0.15)  # exact size of the card; one error is 0.05
    assert len(part["holes"]) == 4
    assert (tmp_path / "plate.errors.json").exists()


def test_a_wrong_call_says_how_it_is_called(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    target = str(tmp_path / "p.dxf")
    assert main(["trace", str(PHOTOS[0]), "-o", target, "--thickness", "2.5", "--known", "A1D2 300"]) == 2
    assert "A1-D2=295.4" in capsys.readouterr().err
    assert main(["marks", "--paper", "A9", "-o", str(tmp_path / "m.pdf")]) == 2
    assert "A9 is no paper size" in capsys.readouterr().err


@pytest.mark.parametrize("paper, pages", [("A4", 3), ("Letter", 3), ("A3", 3)])
def test_marks_are_printed_in_either_language(tmp_path: Path, paper: str, pages: int) -> None:
    from pypdf import PdfReader

    path = tmp_path / "m.pdf"
    assert main(["marks", "--paper", paper, "-o", str(path), "--language", "de"]) == 0
    document = PdfReader(path)
    assert len(document.pages) == pages
    first = document.pages[0].extract_text()
    assert "Pappe" in first and "--known A1-D2=295.4" in first
