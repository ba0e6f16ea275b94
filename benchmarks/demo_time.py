"""How long the whole demo takes, against the time that importing what it depends on takes, in one run.

Both are whole processes started fresh, in turn, several times; the medians' ratio is printed. The target is 4.
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import tempfile
import time

#: The declared runtime dependencies, with the parts of them that a plate job works with.
IMPORTS = (
    "numpy, scipy.linalg, scipy.sparse.linalg, scipy.spatial, scipy.special, shapely, shapely.ops, shapely.strtree, "
    "ezdxf, ezdxf.recover, reportlab.pdfgen.canvas, reportlab.pdfbase.ttfonts, "
    "matplotlib.figure, matplotlib.backends.backend_agg, PIL.Image, PIL.ImageFont, PIL.ImageDraw, threadpoolctl"
)
ROUNDS = 5


def seconds(command: list[str]) -> float:
    """Return the wall time of one process [s]."""
    start = time.perf_counter()
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    return time.perf_counter() - start


def main() -> None:
    """Print the ratio."""
    with tempfile.TemporaryDirectory() as folder:
        demo = [sys.executable, "-m", "cutplan", "demo", "-o", f"{folder}/out"]
        load = [sys.executable, "-c", f"import {IMPORTS}"]
        seconds(load)
        seconds(demo)
        loads, demos = [], []
        for _ in range(ROUNDS):
            loads.append(seconds(load))
            demos.append(seconds(demo))
    a, b = statistics.median(demos), statistics.median(loads)
    print(f"demo {a:.2f} s, imports {b:.2f} s, ratio {a / b:.2f} (target: at most 4)")


if __name__ == "__main__":
    main()
