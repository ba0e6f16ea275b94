"""The command line: one parser, one file for each command, errors without a traceback, exit 0, 1 or 2."""

from __future__ import annotations

import argparse
import gc
import os
import sys
from collections.abc import Sequence
from typing import Any, NoReturn

from cutplan import __version__
from cutplan.cli import check, completion, coupon, demo, inspect, make, marks, new, page, place, read, sheet, trace
from cutplan.cli.show import complain, print_json, said, value
from cutplan.errors import CutplanError, UsageError
from cutplan.texts import code, every, name, say

# The matrices here are small: one thread each is faster than many that wait for each other, and gives the same bytes.
for _threads in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ.setdefault(_threads, "1")

COMMANDS = (demo, page, new, read, check, make, sheet, coupon, inspect, place, marks, trace, completion)


class _Help(argparse.HelpFormatter):
    """Help whose own words come from the catalogue, too."""

    def add_usage(self, usage: Any, actions: Any, groups: Any, prefix: str | None = None) -> None:
        super().add_usage(usage, actions, groups, f"{said(say('usage:'))} " if prefix is None else prefix)

    def start_section(self, heading: str | None) -> None:
        super().start_section(said(_HEADS[heading]) if heading in _HEADS else heading)


_HEADS = {"options": say("options"), "positional arguments": say("what it takes")}


class _Parser(argparse.ArgumentParser):
    """A parser that speaks like the rest of the program and exits with 2."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**{**kwargs, "add_help": False, "formatter_class": _Help})
        self.add_argument("-h", "--help", action="help", help=said(say("show this help and stop")))

    def error(self, message: str) -> NoReturn:
        complain(say("error: {message}\n  try:   {command} --help", message=name(message), command=code(self.prog)))
        sys.exit(2)


def parser() -> argparse.ArgumentParser:
    """Return the whole command line parser."""
    top = _Parser(
        prog="cutplan",
        description=said(
            say(
                "Turn a flat pattern of a weld-in plate into 1:1 templates, a torch path, a plan for the opening, "
                "a weld plan, sheets for the bench and proof at the end."
            )
        ),
        epilog=said(
            say(
                "A good start: `cutplan demo`. Structural work on a vehicle can kill: read the cautions on every sheet."
            )
        ),
    )
    top.add_argument(
        "--version", action="version", version=f"cutplan {__version__}", help=said(say("show the version and stop"))
    )
    commands = top.add_subparsers(
        title=said(say("commands")), dest="command", metavar="COMMAND", required=True, parser_class=_Parser
    )
    for module in COMMANDS:
        module.add(commands)
    return top


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command and return its exit code."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
    args, extra = parser().parse_known_args(argv)
    if extra:
        words = every([name(w) for w in extra], " ")
        what = say("{words}: not understood here", words=words)
        fix = say("a name with blanks stands in quotes; {command} lists what is taken",
                  command=code(f"cutplan {args.command} --help"))  # fmt: skip
        return _report(UsageError(what, hint=fix), getattr(args, "json", False))
    as_json = getattr(args, "json", False)
    try:
        done: int = args.run(args)
        if sys.stdout is not None:
            sys.stdout.flush()
        return done
    except BrokenPipeError:
        _hush()
        return 1
    except CutplanError as error:
        return _report(error, as_json)
    except KeyboardInterrupt:
        complain(say("stopped; what was there before is unchanged"))
        return 1
    except (MemoryError, RecursionError):
        what = say("the input needs more memory or depth than allowed")
        return _report(CutplanError(what, hint=say("use a simpler file")), as_json)
    except OSError as error:
        return _report(_of_the_system(error), as_json)
    except Exception as error:  # a fault of the program: told in a sentence like any other
        return _report(_of_the_program(error), as_json)


def _of_the_system(error: OSError) -> CutplanError:
    """Return an error of the system, such as a full disk or a folder that is gone, in our words."""
    what = say("the system refused it ({reason})", reason=name(error.strerror or str(error)))
    return CutplanError(what, str(error.filename or ""), say("check the folder, its rights and free space"))


def _of_the_program(error: Exception) -> CutplanError:
    if os.environ.get("CUTPLAN_DEBUG"):
        raise error
    text = " ".join(str(error).split())[:200]
    what = say("the program failed ({kind}: {detail})", kind=code(type(error).__name__), detail=name(text))
    return CutplanError(what, "", say("this is a fault of the program: pass on this line with the file it was given"))


def _report(error: CutplanError, as_json: bool) -> int:
    """Tell an error: as JSON in the shape of an answer on standard output, and in words on standard error."""
    done = 2 if isinstance(error, UsageError) else 1
    try:
        if as_json:
            told = {"message": str(error.message), "where": str(error.where), "try": str(error.hint)}
            listed = {"code": "refused", "severity": "error", "message": told["message"], "where": told["where"]}
            print_json({"ok": False, "error": told, "findings": [{**listed, "fix": told["try"]}]})
        if sys.stdout is not None:
            sys.stdout.flush()
        complain(say("error: {error}", error=value(str(error))))
    except OSError:  # nobody listens
        _hush()
    return done


def _hush() -> None:
    """Let the streams end in silence, so that Python's own end says nothing either."""
    nothing = os.open(os.devnull, os.O_WRONLY)
    for stream in (sys.stdout, sys.stderr):
        try:
            if stream is not None:
                os.dup2(nothing, stream.fileno())
        except (OSError, ValueError):
            continue


def run() -> NoReturn:
    """Entry point of the console script."""
    # one short run makes millions of small objects and few loops of them: looking for loops less often saves time
    gc.set_threshold(100_000, 50, 50)
    done = main()
    gc.freeze()  # the process ends: a last look for loops through all that it holds takes a twentieth of a job's time
    sys.exit(done)
