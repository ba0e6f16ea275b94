"""Imports point only down the layers; function-local imports count."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest
from syntax import statements

PACKAGE = Path(__file__).parents[2] / "cutplan"

#: Layer of each module or folder of the package, as in DEVELOPERS.md.
LAYER = {
    "__init__": 0,
    "errors": 0,
    "findings": 0,
    "texts": 1,
    "units": 1,
    "tolerance": 1,
    "tables": 1,
    "geometry": 2,
    "pattern": 3,
    "survey": 3,
    "files": 4,
    "photo": 4,
    "drawing": 4,
    "fem": 4,
    "cutting": 5,
    "templates": 5,
    "opening": 5,
    "welding": 5,
    "linkage": 5,
    "sheets": 6,
    "report": 6,
    "inspection": 6,
    "project": 7,
    "cli": 8,
    "page": 8,
    "__main__": 9,
}
TRADES = {"cutting", "templates", "opening", "welding", "linkage"}


def _name(path: Path) -> str:
    first = path.relative_to(PACKAGE).parts[0]
    return first.removesuffix(".py")


def _imported(tree: ast.AST) -> set[str]:
    """Names of the package's own chapters that a module imports anywhere."""
    out: set[str] = set()
    typed = {
        id(inner)
        for node in statements(tree)
        if isinstance(node, ast.If) and ast.unparse(node.test) == "TYPE_CHECKING"
        for inner in statements(node)
    }  # for annotations only, never imported when the program runs
    for node in statements(tree):
        if id(node) in typed:
            continue
        names: list[str] = []
        if isinstance(node, ast.Import):
            names = [a.name for a in node.names]
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, "relative imports hide their layer"
            names = [node.module or ""]
            if node.module == "cutplan":
                names = [f"cutplan.{a.name}" for a in node.names]
        for name in names:
            parts = name.split(".")
            if parts[0] == "cutplan" and len(parts) > 1 and parts[1] in LAYER:
                out.add(parts[1])
    return out


def faults(sources: dict[str, str]) -> list[str]:
    """Return every import that points up or sideways between trades, for sources by relative path."""
    wrong = []
    for path, text in sorted(sources.items()):
        name = _name(PACKAGE / path)
        assert name in LAYER, f"{path} belongs to no layer"
        for other in sorted(_imported(ast.parse(text))):
            if LAYER[other] > LAYER[name]:
                wrong.append(f"{path} (layer {LAYER[name]}) imports {other} (layer {LAYER[other]})")
            if name in TRADES and other in TRADES and other != name:
                wrong.append(f"{path}: trades never import each other ({other})")
    return wrong


def _sources() -> dict[str, str]:
    return {str(p.relative_to(PACKAGE)): p.read_text(encoding="utf-8") for p in PACKAGE.rglob("*.py")}


def test_imports_point_down() -> None:
    assert faults(_sources()) == []


@pytest.mark.parametrize(
    "bad",
    [
        {"geometry/x.py": "from cutplan.files.job import read"},
        {"units.py": "def f():\n    import cutplan.pattern.job\n"},
        {"welding/x.py": "from cutplan.cutting import plan"},
        {"fem/x.py": "from cutplan import sheets"},
    ],
)
def test_the_check_sees_a_planted_fault(bad: dict[str, str]) -> None:
    assert faults(bad) != []


def test_files_stay_small() -> None:
    long = {path: text.count("\n") for path, text in _sources().items() if text.count("\n") > 600}
    assert long == {}, "a file beyond 600 lines holds more than one idea"
