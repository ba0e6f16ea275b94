"""Laws of what random jobs say on paper, in both languages and units: quantities, units, contradictions.

``--seed S --count N`` looks at the jobs S to S + N - 1 of ``tests/random_jobs.py``, weld plan with a short search among
them; a fault is printed with its job, and the last line tells how many jobs and texts were looked at.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

from random_jobs import random_job  # noqa: E402
from said_laws import random_sheets  # noqa: E402


def main() -> int:
    """Run the laws and return 1 where one is broken."""
    p = argparse.ArgumentParser(description=__doc__)
    p.add_argument("--seed", type=int, default=0)
    p.add_argument("--count", type=int, default=200)
    p.add_argument("--largest", type=float, default=200.0, help="longest side of a plate [mm]")
    args = p.parse_args()
    faults = sheets = texts = 0
    for seed in range(args.seed, args.seed + args.count):
        with tempfile.TemporaryDirectory() as folder:
            wrong, looked = random_sheets(random_job(seed, args.largest), Path(folder))
        faults, sheets, texts = faults + len(wrong), sheets + (looked > 0), texts + looked
        for fault in wrong:
            print(f"{seed}: {fault}", flush=True)
    print(f"{args.count} jobs, {sheets} with a job sheet, {texts} texts: {faults} faults")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
