"""Many jobs on the command line: each told as soon as it is done, one table at the end, or one line of JSON each."""

from __future__ import annotations

import argparse
import json
import sys
from pathlib import Path

from cutplan.cli.show import tell
from cutplan.texts import code, name, number, say

_STATES = {
    "made": say("made"),
    "unchanged": say("unchanged"),
    "partly": say("partly made"),
    "failed": say("failed"),
}


def run_batch(args: argparse.Namespace, only: list[str]) -> int:
    """Make the jobs and tell how each ended; return 1 when one is not whole."""
    from cutplan.project.batch import Limits, Outcome, make_many
    from cutplan.project.planned.beside import usable_cores
    from cutplan.project.run.documents import chosen

    chosen(only)
    limits = Limits(60.0 * args.minutes, args.memory)
    workers = args.workers or usable_cores()
    done: list[Outcome] = []
    for outcome in make_many(args.jobs, args.output or Path("output"), only, args.shop, workers, limits):
        done.append(outcome)
        if args.json:
            print(json.dumps(_data(outcome), sort_keys=True, ensure_ascii=False))
        else:
            count = say("[{n}/{total}]", n=len(done), total=len(args.jobs))
            state = _STATES[outcome.state]
            tell(say("{count} {state}: {job}", count=count, state=state, job=name(outcome.job)))
            if outcome.error:
                tell("\n".join(f"        {line}" for line in str(outcome.error).splitlines()))
        sys.stdout.flush()
    if not args.json:
        _table(done)
    return 0 if all(o.ok for o in done) else 1


def _data(o) -> dict[str, object]:  # type: ignore[no-untyped-def]
    return {
        "job": o.job,
        "folder": o.folder,
        "ok": o.ok,
        "state": o.state,
        "figures": [str(f) for f in o.figures],
        "error": str(o.error),
        "seconds": round(o.seconds, 2),
    }


def _table(done) -> None:  # type: ignore[no-untyped-def]
    """Print one line for each job, in the order of their folders, and the sums."""
    wide = max(len(o.folder) for o in done)
    states = {key: str(said) for key, said in _STATES.items()}
    most = max(map(len, states.values()))
    tell("")
    for o in sorted(done, key=lambda o: o.folder):
        row = f"{states[o.state]:<{most}}  {o.folder:<{wide}}"
        tell(say("{row}  {time}", row=code(row), time=number(o.seconds, "s", 1)))
    counts = {key: sum(o.state == key for o in done) for key in _STATES}
    tell(
        say(
            "{made} made, {unchanged} unchanged, {partly} partly made, {failed} failed",
            made=counts["made"],
            unchanged=counts["unchanged"],
            partly=counts["partly"],
            failed=counts["failed"],
        )
    )
