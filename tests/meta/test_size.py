"""Functions a reader can hold in mind, records and folders one can look over: no exceptions."""

from __future__ import annotations

import ast
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

from syntax import statements

PACKAGE = Path(__file__).parents[2] / "cutplan"
#: Most lines of a function, its docstring apart.
MOST_LINES = 60
#: Most fields that a class declares.
MOST_FIELDS = 15
#: Most files of a folder: a dozen is a good size; the command line has one for each command.
MOST_FILES = 16


def function_lines(tree: ast.Module) -> Iterator[tuple[str, int]]:
    """Yield each function's name with its lines, the docstring not counted."""
    for node in statements(tree):
        if isinstance(node, (ast.FunctionDef, ast.AsyncFunctionDef)):
            doc = ast.get_docstring(node, clean=False)
            yield node.name, (node.end_lineno or 0) - node.lineno + 1 - (doc.count("\n") + 1 if doc else 0)


def class_fields(tree: ast.Module) -> Iterator[tuple[str, int]]:
    """Yield each class with the number of fields it declares."""
    for node in statements(tree):
        if isinstance(node, ast.ClassDef):
            yield node.name, sum(isinstance(inner, ast.AnnAssign) for inner in node.body)


def beyond(sizes: dict[str, int], most: int) -> list[str]:
    """Return what is too large."""
    return [f"{name}: {size}, more than {most}" for name, size in sizes.items() if size > most]


def _sizes() -> tuple[dict[str, int], dict[str, int]]:
    functions: dict[str, int] = {}
    classes: dict[str, int] = {}
    for path in sorted(PACKAGE.rglob("*.py")):
        place, tree = path.relative_to(PACKAGE).as_posix(), ast.parse(path.read_text(encoding="utf-8"))
        for name, size in function_lines(tree):
            functions[f"{place}:{name}"] = max(size, functions.get(f"{place}:{name}", 0))
        classes.update({f"{place}:{name}": size for name, size in class_fields(tree)})
    return functions, classes


def test_functions_are_short_and_records_narrow() -> None:
    functions, classes = _sizes()
    wrong = beyond(functions, MOST_LINES) + beyond(classes, MOST_FIELDS)
    assert not wrong, "\n".join(wrong)


def test_a_folder_holds_about_a_dozen_files() -> None:
    folders = [p.parent.relative_to(PACKAGE).as_posix() for p in PACKAGE.rglob("*.py") if p.name != "__init__.py"]
    assert not (wrong := beyond(Counter(folders), MOST_FILES)), "\n".join(wrong)


def test_the_check_sees_planted_faults() -> None:
    long = "def f():\n" + "    pass\n" * 60
    assert beyond(dict(function_lines(ast.parse(long))), MOST_LINES) == ["f: 61, more than 60"]
    assert beyond(dict(function_lines(ast.parse('def f():\n    """A.\n\n    B.\n    """\n'))), 1) == []
    wide = "class C:\n" + "".join(f"    a{k}: int\n" for k in range(16))
    assert beyond(dict(class_fields(ast.parse(wide))), MOST_FIELDS) == ["C: 16, more than 15"]
    assert beyond(Counter(["a"] * 17 + ["b"] * 16), MOST_FILES) == ["a: 17, more than 16"]
