"""The docstring contract: parameters named as in the signature, a unit on every number, a source for every formula."""

from __future__ import annotations

import ast
import re
from pathlib import Path

PACKAGE = Path(__file__).parents[2] / "cutplan"
_ENTRY = re.compile(r"^(?P<names>\*{0,2}[A-Za-z_]\w*(?:, \*{0,2}[A-Za-z_]\w*)*) : (?P<type>.+)$")
#: Types whose values are numbers with a unit.
_NUMBERS = re.compile(r"\bfloat\b")
#: Chapters whose public functions are formulas: each with float parameters names a source or what it derives from.
_FORMULAS = (
    "welding/heat.py",
    "welding/cooling.py",
    "welding/rosenthal.py",
    "welding/shrinkage.py",
    "welding/tendon.py",
    "welding/longitudinal.py",
    "welding/angular.py",
    "welding/peak.py",
    "welding/adams.py",
    "welding/carbon.py",
)
_SOURCE = re.compile(r"References|Source|source|\[1\]_|derived|exact|definition")


def _parameters(doc: str) -> dict[str, tuple[str, str]]:
    """Return {name: (type, description)} of the Parameters section."""
    match = re.search(r"Parameters\n-{3,}\n(.*?)(?:\n\n[A-Z]\w+\n-{3,}|\Z)", doc, re.S)
    out: dict[str, tuple[str, str]] = {}
    if not match:
        return out
    names: list[str] = []
    kind, text = "", ""
    for line in [*match[1].split("\n"), "end : end"]:
        entry = _ENTRY.match(line)
        if entry:
            for name in names:
                out[name] = (kind, text)
            names, kind, text = [n.strip().lstrip("*") for n in entry["names"].split(",")], entry["type"], ""
        else:
            text += line + " "
    return out


def faults(path: str, source: str) -> list[str]:
    """Return every breach of the contract in one module."""
    wrong = []
    tree = ast.parse(source)
    if not ast.get_docstring(tree):
        wrong.append(f"{path}: module without a docstring")
    for node in tree.body:
        if not isinstance(node, (ast.FunctionDef, ast.ClassDef)) or node.name.startswith("_"):
            continue
        doc = ast.get_docstring(node)
        if not doc:
            wrong.append(f"{path}: {node.name} has no docstring")
            continue
        wrong += _function_faults(path, node, doc) if isinstance(node, ast.FunctionDef) else []
    return wrong


def _function_faults(path: str, node: ast.FunctionDef, doc: str) -> list[str]:
    wrong = []
    arguments = [*node.args.posonlyargs, *node.args.args, *node.args.kwonlyargs]
    names = [a.arg for a in arguments]
    described = _parameters(doc)
    for name, (kind, text) in described.items():
        if name not in [*names, node.args.vararg.arg if node.args.vararg else ""]:
            wrong.append(f"{path}: {node.name} describes {name}, which it does not take")
        if _NUMBERS.search(kind) and "[" not in text and "[" not in kind:
            wrong.append(f"{path}: {node.name}, {name} has no [unit]")
    if described:
        floats = [a.arg for a in arguments if a.annotation is not None and ast.unparse(a.annotation) == "float"]
        wrong += [f"{path}: {node.name} does not describe {n}" for n in floats if n not in described]
    if path in _FORMULAS and any(a.annotation is not None and "float" in ast.unparse(a.annotation) for a in arguments):
        if not described:
            wrong.append(f"{path}: {node.name} is a formula without a Parameters section")
        if not _SOURCE.search(doc):
            wrong.append(f"{path}: {node.name} is a formula without a source")
    return wrong


def test_every_public_docstring_keeps_the_contract() -> None:
    wrong = []
    for path in sorted(PACKAGE.rglob("*.py")):
        wrong += faults(path.relative_to(PACKAGE).as_posix(), path.read_text(encoding="utf-8"))
    assert not wrong, "\n".join(wrong)


def test_the_check_sees_planted_faults() -> None:
    text = '"""M."""\ndef f(a: float) -> float:\n    """F.\n\n    Parameters\n'
    text += '    ----------\n    b : float\n        Long.\n    """\n'
    assert len(faults("welding/heat.py", text)) == 4
    assert faults("x.py", '"""M."""\ndef g():\n    pass\n') == ["x.py: g has no docstring"]
