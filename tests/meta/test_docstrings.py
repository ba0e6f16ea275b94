"""The docstring contract: parameters named as in the signature, a unit on every number in or out, the shape of arrays,
the errors raised, and a source for every formula.
"""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest
from syntax import statements

PACKAGE = Path(__file__).parents[2] / "cutplan"
_ENTRY = re.compile(r"^(?P<names>\*{0,2}[A-Za-z_]\w*(?:, \*{0,2}[A-Za-z_]\w*)*) : (?P<type>.+)$")
#: Annotations whose values are numbers with a unit, and arrays of them.
_NUMBER, _ARRAY = re.compile(r"\bfloat\b"), re.compile(r"\bNDArray\b|\bndarray\b|\b_?Floats\b|\b_?Array\b")
#: A name that says its own unit: ``length_mm``, ``heat_J_per_mm``, ``angle_rad``.
_SAYS_UNIT = re.compile(
    r"(^|_)(mm|mm2|mm3|mm4|um|in|px|pt|deg|rad|arcmin|s|min|kg|N|Nmm|J|W|K|C|A|V|l|mp|mib|MB|percent|dpi)(_per_\w+)?(_\d)?$"
)
#: A unit in brackets: ``[mm]``, ``[N/mm2]``, ``[1]`` for a plain number; a reference to a source ends with ``_``.
_UNIT = re.compile(r"\[[^\]\[\"']{1,30}\](?!_)")
#: The shape of an array: ``(n, 2)``, ``(points,)``, ``shape``.
_SHAPE = re.compile(r"\([\w.][\w .+*-]*,[^)]*\)|\bshape|\bany shape\b")
#: Rooms whose public functions are formulas: each with float parameters names a source or what it derives from.
_FORMULAS = (
    "welding/heat/arc.py",
    "welding/heat/cooling.py",
    "welding/heat/peak.py",
    "welding/heat/kernels.py",
    "welding/shrinkage/buckling.py",
    "welding/shrinkage/restraint.py",
    "welding/shrinkage/across.py",
    "welding/shrinkage/angular.py",
    "welding/shrinkage/tendon.py",
)
_SOURCE = re.compile(r"References|Source|source|\[1\]_|derived|exact|definition")

#: Functions that do not keep all of it yet: what they lack. Never add to it; strike off what is mended.
LACKING: dict[str, str] = {}


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
        if isinstance(node, ast.FunctionDef):
            wrong += _function_faults(path, node, doc)
            lacking = lacks(node, doc)
            known = LACKING.get(f"{path}:{node.name}", "").split()
            wrong += [f"{path}: {node.name} lacks {what}" for what in lacking if what not in known]
    return wrong


def lacks(node: ast.FunctionDef, doc: str) -> list[str]:
    """Return what a public function with numbers in or out does not say: unit, result, shape, errors."""
    arguments = [*node.args.posonlyargs, *node.args.args, *node.args.kwonlyargs]
    kinds = {a.arg: ast.unparse(a.annotation) if a.annotation else "" for a in arguments}
    gives = ast.unparse(node.returns) if node.returns else ""
    described = _parameters(doc)
    floats = [name for name, kind in kinds.items() if _NUMBER.search(kind)]
    arrays = [name for name, kind in kinds.items() if _ARRAY.search(kind)]
    out = []
    unsaid = [n for n in floats if not _SAYS_UNIT.search(n) and not _UNIT.search(" ".join(described.get(n, ("", ""))))]
    if unsaid and (described or not _UNIT.search(doc)):
        out.append("unit")
    if _NUMBER.search(gives) and not _SAYS_UNIT.search(node.name) and not _UNIT.search(doc):
        out.append("result")
    if (arrays or _ARRAY.search(gives)) and not _SHAPE.search(doc):
        out.append("shape")
    numbers = floats or arrays or _NUMBER.search(gives) or _ARRAY.search(gives)
    if numbers and "Raises\n" not in doc and any(_raises(inner) for inner in statements(node)):
        out.append("errors")
    return out


def _raises(node: ast.AST) -> bool:
    """Whether a statement raises an error of its own, not one that is passed on."""
    return isinstance(node, ast.Raise) and isinstance(node.exc, ast.Call)


def _function_faults(path: str, node: ast.FunctionDef, doc: str) -> list[str]:
    wrong = []
    arguments = [*node.args.posonlyargs, *node.args.args, *node.args.kwonlyargs]
    names = [a.arg for a in arguments]
    described = _parameters(doc)
    for name, (kind, text) in described.items():
        if name not in [*names, node.args.vararg.arg if node.args.vararg else ""]:
            wrong.append(f"{path}: {node.name} describes {name}, which it does not take")
        if _NUMBER.search(kind) and "[" not in text and "[" not in kind:
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


@pytest.mark.slow
def test_the_list_of_what_is_lacking_only_shrinks() -> None:
    found = {}
    for path in sorted(PACKAGE.rglob("*.py")):
        for node in ast.parse(path.read_text(encoding="utf-8")).body:
            if isinstance(node, ast.FunctionDef):
                found[f"{path.relative_to(PACKAGE).as_posix()}:{node.name}"] = lacks(
                    node, ast.get_docstring(node) or ""
                )
    mended = [
        f"{name}: {what}" for name, all_ in LACKING.items() for what in all_.split() if what not in found.get(name, ())
    ]
    assert not mended, "strike off: " + ", ".join(mended)


def test_the_rooms_of_formulas_are_there() -> None:
    assert [path for path in _FORMULAS if not (PACKAGE / path).exists()] == []


def test_the_check_sees_planted_faults() -> None:
    text = '"""M."""\ndef f(a: float) -> float:\n    """F.\n\n    Parameters\n'
    text += '    ----------\n    b : float\n        Long.\n    """\n'
    assert len(faults("welding/heat/arc.py", text)) == 6
    assert faults("x.py", '"""M."""\ndef g():\n    pass\n') == ["x.py: g has no docstring"]


def _lacks(signature: str, doc: str, body: str = "pass") -> list[str]:
    node = ast.parse(f"def f{signature}:\n    {body}\n").body[0]
    assert isinstance(node, ast.FunctionDef)
    return lacks(node, doc)


def test_it_sees_numbers_in_and_out() -> None:
    assert _lacks("(a: float) -> None", "F.") == ["unit"]
    assert _lacks("(a: float) -> None", "F.\n\nParameters\n----------\na : float\n    Long [mm].") == []
    assert _lacks("(a_mm: float) -> None", "F.") == []
    assert _lacks("() -> float", "F [1]_.") == ["result"]
    assert _lacks("() -> float", "F [mm].") == []
    assert _lacks("(p: np.ndarray) -> None", "F.") == ["shape"]
    assert _lacks("(p: np.ndarray) -> None", "F of (n, 2) places [mm].") == []
    assert _lacks("(a_mm: float) -> None", "F.", "raise E(a)") == ["errors"]
    assert _lacks("(a_mm: float) -> None", "F.\n\nRaises\n------\nE", "raise E(a)") == []
