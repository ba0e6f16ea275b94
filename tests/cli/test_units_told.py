"""What the terminal says follows the units of the job, and of the drawing that is read."""

from __future__ import annotations

import csv
import io
import re
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import ezdxf
import pytest

ROOT = Path(__file__).parents[2]

#: A length in millimetres: in an inch job it stands in brackets behind its inches, or beside others there.
_METRIC = re.compile(r"-?\d+(?:\.\d+)? mm\b")


def metric_alone(text: str) -> list[str]:
    """Lengths in millimetres outside brackets."""
    bare = re.sub(r"\([^()]*\)", "", text)
    return _METRIC.findall(bare)


@pytest.fixture
def inch_drawing(tmp_path: Path) -> Path:
    doc = ezdxf.new()
    doc.units = 1  # inches
    sheet = doc.modelspace()
    sheet.add_lwpolyline([(0, 0), (10, 0), (10, 6.5), (0, 6.5)], close=True)
    sheet.add_circle((2, 2), 0.21875)
    path = tmp_path / "inch.dxf"
    doc.saveas(path)
    return path


def test_an_inch_drawing_is_told_in_inches(call: Callable[..., Any], inch_drawing: Path) -> None:
    said = call("read", inch_drawing)
    assert said.code == 0
    # exact: 10 by 6.5 in, a hole of 7/16 in, 65 in2 outside
    for text in ("10 in (254.000 mm) x 6 1/2 in (165.100 mm)", "7/16 in", "65.00 in² (41935.40 mm²) outside"):
        assert text in said.out
    assert metric_alone(said.out) == []


def test_a_metric_drawing_is_told_in_millimetres(call: Callable[..., Any], inch_drawing: Path) -> None:
    said = call("read", inch_drawing, "--units", "mm")
    assert said.code == 0 and "10.000 mm x 6.500 mm" in said.out and " in " not in said.out.split("\n", 1)[1]


@pytest.mark.slow
def test_an_inspection_of_an_inch_job_is_told_in_inches(call: Callable[..., Any], tmp_path: Path) -> None:
    job = tmp_path / "job"
    shutil.copytree(ROOT / "sample_parts" / "buggy-doubler", job)
    form = tmp_path / "form.csv"
    assert call("inspect", job, "--form", form).code == 0
    rows = list(csv.DictReader(io.StringIO(form.read_text(encoding="utf-8"))))
    for row in rows:
        row["measured"] = row["plan"]
    with form.open("w", encoding="utf-8", newline="") as file:
        written = csv.DictWriter(file, list(rows[0]))
        written.writeheader()
        written.writerows(rows)
    said = call("inspect", job, form)
    assert "ok " in said.out and metric_alone(said.out) == []
