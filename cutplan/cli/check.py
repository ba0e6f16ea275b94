"""``cutplan check``: everything that can be known before making anything."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from cutplan.cli.show import TerminalProgress, print_findings, print_json
from cutplan.findings import errors


def add(commands: Any) -> None:
    """Add the command to the parser."""
    p = commands.add_parser(
        "check",
        help="check a job without making anything",
        description="Read the job and its drawing, plan every trade and say what is doubtful.",
    )
    p.add_argument("job", type=Path, metavar="JOB", help="a job file, or the folder that holds job.toml")
    p.add_argument("--shop", type=Path, metavar="FILE", help="shop file to use")
    p.add_argument("--json", action="store_true", help="print one JSON object and nothing else")
    p.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Run the command; exit 1 when the job has errors."""
    from cutplan.project.make import figures
    from cutplan.project.plans import load, plans

    job, shop = load(args.job, args.shop)
    progress = TerminalProgress(args.json)
    results = plans(job, shop, progress=progress)
    progress.close()
    bad = errors(results.findings)
    if args.json:
        print_json(
            {
                "job": job.title,
                "source": job.source,
                "ok": not bad,
                "figures": list(figures(results)),
                "findings": [f.as_dict() for f in results.findings],
            }
        )
        return 1 if bad else 0
    print(f"{job.title}, revision {job.revision} ({job.source}); shop file: {shop.source or 'none'}")
    for line in figures(results):
        print(f"  {line}")
    print_findings(results.findings)
    print("this job can be made" if not bad else f"{len(bad)} errors stop this job")
    return 1 if bad else 0
