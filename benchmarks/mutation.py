"""Plant small faults in the library, one at a time, and count those that the tests notice.

    nice -n 5 python benchmarks/mutation.py                          # a sample of 40 from each group
    python benchmarks/mutation.py --modules kerf --sample 0          # every fault of a group
    python benchmarks/mutation.py --modules cutplan/geometry/locate.py --seed 3

The repository is copied to a temporary folder and only the copy is changed. A fault is killed when a test fails or
hangs, survives when all pass; those listed in EQUIVALENT cannot be told apart from the original, by the reason
beside them, and do not count. A survivor without a reason is a gap in the tests.
"""

from __future__ import annotations

import argparse
import ast
import os
import random
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]

#: Modules of each group, and the tests asked, in this order, the likeliest to notice first.
GROUPS: dict[str, tuple[tuple[str, ...], tuple[str, ...]]] = {
    "geometry": (
        tuple(
            f"cutplan/geometry/{name}.py"
            for name in (
                "segment",
                "contour",
                "region",
                "intersect",
                "flatten",
                "locate",
                "offset/regions",
                "offset/arrange",
                "offset/local",
                "offset/raw",
                "offset/report",
                "offset/tidy",
            )
        ),
        (
            *(
                f"tests/unit/geometry/test_{name}.py"
                for name in (
                    "segment",
                    "contour",
                    "intersect",
                    "flatten",
                    "offset_parts",
                    "offset",
                    "locate",
                    "check",
                )
            ),
            "tests/unit/core/test_contour.py",
            "tests/property/test_geometry_laws.py",
            "tests/unit/geometry/test_kernel_answers.py",
            "tests/property/test_offset_laws.py",
            "tests/unit/geometry/test_offset_drawings.py",
        ),
    ),
    "kerf": (
        (
            "cutplan/cutting/kerf/choice.py",
            "cutplan/cutting/path/torch_line.py",
            "cutplan/cutting/path/leads.py",
            "cutplan/tables/cutting/kerf.py",
        ),
        (
            "tests/unit/tables_cutting/test_kerf_table.py",
            "tests/unit/cutting/test_kerf_choice.py",
            "tests/unit/cutting/test_torch_line.py",
            "tests/unit/cutting/test_leads.py",
            "tests/unit/cutting/test_starts.py",
            "tests/unit/cutting/test_cut_plan.py",
        ),
    ),
    "weld order": (
        tuple(
            f"cutplan/welding/distortion/{name}.py"
            for name in (
                "chain/box",
                "chain/elastic",
                "chain/yielding",
                "search/descent",
                "search/judge",
                "search/moves",
                "search/orders",
            )
        ),
        (
            "tests/unit/welding_distortion/test_box.py",
            "tests/unit/welding_distortion/test_rows.py",
            "tests/unit/welding_distortion/test_chain_equals_resolve.py",
            "tests/unit/welding_distortion/test_search.py",
            "tests/unit/welding_distortion/test_plan.py",
        ),
    ),
}

#: Faults that no test can notice: (module, line of code as it stands without its margin, change) -> reason.
EQUIVALENT: dict[tuple[str, str, str], str] = {
    (
        "cutplan/cutting/path/leads.py",
        "if room > 0.0 and square >= 0.0:",
        "room > 0.0 -> (room >= 0.0)",
    ): "without room the square is below zero, so the second condition refuses",
    (
        "cutplan/cutting/path/leads.py",
        "if room > 0.0 and square >= 0.0:",
        "square >= 0.0 -> (square > 0.0)",
    ): "a square of zero gives half the radius of the line, which the next condition refuses",
    ("cutplan/cutting/path/torch_line.py", "elif result.regions[0].holes:", "0 -> (-1)"): "there is one region only",
    (
        "cutplan/tables/cutting/kerf.py",
        "if thickness_mm <= t0:",
        "thickness_mm <= t0 -> (thickness_mm < t0)",
    ): "both rules give the first current at the first thickness",
    (
        "cutplan/geometry/offset/raw.py",
        "radius = segment.radius + (right_mm if segment.sweep > 0.0 else -right_mm)",
        "segment.sweep > 0.0 -> (segment.sweep >= 0.0)",
    ): "an arc without sweep is built as a line",
    (
        "cutplan/geometry/offset/tidy.py",
        "if len(loop) > 1:",
        "len(loop) > 1 -> (len(loop) >= 1)",
    ): "a loop of one starts where it starts",
    (
        "cutplan/geometry/locate.py",
        "step = np.where(near, s.sweep, 0.0)",
        "0.0 -> 1.0",
    ): "a full circle is the only segment of its contour, and one radian is less than the half turn asked for",
    (
        "cutplan/geometry/locate.py",
        "near = np.hypot(p[:, 0] - s.centre.x, p[:, 1] - s.centre.y) < s.radius",
        "np.hypot(p[:, 0] - s.centre.x, p[:, 1] - s.centre.y) < s.radius -> "
        "(np.hypot(p[:, 0] - s.centre.x, p[:, 1] - s.centre.y) <= s.radius)",
    ): "a point on the edge counts either way",
    (
        "cutplan/geometry/intersect.py",
        "if shared and isinstance(a, Line) and isinstance(b, Line) and not _runs_back(a, b, shared[0]):",
        "0 -> (-1)",
    ): "only the two segments of a contour of two share two corners, and two such lines run back at both",
}

#: Loaded by pytest in the copy: the same random examples each time, and no time spent on making them short.
PLUGIN = """
from hypothesis import Phase, settings
settings.register_profile("mutation", derandomize=True, database=None, deadline=None,
                          phases=(Phase.explicit, Phase.generate))
settings.load_profile("mutation")
"""

EDGE = {ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt}
FLIP = {
    ast.Lt: ast.GtE,
    ast.GtE: ast.Lt,
    ast.Gt: ast.LtE,
    ast.LtE: ast.Gt,
    ast.Eq: ast.NotEq,
    ast.NotEq: ast.Eq,
    ast.Is: ast.IsNot,
    ast.IsNot: ast.Is,
    ast.In: ast.NotIn,
    ast.NotIn: ast.In,
}
SWAP = {ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult}


@dataclass(frozen=True, slots=True)
class Mutant:
    """One fault: bytes of a module from ``low`` to ``high`` replaced by ``new``."""

    module: str
    line: int
    code: str
    low: int
    high: int
    old: str
    new: str

    @property
    def change(self) -> str:
        return f"{self.old} -> {self.new}"

    @property
    def key(self) -> tuple[str, str, str]:
        return self.module, self.code, self.change


def variants(node: ast.AST) -> Iterator[str]:
    """Texts that may stand in place of a node."""
    match node:
        case ast.Compare(left=left, ops=[op], comparators=[right]):
            for table in (FLIP, EDGE):
                if type(op) in table:
                    yield f"({ast.unparse(ast.Compare(left, [table[type(op)]()], [right]))})"
        case ast.Compare():
            yield f"(not ({ast.unparse(node)}))"
        case ast.BinOp(left=left, op=op, right=right) if type(op) in SWAP:
            yield f"({ast.unparse(ast.BinOp(left, SWAP[type(op)](), right))})"
        case ast.UnaryOp(op=ast.USub(), operand=operand):
            yield f"({ast.unparse(operand)})"
        case ast.UnaryOp(op=ast.Not(), operand=operand):
            yield f"({ast.unparse(operand)})"
        case ast.BoolOp(op=op, values=values):
            yield f"({ast.unparse(ast.BoolOp(ast.Or() if isinstance(op, ast.And) else ast.And(), values))})"
        case ast.Constant(value=bool() as value):
            yield repr(not value)
        case ast.Constant(value=int() as value):
            yield from (repr(value + 1), f"({value - 1})")
        case ast.Constant(value=float() as value):
            yield repr(value * 2.0 if value else 1.0)
        case ast.Return(value=ast.Constant(value=None)):
            yield "return 0"
        case ast.Return(value=ast.expr()):
            yield "return None"


def conditions(node: ast.AST) -> Iterator[ast.expr]:
    """Conditions that hang on a node and that no other change reverses."""
    tests = node.ifs if isinstance(node, ast.comprehension) else [getattr(node, "test", None)]
    for test in tests:
        if isinstance(test, ast.expr) and not isinstance(test, ast.Compare | ast.UnaryOp):
            yield test


def walk(node: ast.AST) -> Iterator[ast.AST]:
    """All nodes that do something: no annotations, no words of messages."""
    if isinstance(node, ast.JoinedStr):
        return
    yield node
    for name, value in ast.iter_fields(node):
        if name in ("annotation", "returns", "decorator_list"):
            continue
        for child in value if isinstance(value, list) else [value]:
            if isinstance(child, ast.AST):
                yield from walk(child)


def mutants_of(module: str) -> list[Mutant]:
    """Every fault of a module, in the order of its text."""
    data = (ROOT / module).read_bytes()
    lines = data.splitlines(keepends=True)
    starts = [0]
    for line in lines:
        starts.append(starts[-1] + len(line))
    found: dict[tuple[int, int, str], Mutant] = {}
    for node in walk(ast.parse(data)):
        options = [(node, new) for new in variants(node)]
        options += [(test, f"(not ({ast.unparse(test)}))") for test in conditions(node)]
        for at, new in options:
            low, high = starts[at.lineno - 1] + at.col_offset, starts[at.end_lineno - 1] + at.end_col_offset
            old = " ".join(data[low:high].decode().split())
            code = lines[at.lineno - 1].decode().strip()
            found.setdefault((low, high, new), Mutant(module, at.lineno, code, low, high, old, new))
    return [found[k] for k in sorted(found)]


def copy_to(folder: Path) -> None:
    """Copy what the tests need."""
    for name in ("cutplan", "tests", "shared", "sample_parts"):
        shutil.copytree(ROOT / name, folder / name, ignore=shutil.ignore_patterns("__pycache__"))
    shutil.copy(ROOT / "pyproject.toml", folder)
    (folder / "mutation_profile.py").write_text(PLUGIN)


def passes(folder: Path, tests: tuple[str, ...], timeout_s: float) -> str:
    """Return the first failing test, "hangs", or nothing when all tests pass."""
    environment = dict(os.environ, PYTHONPATH=str(folder), PYTHONDONTWRITEBYTECODE="1", OMP_NUM_THREADS="1")
    environment.setdefault("CUTPLAN_DRAWINGS", str(ROOT.parent / "shared" / "drawings"))
    command = [
        sys.executable,
        "-m",
        "pytest",
        "-x",
        "-q",
        "-m",
        "not slow",
        "-p",
        "no:cacheprovider",
        "-p",
        "mutation_profile",
        "--tb=no",
        *tests,
    ]
    try:
        done = subprocess.run(command, cwd=folder, env=environment, timeout=timeout_s, capture_output=True, text=True)
    except subprocess.TimeoutExpired:
        return "hangs"
    if done.returncode == 0:
        return ""
    told = [line for line in done.stdout.splitlines() if line.startswith(("FAILED", "ERROR"))]
    return told[0] if told else f"pytest ends with {done.returncode}"


def group_of(module: str) -> str:
    return next(name for name, (modules, _) in GROUPS.items() if module in modules)


def run_group(name: str, modules: tuple[str, ...], sample: int, seed: int) -> list[Mutant]:
    """Print the row of a group and return its survivors; progress goes to stderr."""
    everything = [m for module in modules for m in mutants_of(module)]
    # drawn before equivalents are left out, so that naming one does not change the others of the sample
    chosen = everything if not sample else random.Random(seed).sample(everything, min(sample, len(everything)))
    tried = [m for m in chosen if m.key not in EQUIVALENT]
    tests = GROUPS[name][1]
    survivors: list[Mutant] = []
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        copy_to(folder)
        began = time.perf_counter()
        told = passes(folder, tests, 900.0)
        if told:
            raise SystemExit(f"the tests of {name} fail without any fault: {told}")
        timeout_s = 20.0 + 3.0 * (time.perf_counter() - began)
        for mutant in tried:
            file = folder / mutant.module
            data = file.read_bytes()
            file.write_bytes(data[: mutant.low] + mutant.new.encode() + data[mutant.high :])
            told = passes(folder, tests, timeout_s)
            file.write_bytes(data)
            word = "killed" if told else "SURVIVED"
            print(f"{word:9}{mutant.module}:{mutant.line}  {mutant.change}  {told}", file=sys.stderr, flush=True)
            if not told:
                survivors.append(mutant)
    print(
        f"{name:12}{len(everything):>8}{len(chosen):>8}{len(tried) - len(survivors):>8}{len(survivors):>10}"
        f"{len(chosen) - len(tried):>12}{100.0 * (1.0 - len(survivors) / max(1, len(tried))):>10.1f} %",
        flush=True,
    )
    return survivors


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--modules", nargs="*", default=list(GROUPS), help="groups or files of the package")
    parser.add_argument("--sample", type=int, default=40, help="faults tried in each group; 0: all")
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    known = {m.key for module in {key[0] for key in EQUIVALENT} for m in mutants_of(module)}
    if stale := [key for key in EQUIVALENT if key not in known]:
        raise SystemExit(f"equivalent to what? {stale}")
    print(f"{'group':12}{'faults':>8}{'sample':>8}{'killed':>8}{'survived':>10}{'equivalent':>12}{'killed':>12}")
    wanted: dict[str, list[str]] = {}
    for name in asked.modules:
        group = name if name in GROUPS else group_of(name)
        wanted.setdefault(group, []).extend(GROUPS[group][0] if name in GROUPS else [name])
    survivors = [m for g, modules in wanted.items() for m in run_group(g, tuple(modules), asked.sample, asked.seed)]
    for m in survivors:
        print(f"survived: {m.module}:{m.line}  {m.change}")
    return 1 if survivors else 0


if __name__ == "__main__":
    raise SystemExit(main())
