"""``cutplan demo``: the main sample, no file needed."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from cutplan.cli.make import make_one
from cutplan.cli.show import said
from cutplan.texts import say


def add(commands: Any) -> None:
    """Add the command to the parser."""
    p = commands.add_parser(
        "demo",
        help=said(say("make the main sample, no file needed")),
        description=said(say("The whole job on the main sample: an insert for a small van's rear crossmember.")),
    )
    p.add_argument(
        "-o",
        "--output",
        type=Path,
        metavar="DIR",
        default=Path("output"),
        help=said(say("output folder (default: output)")),
    )
    p.add_argument("--json", action="store_true", help=said(say("print one JSON object and nothing else")))
    p.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Run the command."""
    from cutplan.project.demo import demo_job

    return make_one(demo_job(), args.output, [], None, args.json)
