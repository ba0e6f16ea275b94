"""``cutplan marks``: strips of marks to lay round a cardboard template."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from cutplan.cli.show import said
from cutplan.tables.paper import offered, sheet_named
from cutplan.texts import say
from cutplan.texts.catalogue import LANGUAGES


def add(commands: Any) -> None:
    """Add the command to the parser."""
    p = commands.add_parser(
        "marks",
        help=said(say("print strips of marks to lay round a cardboard template")),
        description=said(
            say(
                "Strips to cut out and lay round a cardboard template before it is photographed or scanned, with rulers "
                "and a page that tells how."
            )
        ),
    )
    p.add_argument(
        "-o", "--output", type=Path, metavar="FILE", default=Path("marks.pdf"), help=said(say("where to write"))
    )
    p.add_argument("--paper", default="A4", type=sheet_named, help=said(say("paper: {papers}", papers=offered())))
    p.add_argument(
        "--language", choices=tuple(LANGUAGES), default="en", help=said(say("language of the page that tells how"))
    )
    p.add_argument("--json", action="store_true", help=said(say("print one JSON object and nothing else")))
    p.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Run the command."""
    from cutplan.cli.show import print_json, tell
    from cutplan.project.trace import make_marks
    from cutplan.texts import Reader, code, say

    path = make_marks(args.paper, args.output, Reader(args.language))
    if args.json:
        print_json({"written": [str(path)]})
    else:
        read = Reader(args.language)
        tell(say("written: {path}", path=code(path)), read)
        tell(say("print it at 100 %; its first page tells how to lay the strips and photograph the card"), read)
    return 0
