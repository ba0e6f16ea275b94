"""``import cutplan`` and the lower layers load nothing heavy."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

HEAVY = ("scipy", "ezdxf", "reportlab", "matplotlib", "skfem", "shapely", "pandas", "PIL")


@pytest.mark.parametrize(
    "module",
    [
        "cutplan",
        "cutplan.errors",
        "cutplan.units",
        "cutplan.geometry.offset.regions",
        "cutplan.geometry.fit.chords",
        "cutplan.pattern.job",
        "cutplan.pattern.checks.check",
        "cutplan.drawing.model",
        "cutplan.cli.main",
    ],
)
def test_loads_no_heavy_module(module: str) -> None:
    code = f"import sys, {module}; print([m for m in {HEAVY!r} if m in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_the_check_sees_a_heavy_module() -> None:
    code = f"import sys, shapely; print([m for m in {HEAVY!r} if m in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert "shapely" in done.stdout


def test_papers_and_cut_files_are_made_without_the_library_of_contour_maps(tmp_path: Path) -> None:
    code = (
        "import sys; from cutplan.cli.main import main; "
        "main(['new', 'job.toml', '--thickness', '4', '--skin', '2']); "
        "main(['make', 'job.toml', '-o', 'out', '--only', 'templates,plate-net,plate-path']); "
        "print('matplotlib' in sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", code], cwd=tmp_path, capture_output=True, text=True, check=True)
    assert done.stdout.strip().endswith("False")
