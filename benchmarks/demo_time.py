"""How long the demo takes, fresh, unchanged and on another paper, against importing what it depends on, in one run.

All are whole processes started fresh, in turn, several times; medians of their processor times are compared, so that other
work on the machine counts little. Processor time is what one core needs; the time on the wall with all cores of the machine
is printed beside it. The targets: the whole demo at most 4 times the imports, another paper 1.3, an unchanged job 0.3.
``--rounds N`` takes more or fewer.
"""

from __future__ import annotations

import os
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
#: The declared runtime dependencies, with the parts of them that a plate job works with.
LOADED = (
    "numpy, scipy.linalg, scipy.sparse.linalg, scipy.spatial, scipy.special, shapely, shapely.ops, shapely.strtree, "
    "ezdxf, ezdxf.recover, reportlab.pdfgen.canvas, reportlab.pdfbase.ttfonts, "
    "PIL.Image, PIL.ImageFont, PIL.ImageDraw, threadpoolctl"
)
#: The same with what only the map of a study is drawn with since plate jobs do without it: what the targets were set for.
IMPORTS = f"{LOADED}, matplotlib.figure, matplotlib.backends.backend_agg"
ROUNDS = 5
#: What is measured, with the most that it may take as a multiple of the imports.
TARGETS = {"demo": 4.0, "another paper": 1.3, "unchanged": 0.3}


def seconds(command: list[str], environment: dict[str, str]) -> tuple[float, float]:
    """Return processor time and time on the wall of one process and its children [s]."""
    before, start = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter()
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, env=environment, cwd=ROOT)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    used = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    return used, time.perf_counter() - start


def one_round(folder: Path, environment: dict[str, str]) -> dict[str, tuple[float, float]]:
    """Return the times of the imports, of a first run, of an unchanged one, and of one on another paper."""
    environment = environment | {"CUTPLAN_CACHE": str(folder / "cache")}
    environment.pop("PYTHONDONTWRITEBYTECODE", None)  # a user's Python keeps what it has compiled
    job = folder / "job.toml"
    sample = ROOT / "cutplan" / "demo_part"
    for path in sample.iterdir():
        (folder / path.name).write_bytes(path.read_bytes())
    make = [sys.executable, "-m", "cutplan", "make", str(job), "-o", str(folder / "out")]
    found = {
        name: seconds([sys.executable, "-c", f"import {modules}"], environment)
        for name, modules in (("imports", IMPORTS), ("loaded", LOADED))
    }
    found["demo"] = seconds(make, environment)
    found["unchanged"] = seconds(make, environment)
    text = job.read_text(encoding="utf-8")
    job.write_text(text.replace('size = "A4"', 'size = "A3"'), encoding="utf-8")
    if job.read_text(encoding="utf-8") == text:
        raise SystemExit("the main sample's paper is no longer A4: nothing was changed")
    found["another paper"] = seconds(make, environment)
    return found


def main() -> None:
    """Print one line for each ratio."""
    rounds = int(sys.argv[sys.argv.index("--rounds") + 1]) if "--rounds" in sys.argv else ROUNDS
    with tempfile.TemporaryDirectory() as name:
        environment = {**os.environ, "PYTHONPATH": str(ROOT), "PYTHONPYCACHEPREFIX": f"{name}/compiled"}
        environment.pop("PYTHONDONTWRITEBYTECODE", None)
        times: dict[str, list[tuple[float, float]]] = {}
        for k in range(rounds + 1):
            folder = Path(name) / str(k)
            folder.mkdir()
            for what, took in one_round(folder, environment).items():
                if k:  # the first round compiles the sources
                    times.setdefault(what, []).append(took)
    middle = {what: [statistics.median(t[i] for t in took) for i in (0, 1)] for what, took in times.items()}
    cores = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count()
    print(f"imports {middle['imports'][0]:.2f} s of processor time, {middle['imports'][1]:.2f} s on the wall;")
    print(f"those that a plate job itself loads {middle['loaded'][0]:.2f} s of processor time")
    for what, most in TARGETS.items():
        cpu, wall = (middle[what][i] / middle["imports"][i] for i in (0, 1))
        met = "met" if cpu <= most else "missed"
        print(
            f"{what}: {cpu:.2f} times the imports on one core (target {most:g}: {met}); "
            f"{wall:.2f} on the wall with {cores} cores; {middle[what][0] / middle['loaded'][0]:.2f} times those it loads"
        )


if __name__ == "__main__":
    main()
