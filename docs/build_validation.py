"""Write docs/validation.md from ``shared/*.toml``: source, quantity, their value, ours, difference.

Run it from the repository: ``python docs/build_validation.py``. A test compares the page with what this gives.
"""

from __future__ import annotations

import sys
import tomllib
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

from check_values import SHARED, SHOWS, TAGS, Check, read_all  # noqa: E402
from shop_figures import figures  # noqa: E402

from cutplan.errors import CutplanError  # noqa: E402

_SEEN = {"exact": "exact", "handbook": "handbook", "second hand": "second hand", "memory": "from memory"}
_SHOWN = {
    "agrees": "ours is computed another way and agrees",
    "entered": "a source's formula was entered right; whether nature follows it is another question",
    "copied": "our table was copied right",
    "fitted": "nothing: a constant of ours was set to meet it",
}


def _number(value: float, tolerance: float) -> str:
    """Show as many digits as the source's rounding deserves."""
    if value == 0.0:
        return "0"
    digits = 6 if tolerance <= 0.0 else max(3, min(10, len(f"{abs(value) / tolerance:.0f}") + 1))
    return f"{value:.{digits}g}"


def _kind(check: Check) -> str:
    return f"{_SEEN[check.tag]}, {check.shows}"


def _counts(checks: tuple[Check, ...]) -> list[str]:
    """What agreement shows, by how the values were seen."""
    lines = [
        "| shows | " + " | ".join(_SEEN[t] for t in TAGS) + " | what that is worth |",
        "| --- |" + " ---: |" * len(TAGS) + " --- |",
    ]
    for shows in SHOWS:
        own = [sum(c.tag == tag and c.shows == shows for c in checks) for tag in TAGS]
        lines.append(f"| {shows} | " + " | ".join(str(n) for n in own) + f" | {_SHOWN[shows]} |")
    return lines


def _measured() -> list[str]:
    """Measured welds: what is there, and what is not."""
    lines = [
        "",
        "## Measured welds",
        "",
        "**No measured distortion of a welded plate has been run through the order model.** Experiments with enough data",
        "were looked for in open literature; of those below title or abstract could be seen, the measured figures could",
        "not. So the sizes that the plan predicts rest on formulas, bands and judgement: a trial piece of your own is worth",
        "more than all of this page.",
        "",
        "| experiment | source | seen | missing |",
        "| --- | --- | --- | --- |",
    ]
    wanted = tomllib.loads((SHARED / "experiments" / "wanted.toml").read_text(encoding="utf-8"))
    for one in wanted["experiment"]:
        lines.append(f"| {one['what']} | {one['source']} | {one['seen']} | {one['missing']} |")
    lines += [
        "",
        "The figures were looked for four times, with 85 look-ups in all. The second to the fourth time:",
        "",
        "| where | words | what was found |",
        "| --- | --- | --- |",
        *(f"| {one['where']} | {one['words']} | {one['found']} |" for one in wanted["searched"]),
    ]
    found = figures()
    lines += [
        "",
        "What shops and handbooks print for shrinkage, beside the band that one bead gets in the plan. These are rules of",
        "practice and not experiments; what was assumed to compute ours is named. "
        f"{sum(f.inside for f in found)} of {len(found)} meet our band.",
        "",
        "| what | source | assumed | theirs | ours: low, middle, high | |",
        "| --- | --- | --- | ---: | ---: | --- |",
    ]
    for f in found:
        theirs = f"{f.least:.2f}" if f.least == f.most else f"{f.least:.2f} to {f.most:.2f}"
        ours = f"{f.ours.low:.2f}, {f.ours.mid:.2f}, {f.ours.high:.2f}"
        verdict = "within" if f.inside else "**missed**"
        lines.append(f"| {f.name} | {f.source} | {f.assumed} | {theirs} {f.unit} | {ours} | {verdict} |")
    return lines


def _row(check: Check) -> str:
    what = check.id + (f" ({check.field})" if check.field and check.field not in check.id else "")
    if check.refused:
        try:
            check.ours()
        except CutplanError:
            ours = "refused"
        else:
            ours = "NOT REFUSED"
        return f"| {what} | {check.source} | {_kind(check)} | out of range | {ours} | |"
    ours = check.ours()
    shown = f"{ours - check.value:+.2g}" if abs(ours - check.value) > 1e-9 * max(1.0, abs(check.value)) else "0"
    return (
        f"| {what} | {check.source} | {_kind(check)} | {_number(check.value, check.tolerance)} {check.unit} | "
        f"{_number(ours, check.tolerance)} | {shown} |"
    )


def page() -> str:
    """Return the whole page."""
    checks = read_all()
    lines = [
        "# Validation",
        "",
        "Every row of the tables by source is a value that somebody else states, or that a formula gives by hand, beside",
        "what the program computes; the tolerance is the rounding of the source. Nothing there is our own output held",
        "against itself. Each value says how it was seen (*exact*: mathematics or physics worked by hand; *handbook*: printed",
        "in a handbook, manual or course that was at hand; *second hand*: quoted or copied by somebody else; *from memory*)",
        "and what agreement shows. Only the first line of this table is evidence:",
        "",
        *_counts(checks),
        "",
        f"{len(checks)} checks together.",
        *_measured(),
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
