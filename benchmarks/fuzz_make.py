"""Random whole jobs through ``make``: crashes, hangs, parts not computed and refusals counted, and how long they take.

``--seed S --count N`` makes the jobs S to S + N - 1 (``tests/random_jobs.py``); each runs in a process of its own that
is stopped after ``--limit`` seconds of processor time. ``--log FILE`` adds one line of JSON for each job; jobs that
stand there already are not run again, so a long run goes on where it stopped. ``--table`` only prints what a log holds.
``--nice N`` lowers the priority. ``--seeds 3,17`` runs these jobs only; ``--keep FOLDER`` keeps the files of those.
``--budget light`` spends less on each job (``fuzz_budget.py``). ``--minutes M`` begins no further job after that time.
"""

from __future__ import annotations

import argparse
import contextlib
import json
import os
import re
import resource
import signal
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterable
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parent.parent
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

from oracles.told_fault import is_fault  # noqa: E402
from random_jobs import random_job  # noqa: E402

from benchmarks.fuzz_budget import BUDGETS, load_all, spend  # noqa: E402
from cutplan.project.planned.attempt import TRADE_NAMES  # noqa: E402

#: Longest processor time of one job [s], and most memory [bytes].
LIMIT_S, LIMIT_BYTES = 240, 3_000_000_000
#: How a job can end, as the table says it.
STATES = {
    "made": "every document made",
    "partly": "a part not computed, with the reason",
    "refused": "refused in words",
    "crash": "crash (a fault of the program)",
    "hang": "stopped at the limit of time",
}
#: What a weld plan says whose order is by rule, since the model refused the job or had no answer.
BY_RULE = "order-not-computed"
#: Kinds of ends that are faults.
FAULTS = ("crash", "hang")


def outcome(seed: int, folder: Path, budget: str = "whole") -> dict[str, Any]:
    """Make one random job in this process and return how it ended."""
    from cutplan.errors import CutplanError
    from cutplan.findings import NOT_COMPUTED, errors
    from cutplan.project.folder.manifest import faults
    from cutplan.project.make import make

    given = BUDGETS[budget]
    spend(given)
    for name, data in random_job(seed, given.largest_mm).items():
        (folder / name).write_bytes(data)
    try:
        made = make(folder / "job.toml", folder / "out", given.wanted(seed))
    except CutplanError as error:
        return {"state": "refused", "why": sorted(set(_keys(error.message))), "said": str(error)[:1500]}
    except Exception as error:
        return {"state": "crash", "why": [_trace(error)]}
    bad = errors(made.findings)
    broken = [str(f.message) for f in bad if is_fault(f)]
    if broken or faults(folder / "out"):
        return {"state": "crash", "why": broken or ["the manifest does not fit the folder"]}
    parts = [f for f in bad if f.code == NOT_COMPUTED]
    ended = {"state": "partly" if bad else "made", "why": sorted({_reason(f) for f in parts})}
    by_rule = sorted({_key(f.message.value("problem")) for f in made.findings if f.code == BY_RULE})
    return {**ended, "by_rule": by_rule, "said": "\n".join(str(f.message) for f in bad)}


def _key(message: Any) -> str:
    return str(getattr(message, "key", message))[:160]


def _keys(message: Any) -> list[str]:
    """The texts without values of what a refusal names: its own, or those of the list that it holds."""
    values = dict(getattr(message, "values", ()))
    if "all" in values:
        return [key for item in values["all"].items for key in _keys(item)]
    what = values.get("what")
    if hasattr(what, "text"):  # words of their own: like ones differ by their numbers
        return [re.sub(r"-?\d[\d.]*", "#", what.text)[:160]]
    return _keys(what) if hasattr(what, "key") else [re.sub(r"-?\d[\d.]*", "#", _key(message))]


def _reason(finding: Any) -> str:
    """The text of a reason without its values, so that like ones are counted together."""
    values = dict(finding.message.values)
    return f"{values['what']}: {_key(values['reason'])}"


def _trace(error: Exception) -> str:
    frames, trace = [], error.__traceback__
    while trace is not None:
        frames.append(f"{Path(trace.tb_frame.f_code.co_filename).name}:{trace.tb_lineno}")
        trace = trace.tb_next
    return f"{type(error).__name__}: {str(error)[:200]} ({' '.join(frames[-5:])})"


def run(seed: int, limit_s: int, keep: Path | None = None, budget: str = "whole") -> dict[str, Any]:
    """Make one random job in a process of its own under limits of time and memory.

    Parameters
    ----------
    seed : int
        Of the job.
    limit_s : int
        Longest processor time [s].
    keep : Path or None
        Folder in which its files stay.
    budget : str
        What it may cost: a name of ``BUDGETS``.
    """
    with contextlib.ExitStack() as stack:
        folder = Path(stack.enter_context(tempfile.TemporaryDirectory())) if keep is None else keep / str(seed)
        folder.mkdir(parents=True, exist_ok=True)
        answer = folder / "answer.json"
        start = time.perf_counter()
        child = os.fork()
        if child == 0:
            _child(seed, folder, answer, limit_s, budget)
        _, status, used = os.wait4(child, 0)
        row = json.loads(answer.read_text()) if answer.exists() else _ended(status, used.ru_utime, limit_s)
    cpu = used.ru_utime + used.ru_stime
    took = {"cpu_s": round(cpu, 2), "wall_s": round(time.perf_counter() - start, 2), "mb": used.ru_maxrss // 1024}
    return {"seed": seed, "budget": budget, **row, **took}


def _child(seed: int, folder: Path, answer: Path, limit_s: int, budget: str) -> None:
    """Answer into a file and end, whatever happens."""
    code = 1
    try:
        resource.setrlimit(resource.RLIMIT_CPU, (limit_s, limit_s + 5))
        resource.setrlimit(resource.RLIMIT_AS, (LIMIT_BYTES, LIMIT_BYTES))
        signal.signal(signal.SIGXCPU, signal.SIG_DFL)
        text = json.dumps(outcome(seed, folder, budget))
        answer.with_suffix(".new").write_text(text)
        os.replace(answer.with_suffix(".new"), answer)
        code = 0
    finally:
        os._exit(code)


def _ended(status: int, cpu_s: float, limit_s: int) -> dict[str, Any]:
    number = os.WTERMSIG(status) if os.WIFSIGNALED(status) else 0
    if number in (signal.SIGXCPU, signal.SIGKILL) and cpu_s > 0.9 * limit_s:
        return {"state": "hang", "why": [f"more than {limit_s} s of processor time"]}
    return {"state": "crash", "why": [f"the process ended with signal {number}" if number else "no answer"]}


def table(rows: list[dict[str, Any]]) -> list[str]:
    """Return the lines of the table of a run, for a page.

    Parameters
    ----------
    rows : list of dict
        Answers of :func:`run`.
    """
    count = Counter(r["state"] for r in rows)
    lines = ["| random jobs through `make` | jobs | share |", "| --- | ---: | ---: |"]
    lines += [f"| {said} | {count[s]} | {100.0 * count[s] / len(rows):.1f} % |" for s, said in STATES.items()]
    lines += [f"| all | {len(rows)} | |", ""]
    for state in ("partly", "refused"):
        why = Counter(w for r in rows if r["state"] == state for w in r["why"])
        lines += [f"| why: {STATES[state]} | jobs |", "| --- | ---: |"]
        lines += [f"| {w.replace('|', '/')} | {n} |" for w, n in sorted(why.items(), key=lambda p: (-p[1], p[0]))]
        lines.append("")
    planned = [r for r in rows if r["state"] in ("made", "partly")]
    by_rule = Counter(w for r in planned for w in r.get("by_rule", ()))
    lines += [
        "| trade | jobs that it was asked in | planned | not computed, with the reason |",
        "| --- | ---: | ---: | ---: |",
    ]
    for trade in TRADE_NAMES.values():
        failed = sum(any(w.startswith(f"{trade}: ") for w in r["why"]) for r in planned)
        lines.append(f"| {trade} | {len(planned)} | {len(planned) - failed} | {failed} |")
    lines.append("")
    if by_rule:
        lines += ["| why: the order of beads is by rule, its distortion not computed | jobs |", "| --- | ---: |"]
        lines += [f"| {w} | {n} |" for w, n in sorted(by_rule.items(), key=lambda p: (-p[1], p[0]))]
        lines.append("")
    done = sorted(r["cpu_s"] for r in planned)
    if done:
        at = [(f"{100 * q:.0f} %", done[min(len(done) - 1, int(q * len(done)))]) for q in (0.5, 0.9, 0.99)]
        lines += ["| processor time of a job that was made | s |", "| --- | ---: |"]
        lines += [f"| {q} of them within | {s:.0f} |" for q, s in [*at, ("all", done[-1])]]
        lines += ["", f"Most memory of one job: {max(r['mb'] for r in rows)} MB.", ""]
    return lines


def read_log(path: Path | None) -> list[dict[str, Any]]:
    """Return the answers that a log holds."""
    if path is None or not path.exists():
        return []
    return [{"budget": "whole", **json.loads(line)} for line in path.read_text().splitlines() if line.strip()]


def run_many(
    seeds: Iterable[int], limit_s: int, log: Path | None, keep: Path | None, budget: str, minutes: float
) -> list[dict[str, Any]]:
    """Run jobs one after the other and return all answers, those of the log first; faults are told as they come."""
    load_all()
    end = time.monotonic() + 60.0 * minutes
    os.environ.setdefault("CUTPLAN_CACHE", "off")
    os.environ.setdefault("CUTPLAN_CONFIG", os.devnull)
    rows = read_log(log)
    known = {(r["seed"], r["budget"]) for r in rows}
    for seed in seeds:
        if (seed, budget) in known:
            continue
        if time.monotonic() > end:
            break
        row = run(seed, limit_s, keep, budget)
        rows.append(row)
        if log is not None:
            with log.open("a") as stream:
                stream.write(json.dumps(row, sort_keys=True) + "\n")
        if row["state"] in FAULTS:
            print(f"job {seed}: {row['state']}: {'; '.join(row['why'])}", file=sys.stderr, flush=True)
    return rows


def main() -> int:
    """Run what was asked for and print the table; the exit code is 1 when a job crashed or hung."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--count", type=int, default=20)
    parser.add_argument("--seeds", default="")
    parser.add_argument("--limit", type=int, default=LIMIT_S)
    parser.add_argument("--log", type=Path)
    parser.add_argument("--keep", type=Path)
    parser.add_argument("--nice", type=int, default=0)
    parser.add_argument("--budget", choices=tuple(BUDGETS), default="whole")
    parser.add_argument("--minutes", type=float, default=1e9)
    parser.add_argument("--table", action="store_true")
    given = parser.parse_args()
    os.nice(given.nice)
    seeds = [int(s) for s in given.seeds.split(",") if s] or range(given.seed, given.seed + given.count)
    rows = (
        read_log(given.log)
        if given.table
        else run_many(seeds, given.limit, given.log, given.keep, given.budget, given.minutes)
    )
    print("\n".join(table(rows)) if rows else "no jobs")
    return int(any(r["state"] in FAULTS for r in rows))


if __name__ == "__main__":
    sys.exit(main())
