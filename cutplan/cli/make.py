"""``cutplan make``: the documents of one job or many."""

from __future__ import annotations

import argparse
import gc
import os
from pathlib import Path
from typing import Any

from cutplan.cli.show import TerminalProgress, as_shown, print_findings, print_json, said, tell
from cutplan.texts import ENGLISH, Reader, code, every, name, plural, say


def add(commands: Any) -> None:
    """Add the command to the parser."""
    p = commands.add_parser(
        "make",
        help=said(say("make the documents of a job")),
        description=said(say("Make templates, cut files, opening plan, weld plan, job sheet and report.")),
    )
    p.add_argument(
        "jobs", type=Path, metavar="JOB", nargs="+", help=said(say("job file, or the folder that holds job.toml"))
    )
    p.add_argument(
        "-o",
        "--output",
        type=Path,
        metavar="DIR",
        help=said(say("output folder (default: output/<job>); with several jobs, one folder each below it")),
    )
    p.add_argument(
        "--only", metavar="NAME,...", default="", help=said(say("only these documents, such as templates,job-sheet"))
    )
    p.add_argument("--shop", type=Path, metavar="FILE", help=said(say("shop file to use")))
    p.add_argument(
        "--workers", type=int, default=0, metavar="N", help=said(say("jobs made side by side (default: all cores)"))
    )
    p.add_argument(
        "--minutes", type=float, default=10.0, metavar="N", help=said(say("several jobs: longest time of one job"))
    )
    p.add_argument(
        "--memory", type=int, default=4000, metavar="MB", help=said(say("several jobs: most memory of one job"))
    )
    p.add_argument(
        "--json", action="store_true", help=said(say("print one JSON object; with several jobs one line for each"))
    )
    p.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Run the command; exit 1 when a job failed."""
    from cutplan.project.run.made import job_name

    only = [n.strip() for n in args.only.split(",") if n.strip()]
    if len(args.jobs) > 1:
        from cutplan.cli.batch import run_batch

        return run_batch(args, only)
    folder = args.output or Path("output") / job_name(args.jobs[0])
    return make_one(args.jobs[0], folder, only, args.shop, args.json)


def make_one(job: Path, folder: Path, only: list[str], shop: Path | None, as_json: bool) -> int:
    """Make one job and print the closing list."""
    from cutplan.project.make import make
    from cutplan.project.planned.beside import usable_cores

    progress = TerminalProgress(as_json)
    collecting = gc.isenabled()
    gc.disable()  # the process ends with the job: what loops of objects hold goes back then
    try:
        made = make(job, folder, only, shop, progress, usable_cores())
    finally:
        progress.close()
        if collecting:
            gc.enable()
    reader = reader_of(made)
    if as_json:
        print_json(
            {
                "folder": str(folder),
                "ok": made.whole,
                "unchanged": made.results is None,
                "written": list(made.written),
                "kept": list(made.kept),
                "figures": [reader(f) for f in made.figures],
                "findings": [as_shown(f, reader) for f in made.findings],
            }
        )
        return 0 if made.whole else 1
    print_findings(made.findings, reader, notes=False)
    where = code(f"{folder}{os.sep}")
    if made.results is None:
        tell(say("unchanged, nothing to make anew: {folder}", folder=where), reader)
    else:
        tell(say("written to {folder}", folder=where), reader)
        _list(made.written, made.kept, reader)
    for line in made.figures:
        tell(line, reader)
    return 0 if made.whole else 1


def reader_of(made: Any) -> Reader:
    """Return who reads about a job: its own language and units."""
    return (
        Reader(made.results.job.shown.language, made.results.job.shown.display) if made.results is not None else ENGLISH
    )


def _list(written: tuple[str, ...], kept: tuple[str, ...], reader: Reader) -> None:
    previews = [n for n in written if "/" in n]
    for file in written:
        if file not in previews:
            tell(file, reader, indent="  ")
    if previews:
        folder = code(f"previews{os.sep}")
        tell(plural("  {folder}  one picture", "  {folder}  {count} pictures", len(previews), folder=folder), reader)
    if kept:
        tell(say("  kept from before, same inputs: {files}", files=every([name(k) for k in kept])), reader)
