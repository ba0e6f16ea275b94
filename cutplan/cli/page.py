"""``cutplan page``: the whole job in a browser, on this machine only."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from cutplan.cli.show import said
from cutplan.errors import UsageError
from cutplan.texts import say


def add(commands: Any) -> None:
    """Add the command to the parser."""
    p = commands.add_parser(
        "page",
        help=said(say("do the whole job in a browser, on this machine only")),
        description=said(
            say(
                "Open a page in the browser: begin a job from tape readings, a drawing or a shape, change it by "
                "pointing, look at every document. Every change is in the job file at once. Ctrl-C ends it."
            )
        ),
    )
    p.add_argument(
        "job", type=Path, metavar="JOB", nargs="?", help=said(say("job file, or the folder that holds job.toml"))
    )
    p.add_argument("--no-open", action="store_true", help=said(say("print the address, but open no browser")))
    p.add_argument(
        "--port", type=int, default=0, metavar="N", help=said(say("port on this machine (default: any free one)"))
    )
    p.add_argument(
        "--folder",
        type=Path,
        metavar="DIR",
        default=Path(),
        help=said(say("where new jobs are begun (default: this folder)")),
    )
    p.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Run the command until it is ended."""
    import threading
    import webbrowser

    from cutplan.page.serve import serve

    if not 0 <= args.port <= 65535:
        raise UsageError(
            say("{port} is no port", port=args.port), "--port", say("a number from 1024 to 65535, or leave it away")
        )
    job = args.job / "job.toml" if args.job is not None and args.job.is_dir() else args.job

    def ready(address: str) -> None:
        print(f"the page is at {address}\nit answers this machine only; end it with Ctrl-C", flush=True)
        if not args.no_open:
            threading.Thread(target=webbrowser.open, args=(address,), daemon=True).start()

    args.folder.mkdir(parents=True, exist_ok=True)
    serve(job, args.folder, args.port, ready)
    print("the page has ended; every change is in the job file")
    return 0
