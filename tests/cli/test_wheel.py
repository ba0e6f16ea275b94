"""The wheel in an empty environment: everything needed to run comes with it, the main sample too."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]


@pytest.mark.slow
def test_a_clean_wheel_runs_the_demo(tmp_path: Path) -> None:
    source = tmp_path / "source"
    done = subprocess.run(["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, text=True, check=False)
    if done.returncode != 0:
        pytest.skip("not a git checkout: the list of files comes from git")
    for name in filter(None, done.stdout.split("\0")):
        if name.startswith(("cutplan/", "sample_parts/")) or name in ("pyproject.toml", "README.md", "LICENSE"):
            path = source / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes((ROOT / name).read_bytes())
    quiet = ["--quiet", "--disable-pip-version-check"]
    subprocess.run(
        [sys.executable, "-m", "pip", "wheel", *quiet, "--no-deps", "-w", str(tmp_path / "wheels"), str(source)],
        check=True,
    )
    wheel = next((tmp_path / "wheels").glob("cutplan-*.whl"))
    subprocess.run([sys.executable, "-m", "venv", str(tmp_path / "empty")], check=True)
    binary = tmp_path / "empty" / ("Scripts" if sys.platform == "win32" else "bin")
    subprocess.run([str(binary / "python"), "-m", "pip", "install", *quiet, str(wheel)], check=True)
    done = subprocess.run(
        [str(binary / "cutplan"), "demo", "-o", "out"], cwd=tmp_path, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    assert (tmp_path / "out" / "job-sheet.pdf").exists() and (tmp_path / "out" / "report.html").exists()
