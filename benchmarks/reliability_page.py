"""The page of what was tried and what came of it, from the rows that the benchmark of reliability keeps."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from benchmarks.fuzz_budget import BUDGETS
from benchmarks.fuzz_make import table

ROOT = Path(__file__).resolve().parent.parent
#: Rows of the parts, as they were run last; and the page.
ROWS, PAGE = ROOT / "benchmarks" / "reliability.json", ROOT / "docs" / "reliability.md"


#: What a budget means, as the page says it.
TOLD = {
    "whole": "each as a user's job, plates of up to 1.8 m",
    "light": "plates of up to 0.5 m, the same program with fewer orders, draws and triangles (`--budget light`); the report "
    "and the pictures are made of every eighth",
    "slight": "plates of up to 0.4 m, as the light ones, the job sheet, too, of every eighth only (`--budget slight`)",
}


def kept() -> dict[str, Any]:
    """Return the rows that are kept, by part."""
    return json.loads(ROWS.read_text(encoding="utf-8")) if ROWS.exists() else {}


def slim(rows: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Return the answers of random jobs with what the table counts only."""
    return [{k: r[k] for k in ("seed", "budget", "state", "why", "by_rule", "cpu_s", "mb") if k in r} for r in rows]


def keep(found: dict[str, Any]) -> None:
    """Keep the rows of some parts in place of the older ones, and write the page from all."""
    rows = json.loads(json.dumps({**kept(), **found}))
    lines = ",\n".join(
        f'"{part}": [\n' + ",\n".join(json.dumps(r, sort_keys=True) for r in rows[part]) + "\n]"
        for part in sorted(rows)
    )
    ROWS.write_text("{\n" + lines + "\n}\n", encoding="utf-8")
    PAGE.write_text(page(rows), encoding="utf-8")


def page(rows: dict[str, Any]) -> str:
    """Return the page; parts that were never run are left out."""
    lines = [
        "# Reliability",
        "",
        "Made by `python benchmarks/reliability.py` from the rows in `benchmarks/reliability.json`; seeds are fixed, so anyone gets",
        "the same inputs. Each part is as it was run last. Times are of a machine that was busy with other work.",
        "",
    ]
    lines += _table(
        rows.get("damaged"),
        "what",
        ("tried", "refused in words", "crashes", "hangs beyond 10 s"),
        "Read, after damage:",
    )
    lines += _table(
        rows.get("whole"),
        "whole jobs",
        (
            "tried",
            "every document made",
            "a part left out, with the reason",
            "refused in words",
            "crashes, hangs beyond 120 s",
        ),
    )
    if rows.get("fuzz"):
        lines += _random_jobs(rows["fuzz"])
    hidden = rows.get("disguised")
    lines += _table(
        hidden,
        "disguise",
        ("plates", "read right", "refused", "read as another plate"),
        f"Random plates in disguise, {sum(r[1] for r in hidden or [])} in all: each must be read as drawn or refused.",
    )
    lines += _table(
        rows.get("kills"),
        "writing",
        ("kills, or rounds", "folders that were a mixture", "times something of the user's was lost"),
        "Killed, or racing for one folder (a document renamed in place may stand beside old ones until the next run ends it):",
    )
    lines += _table(
        rows.get("growth"),
        "how a job grows",
        ("size", "tacks and stitches", "processor time [s]", "peak of memory [MiB]"),
        "Larger jobs, all their documents (`python benchmarks/growth.py --keep`):",
    )
    return "\n".join(lines).rstrip() + "\n"


def _random_jobs(rows: list[dict[str, Any]]) -> list[str]:
    """What came of the random jobs, those of each budget by themselves."""
    counts = {b: [r for r in rows if r.get("budget", "whole") == b] for b in BUDGETS}
    lines = [
        "Random jobs over the declared range of outlines, sizes, ribs, pads, walls, tools, joints, papers and units, each in a",
        "process of its own (`python benchmarks/fuzz_make.py --seed S --count N`). In half of them all is as a shop would ask for",
        "it, in the other half some values are drawn without regard to the rest. The tables hold all of the",
        f"{len(rows):,} jobs.",
        "",
    ]
    for name, some in counts.items():
        if some:
            lines += [f"{len(some)} jobs, {TOLD[name]}:", "", *table(some)]
    return lines


def _table(rows: list[list[Any]] | None, first: str, columns: tuple[str, ...], before: str = "") -> list[str]:
    if not rows:
        return []
    lines = [before, ""] if before else []
    lines += [f"| {first} | {' | '.join(columns)} |", f"| --- |{' ---: |' * len(columns)}"]
    return [*lines, *("| " + " | ".join(str(v) for v in r) + " |" for r in rows), ""]
