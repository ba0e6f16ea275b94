# ruff: noqa: E402
"""Whether the torch path bites, judged from the files: GDAL reads each one, and a disc is swept along what it read.

    python benchmarks/files_bite.py [PLATES]

PLATES plates drawn at random (300), every second one with edges of nanometres to tenths, nicks and cusps
(tests/random_plates.py). Each is planned at a kerf of 1.5 mm, its path written as DXF and read again by GDAL; the disc
(tests/oracles/swept_disc.py) uses no code of the package. A plate whose plan is refused is told with its reason. Ends
with an error when one file bites deeper than 0.001 mm.
"""

from __future__ import annotations

import sys
import tempfile
from collections import Counter
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

import pyogrio
from cut_jobs import region_job
from oracles.file_bite import FINE_ARCS, file_bite
from random_plates import micro_plate, random_plate

from cutplan.cutting.files.drawings import path_layers
from cutplan.cutting.plan import plan_cut
from cutplan.errors import CutplanError
from cutplan.files.dxf.write import dxf_text
from cutplan.findings import errors
from cutplan.pattern.shop import Shop

#: Deepest bite allowed [mm].
ALLOWED_MM = 0.001


def main() -> None:
    """Print the deepest bite of each kind of plate, and what was refused."""
    plates = int(sys.argv[1]) if len(sys.argv) > 1 else 300
    pyogrio.set_gdal_config_options(FINE_ARCS)
    bites: dict[str, list[float]] = {"plain": [], "micro": []}
    refused: Counter[str] = Counter()
    with tempfile.TemporaryDirectory() as folder:
        for n in range(plates):
            kind, make = (("plain", random_plate), ("micro", micro_plate))[n % 2]
            job = region_job(make(n // 2))
            try:
                plan = plan_cut(job, Shop())
            except CutplanError as error:
                refused[type(error).__name__] += 1
                continue
            if not plan.paths or errors(plan.findings):
                refused[next((f.code for f in errors(plan.findings)), "nothing to cut")] += 1
                continue
            file = Path(folder) / "plate-path.dxf"
            file.write_text(dxf_text(path_layers(job, plan)))
            bites[kind].append(file_bite(file, plan.net.contours, len(plan.paths), 0.5 * plan.kerf_mm))
    for kind, found in bites.items():
        over = sum(b > ALLOWED_MM for b in found)
        print(
            f"{kind}: {len(found)} files, deepest bite {max(found, default=0.0):.6f} mm, {over} above {ALLOWED_MM} mm"
        )
    print(f"refused: {dict(sorted(refused.items())) or 'none'}")
    if any(b > ALLOWED_MM for found in bites.values() for b in found):
        raise SystemExit(1)


if __name__ == "__main__":
    main()
