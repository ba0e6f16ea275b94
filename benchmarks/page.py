# ruff: noqa: E402
"""The page: time from a change to its cheap answers, as a multiple of ``cutplan check`` without its start-up.

    python benchmarks/page.py [CHANGES]

For each sample, and for a 3 m plate with 2,000 holes, one number of the job file is changed again and again as the page does
it: text edited, written down, file replaced, job read and checked, shapes and findings answered. Beside it stands the median
time of ``cutplan check`` in the same process (modules loaded, plans not remembered).
"""

from __future__ import annotations

import contextlib
import io
import os
import shutil
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path[:0] = [str(ROOT)]

import ezdxf

from cutplan.cli.main import main as command
from cutplan.page.session import Session

#: What an answer may take to count as immediate [s].
IMMEDIATE_S = 0.3


def many_holes(folder: Path) -> Path:
    """Write a 3 m plate with 2,000 holes and return its job file."""
    doc = ezdxf.new("R2000")
    doc.units = 4
    model = doc.modelspace()
    model.add_lwpolyline([(0, 0), (3000, 0), (3000, 1000), (0, 1000)], close=True)
    for i in range(2000):
        model.add_circle((40 + (i % 80) * 36.8, 40 + (i // 80) * 37.5), 5 + 0.5 * (i % 5))
    folder.mkdir()
    doc.saveas(folder / "plate.dxf")
    job = folder / "job.toml"
    job.write_text(
        'units = "mm"\ntitle = "Many holes"\n[plate]\ndrawing = "plate.dxf"\nthickness = 4\n[joint]\ngap = 1\n[skin]\nthickness = 2.5\n'
    )
    return job


def median_s(work: Callable[[int], object], times: int) -> float:
    """Return the median time of a work [s], the first run left out."""
    work(0)
    taken = []
    for i in range(1, times + 1):
        start = time.perf_counter()
        work(i)
        taken.append(time.perf_counter() - start)
    return statistics.median(taken)


def checked_s(job: Path, times: int) -> float:
    """Return the median time of ``cutplan check`` [s]."""

    def check(_: int) -> None:
        with contextlib.redirect_stdout(io.StringIO()):
            command(["check", str(job), "--json"])

    return median_s(check, times)


def answered_s(job: Path, times: int) -> float:
    """Return the median time from a change to its cheap answers [s]."""
    session = Session(job.parent.parent)
    desk = session.open(job)

    def change(i: int) -> None:
        sheet = desk.change([{"do": "set", "at": ["joint", "gap"], "value": 1.0 + 0.01 * (i % 50)}], "gap")
        session.state(sheet)

    return median_s(change, times)


def main() -> None:
    """Print one line for each job, and the worst."""
    times = int(sys.argv[1]) if len(sys.argv) > 1 else 7
    worst = 0.0
    print("job                       change to answers    cutplan check    share of it")
    with tempfile.TemporaryDirectory() as room:
        os.environ["CUTPLAN_CONFIG"], os.environ["CUTPLAN_CACHE"] = room, "off"
        jobs = [many_holes(Path(room) / "many-holes")]
        for sample in sorted((ROOT / "sample_parts").glob("*/job.toml")):
            shutil.copytree(sample.parent, Path(room) / sample.parent.name)
            jobs.append(Path(room) / sample.parent.name / "job.toml")
        for job in jobs:
            if 'kind = "lap"' in job.read_text():
                continue  # its joint has no gap to change
            answer = answered_s(job, times)
            worst = max(worst, answer)
            if job.parent.name == "many-holes":  # to check it takes minutes
                print(f"{job.parent.name:26s}{answer * 1e3:10.0f} ms", flush=True)
                continue
            check = checked_s(job, 1)
            print(
                f"{job.parent.name:26s}{answer * 1e3:10.0f} ms{check * 1e3:17.0f} ms{answer / check:15.4f}", flush=True
            )
    print(
        f"worst: {worst * 1e3:.0f} ms; immediate is {IMMEDIATE_S * 1e3:.0f} ms: {'kept' if worst <= IMMEDIATE_S else 'missed'}"
    )


if __name__ == "__main__":
    main()
