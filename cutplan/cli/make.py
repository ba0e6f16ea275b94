"""``cutplan make``: the documents of one job or many."""

from __future__ import annotations

import argparse
import os
from pathlib import Path
from typing import Any

from cutplan.cli.show import TerminalProgress, print_findings, print_json


def add(commands: Any) -> None:
    """Add the command to the parser."""
    p = commands.add_parser(
        "make",
        help="make the documents of a job",
        description="Make templates, cut files, opening plan, weld plan, job sheet and report.",
    )
    p.add_argument("jobs", type=Path, metavar="JOB", nargs="+", help="job file, or the folder that holds job.toml")
    p.add_argument(
        "-o",
        "--output",
        type=Path,
        metavar="DIR",
        help="output folder (default: output/<job>); with several jobs, one folder each below it",
    )
    p.add_argument("--only", metavar="NAME,...", default="", help="only these documents, such as templates,job-sheet")
    p.add_argument("--shop", type=Path, metavar="FILE", help="shop file to use")
    p.add_argument("--workers", type=int, default=0, metavar="N", help="jobs made side by side (default: all cores)")
    p.add_argument("--json", action="store_true", help="print one JSON object and nothing else")
    p.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Run the command; exit 1 when a job failed."""
    from cutplan.project.make import job_name

    only = [n.strip() for n in args.only.split(",") if n.strip()]
    if len(args.jobs) > 1:
        return _many(args, only)
    folder = args.output or Path("output") / job_name(args.jobs[0])
    return make_one(args.jobs[0], folder, only, args.shop, args.json)


def make_one(job: Path, folder: Path, only: list[str], shop: Path | None, as_json: bool) -> int:
    """Make one job and print the closing list."""
    from cutplan.project.beside import usable_cores
    from cutplan.project.make import figures, make

    progress = TerminalProgress(as_json)
    try:
        made = make(job, folder, only, shop, progress, usable_cores())
    finally:
        progress.close()
    if as_json:
        print_json(
            {
                "folder": str(folder),
                "written": list(made.written),
                "kept": list(made.kept),
                "figures": list(figures(made.results)),
                "findings": [f.as_dict() for f in made.results.findings],
            }
        )
        return 0
    print_findings(made.results.findings, notes=False)
    print(f"written to {folder}{os.sep}")
    previews = [n for n in made.written if "/" in n]
    for name in made.written:
        if name not in previews:
            print(f"  {name}")
    if previews:
        print(f"  previews{os.sep}  {len(previews)} pictures")
    if made.kept:
        print(f"  kept from before, same inputs: {', '.join(made.kept)}")
    for line in figures(made.results):
        print(line)
    return 0


def _many(args: argparse.Namespace, only: list[str]) -> int:
    from cutplan.project.beside import usable_cores
    from cutplan.project.make import make_many

    outcomes = make_many(args.jobs, args.output or Path("output"), only, args.shop, args.workers or usable_cores())
    failed = [o for o in outcomes if o.error]
    if args.json:
        print_json(
            {
                "jobs": [
                    {"job": o.job, "folder": o.folder, "ok": not o.error, "figures": list(o.figures), "error": o.error}
                    for o in outcomes
                ]
            }
        )
        return 1 if failed else 0
    for o in outcomes:
        print(f"{'failed' if o.error else 'made  '}  {o.job}" + ("" if o.error else f"  ->  {o.folder}{os.sep}"))
        for line in o.error.splitlines() if o.error else o.figures:
            print(f"        {line}")
    print(f"{len(outcomes) - len(failed)} made, {len(failed)} failed")
    return 1 if failed else 0
