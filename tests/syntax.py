"""The statements of a source without their expressions: imports and definitions are found in a tenth of a whole walk's time."""

from __future__ import annotations

import ast
from collections.abc import Iterator


def statements(node: ast.AST) -> Iterator[ast.stmt]:
    """Yield every statement below a node, those inside functions, classes and branches too.

    Parameters
    ----------
    node : AST
        A module or a statement.
    """
    for name in ("body", "orelse", "finalbody"):
        inner = getattr(node, name, None)
        if isinstance(inner, list):
            for statement in inner:
                yield statement
                yield from statements(statement)
    for name in ("handlers", "cases"):
        for part in getattr(node, name, ()):
            yield from statements(part)
