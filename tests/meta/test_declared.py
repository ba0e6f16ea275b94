"""Every library that package, tests and benchmarks import is declared, so that a fresh machine can run them."""

from __future__ import annotations

import ast
import re
import sys
import tomllib
from pathlib import Path

import pytest
from syntax import statements

ROOT = Path(__file__).parents[2]
#: Import names that differ from the name of the distribution.
NAMES = {"PIL": "pillow", "OCP": "cadquery-ocp"}


def declared(*extras: str) -> set[str]:
    """Return the names of the distributions that pyproject.toml asks for."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]
    lines = project["dependencies"] + [line for e in extras for line in project["optional-dependencies"][e]]
    return {re.split(r"[\[<>=!~ ]", line)[0].lower() for line in lines}


def imported(folder: Path) -> dict[str, Path]:
    """Return each top name imported below a folder with one file that asks for it, without our own and the standard."""
    own = {p.stem for f in (folder, ROOT / "tests") for p in f.rglob("*") if p.suffix == ".py" or p.is_dir()}
    found: dict[str, Path] = {}
    for path in folder.rglob("*.py"):
        for node in statements(ast.parse(path.read_text(encoding="utf-8"))):
            names: list[str] = []
            if isinstance(node, ast.Import):
                names = [alias.name for alias in node.names]
            elif isinstance(node, ast.ImportFrom) and node.level == 0:
                names = [node.module or ""]
            found.update({name.split(".")[0]: path for name in names})
    ours = own | set(sys.stdlib_module_names) | {"cutplan", "tests", "benchmarks", "docs"}
    return {name: path for name, path in found.items() if name not in ours}


@pytest.mark.parametrize(
    "folder, extras",
    [
        ("cutplan", ()),
        ("tests", ("test",)),
        ("benchmarks", ("test", "benchmark")),
        ("docs", ("test",)),
    ],
)
def test_what_is_imported_is_declared(folder: str, extras: tuple[str, ...]) -> None:
    known = declared(*extras)
    names = imported(ROOT / folder)
    missing = {n: str(p.relative_to(ROOT)) for n, p in names.items() if NAMES.get(n, n).lower() not in known}
    assert not missing
    assert names or folder == "docs"
