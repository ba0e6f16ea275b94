"""``import cutplan`` and the lower layers load nothing heavy."""

from __future__ import annotations

import subprocess
import sys

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
        "cutplan.pattern.check",
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
