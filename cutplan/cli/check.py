"""``cutplan check``: everything that can be known before making anything."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from cutplan.cli.show import TerminalProgress, as_shown, print_findings, print_json, said, tell
from cutplan.findings import errors
from cutplan.texts import Reader, name, plural, say


def add(commands: Any) -> None:
    """Add the command to the parser."""
    p = commands.add_parser(
        "check",
        help=said(say("check a job without making anything")),
        description=said(say("Read the job and its drawing, plan every trade and say what is doubtful.")),
    )
    p.add_argument("job", type=Path, metavar="JOB", help=said(say("a job file, or the folder that holds job.toml")))
    p.add_argument("--shop", type=Path, metavar="FILE", help=said(say("shop file to use")))
    p.add_argument("--json", action="store_true", help=said(say("print one JSON object and nothing else")))
    p.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Run the command; exit 1 when the job has errors."""
    from cutplan.project.planned.beside import usable_cores
    from cutplan.project.planned.plans import load, plans
    from cutplan.project.run.figures import figures
    from cutplan.project.steering import folder_of
    from cutplan.report.summary import summary

    job, shop = load(args.job, args.shop)
    progress = TerminalProgress(args.json)
    results = plans(job, shop, progress=progress, cores=usable_cores(), folder=folder_of(args.job))
    progress.close()
    bad = errors(results.findings)
    reader = Reader(job.shown.language, job.shown.display)
    lines = figures(summary(results))
    if args.json:
        print_json(
            {
                "job": job.about.title,
                "source": job.origin.source,
                "ok": not bad,
                "figures": [reader(line) for line in lines],
                "findings": [as_shown(f, reader) for f in results.findings],
            }
        )
        return 1 if bad else 0
    tell(
        say(
            "{title}, revision {revision} ({file}); shop file: {shop}",
            title=name(job.about.title),
            revision=name(job.about.revision),
            file=name(job.origin.source),
            shop=name(shop.source) if shop.source else say("none", context="shop file"),
        ),
        reader,
    )
    for line in lines:
        tell(line, reader, indent="  ")
    print_findings(results.findings, reader)
    tell(say("this job can be made"), reader) if not bad else tell(
        plural("one error stops this job or a part of it", "{count} errors stop this job or parts of it", len(bad)),
        reader,
    )
    return 1 if bad else 0
