"""The command line: one parser, one file for each command, errors without a traceback, exit 0, 1 or 2."""

from __future__ import annotations

import argparse
import gc
import json
import os
import sys
from collections.abc import Sequence
from typing import NoReturn

from cutplan import __version__
from cutplan.cli import check, completion, coupon, demo, inspect, make, new, page, place, read
from cutplan.errors import CutplanError, UsageError

# The matrices here are small: one thread each is faster than many that wait for each other, and gives the same bytes.
for _threads in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ.setdefault(_threads, "1")

COMMANDS = (demo, page, new, read, check, make, coupon, inspect, place, completion)


class _Parser(argparse.ArgumentParser):
    """A parser that speaks like the rest of the program and exits with 2."""

    def error(self, message: str) -> NoReturn:
        self.exit(2, f"error: {message}\n  try:   {self.prog} --help\n")


def parser() -> argparse.ArgumentParser:
    """Return the whole command line parser."""
    top = _Parser(
        prog="cutplan",
        description="Turn a flat pattern of a weld-in plate into 1:1 templates, a torch path, a plan for the opening, "
        "a weld plan, sheets for the bench and proof at the end.",
        epilog="A good start: `cutplan demo`. Structural work on a vehicle can kill: read the cautions on every sheet.",
    )
    top.add_argument("--version", action="version", version=f"cutplan {__version__}")
    commands = top.add_subparsers(dest="command", metavar="COMMAND", required=True, parser_class=_Parser)
    for module in COMMANDS:
        module.add(commands)
    return top


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command and return its exit code."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
    args = parser().parse_args(argv)
    try:
        code: int = args.run(args)
        return code
    except CutplanError as error:
        return _report(error, getattr(args, "json", False))
    except BrokenPipeError:
        sys.stderr.close()
        return 1
    except KeyboardInterrupt:
        print("stopped; what was there before is unchanged", file=sys.stderr)
        return 1
    except (MemoryError, RecursionError):
        return _report(
            CutplanError("the input needs more memory or depth than allowed", hint="use a simpler file"), False
        )


def _report(error: CutplanError, as_json: bool) -> int:
    if as_json:
        print(
            json.dumps(
                {"error": {"message": str(error.message), "where": str(error.where), "try": str(error.hint)}},
                sort_keys=True,
            )
        )
    print(f"error: {error}", file=sys.stderr)
    return 2 if isinstance(error, UsageError) else 1


def run() -> NoReturn:
    """Entry point of the console script."""
    # one short run makes millions of small objects and few loops of them: looking for loops less often saves time
    gc.set_threshold(100_000, 50, 50)
    sys.exit(main())
