"""``cutplan inspect``: as built against plan."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from cutplan.cli.show import print_findings, print_json
from cutplan.errors import UsageError


def add(commands: Any) -> None:
    """Add the command to the parser."""
    p = commands.add_parser(
        "inspect",
        help="compare measurements of the finished part with the plan",
        description="Compare measured distances, diagonals, pads and gaps with the plan. "
        "With --form, write the blank form to fill in first.",
    )
    p.add_argument("job", type=Path, metavar="JOB", help="job file, or the folder that holds job.toml")
    p.add_argument("measured", type=Path, metavar="MEASURED.csv", nargs="?", help="the form, filled in")
    p.add_argument("--form", type=Path, metavar="FILE", help="write a blank form and stop")
    p.add_argument("-o", "--output", type=Path, metavar="FILE", help="also write the as-built page as a PDF")
    p.add_argument("--shop", type=Path, metavar="FILE", help="shop file to use")
    p.add_argument("--json", action="store_true", help="print one JSON object and nothing else")
    p.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Run the command; exit 1 when a value is out or readings are wrong."""
    from cutplan.project.inspect import inspect_job, write_form

    if args.form:
        write_form(args.job, args.form)
        if args.json:
            print_json({"form": str(args.form)})
        else:
            print(
                f"written: {args.form}\n"
                f"next: fill in the column 'measured', then  cutplan inspect {args.job} {args.form}"
            )
        return 0
    if args.measured is None:
        raise UsageError(
            "the measurements are missing", "cutplan inspect", "name a CSV file, or write a blank one with --form"
        )
    found = inspect_job(args.job, args.measured, args.shop, args.output)
    if args.json:
        print_json(found.as_dict())
    else:
        for c in found.checked:
            print(
                f"{'ok ' if c.ok else 'OUT'}  {c.label}: {c.measured_mm:.2f} mm, plan {c.plan_mm:.2f}, "
                f"off {c.deviation_mm:+.2f}, allowed {c.low_mm:+.2f} to {c.high_mm:+.2f} ({c.source})"
            )
        for p in found.points:
            print(f"     {p.name}: {p.deviation_mm:.2f} mm from its place after the best fit")
        if found.linear_class:
            print(f"ISO 13920 lengths: class {found.linear_class}")
        if found.flatness_class:
            print(f"ISO 13920 flatness: class {found.flatness_class}")
        for name in found.missing:
            print(f"missing: {name}")
        print_findings(found.findings)
        print(f"verdict: {found.verdict}")
        for line in found.advice:
            print(f"  next: {line}")
        if args.output:
            print(f"written: {args.output}")
    return 0 if found.verdict == "pass" else 1
