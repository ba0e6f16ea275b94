"""Write docs/validation.md from ``shared/*.toml``: source, quantity, their value, ours, difference.

Run it from the repository: ``python docs/build_validation.py``. A test compares the page with what this gives.
"""

from __future__ import annotations

import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

from check_values import Check, read_all  # noqa: E402

from cutplan.errors import CutplanError  # noqa: E402

_TAGS = {"published": "published", "exact": "exact", "memory": "from memory"}


def _number(value: float, tolerance: float) -> str:
    """Show as many digits as the source's rounding deserves."""
    if value == 0.0:
        return "0"
    digits = 6 if tolerance <= 0.0 else max(3, min(10, len(f"{abs(value) / tolerance:.0f}") + 1))
    return f"{value:.{digits}g}"


def _row(check: Check) -> str:
    what = check.id + (f" ({check.field})" if check.field and check.field not in check.id else "")
    if check.refused:
        try:
            check.ours()
        except CutplanError:
            ours = "refused"
        else:
            ours = "NOT REFUSED"
        return f"| {what} | {check.source} | {_TAGS[check.tag]} | out of range | {ours} | |"
    ours = check.ours()
    shown = f"{ours - check.value:+.2g}" if abs(ours - check.value) > 1e-9 * max(1.0, abs(check.value)) else "0"
    return (
        f"| {what} | {check.source} | {_TAGS[check.tag]} | {_number(check.value, check.tolerance)} {check.unit} | "
        f"{_number(ours, check.tolerance)} | {shown} |"
    )


def page() -> str:
    """Return the whole page."""
    checks = read_all()
    counts = {tag: sum(c.tag == tag for c in checks) for tag in _TAGS}
    lines = [
        "# Validation",
        "",
        "Every row is a value that somebody else states, or that a formula gives by hand, beside what the program",
        "computes. The tolerance of each comparison is the rounding of its source. Nothing on this page is our own",
        "output held against itself. Values marked *from memory* stand in standards or books that were not at hand:",
        "treat them with care.",
        "",
        f"{len(checks)} checks: {counts['published']} published, {counts['exact']} exact, "
        f"{counts['memory']} from memory.",
        "",
    ]
    file = ""
    for check in checks:
        if check.file != file:
            file = check.file
            lines += [
                "",
                f"## {file.removesuffix('.toml')}",
                "",
                "| check | source | kind | theirs | ours | difference |",
                "| --- | --- | --- | ---: | ---: | ---: |",
            ]
        lines.append(_row(check).replace("\n", " "))
    return "\n".join(lines).rstrip() + "\n"


if __name__ == "__main__":
    (ROOT / "docs" / "validation.md").write_text(page(), encoding="utf-8")
