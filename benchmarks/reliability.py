"""The reliability table: inputs tried, crashes, hangs, kills survived, bytes lost. Writes docs/reliability.md.

Each part of the table is kept in ``reliability.json`` as it was run, so that parts may be run one by one (``--only``);
``--fuzz-log`` takes in the answers of ``fuzz_make.py``. Damaged drawings and jobs are made from valid ones with a fixed seed; each is read in this process under a time limit.
A crash is any exception outside the program's own family; a hang is a read beyond the limit. Damaged jobs also go
through ``check`` and ``make``: there a crash is a traceback or a trade that ended in a fault of the program. Random plates, disguised as
other hands draw them, must come back as the plates that they were made from, or be refused. Writers, and whole runs of `cutplan make`, are killed at random moments and the folder is held against
its manifest. ``--quick`` tries fewer.
"""

from __future__ import annotations

import argparse
import os
import random
import shutil
import signal
import sys
import tempfile
from collections.abc import Iterable, Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

from disguises import DISGUISES, same_plate, shuffled  # noqa: E402
from oracles.told_fault import is_fault  # noqa: E402
from random_plates import random_plate  # noqa: E402

from benchmarks.fuzz_make import read_log  # noqa: E402
from benchmarks.reliability_kills import kill_rows  # noqa: E402
from benchmarks.reliability_page import keep, kept, page, slim  # noqa: E402
from cutplan.errors import CutplanError  # noqa: E402
from cutplan.files.drawing_in import read_drawing  # noqa: E402
from cutplan.files.dxf.sketch import SketchLayer  # noqa: E402
from cutplan.files.job.read import read_job  # noqa: E402
from cutplan.files.svg.write import svg_text  # noqa: E402
from cutplan.findings import Finding, errors  # noqa: E402
from cutplan.project.make import make  # noqa: E402
from cutplan.project.planned.plans import load, plans  # noqa: E402

#: Parts of the table that are run one by one; ``fuzz`` comes from the log of its own benchmark.
PARTS = ("damaged", "disguised", "whole", "kills")
#: Longest time of one reading [s].
LIMIT_S = 10
#: Longest time of one whole job [s].
JOB_LIMIT_S = 120
#: Random plates that are damaged beside the samples.
_OF_OWN = 12


class _Hang(Exception):
    pass


def _alarm(*_: object) -> None:
    raise _Hang


def _bytes_damage(data: bytes, chance: random.Random) -> bytes:
    """Flip, cut, repeat or replace bytes."""
    out = bytearray(data)
    for _ in range(chance.randrange(1, 6)):
        if not out:
            break
        kind, i = chance.randrange(5), chance.randrange(len(out))
        if kind == 0:
            out[i] = chance.randrange(256)
        elif kind == 1:
            del out[i : i + chance.randrange(1, 200)]
        elif kind == 2:
            out[i:i] = out[i : i + chance.randrange(1, 200)]
        elif kind == 3:
            out[i:i] = chance.choice([b"nan", b"1e308", b"-1", b"\n0\nEOF\n", b"<a>", b"\x00", b"99999999999999999999"])
        else:
            del out[i:]
    return bytes(out)


def try_all(
    name: str, sources: list[tuple[Path, bytes]], count: int, suffix: str, folder: Path
) -> tuple[str, int, int, int, int]:
    """Return (what, tried, refused, crashes, hangs)."""
    chance = random.Random(name)
    refused = crashes = hangs = 0
    for n in range(count):
        origin, data = sources[n % len(sources)]
        path = folder / f"t{suffix}"
        if suffix == ".toml" and (origin.parent / "plate.dxf").exists():
            (folder / "plate.dxf").write_bytes((origin.parent / "plate.dxf").read_bytes())
        path.write_bytes(_bytes_damage(data, chance) if n >= len(sources) else data)
        signal.setitimer(signal.ITIMER_REAL, LIMIT_S)
        try:
            if suffix == ".toml":
                read_job(path)
            else:
                refused += bool(errors(read_drawing(path).findings))
        except CutplanError:
            refused += 1
        except _Hang:
            hangs += 1
            print(f"hang: {origin.name} #{n}", file=sys.stderr)
        except Exception as error:
            crashes += 1
            print(f"crash: {origin.name} #{n}: {error!r}", file=sys.stderr)
        finally:
            signal.setitimer(signal.ITIMER_REAL, 0)
    return name, count, refused, crashes, hangs


def _crashed(findings: Iterable[Finding]) -> bool:
    """Whether a trade or document ended in a fault of the program, not in a reason."""
    return any(is_fault(f) for f in findings)


def whole_jobs(
    name: str, texts: Iterable[tuple[str, bytes | None]], make_it: bool, folder: Path
) -> tuple[str, int, int, int, int, int]:
    """Send jobs through ``check`` or ``make``: (what, tried, whole, partly, refused, crashes and hangs)."""
    counts = {"tried": 0, "whole": 0, "partly": 0, "refused": 0, "bad": 0}
    for n, (text, drawing) in enumerate(texts):
        counts["tried"] += 1
        job = folder / "whole" / "job.toml"
        job.parent.mkdir(exist_ok=True)
        job.write_bytes(text.encode("utf-8", "surrogateescape"))
        if drawing is not None:
            (job.parent / "plate.dxf").write_bytes(drawing)
        signal.setitimer(signal.ITIMER_REAL, JOB_LIMIT_S)
        try:
            found = make(job, folder / f"made-{n}").findings if make_it else plans(*load(job)).findings
            counts["bad" if _crashed(found) else "partly" if errors(found) else "whole"] += 1
        except CutplanError:
            counts["refused"] += 1
        except (_Hang, Exception) as error:
            counts["bad"] += 1
            print(f"{name} #{n}: {error!r}", file=sys.stderr)
        finally:
            signal.setitimer(signal.ITIMER_REAL, 0)
            shutil.rmtree(folder / f"made-{n}", ignore_errors=True)
    return name, counts["tried"], counts["whole"], counts["partly"], counts["refused"], counts["bad"]


def damaged_jobs(jobs: list[tuple[Path, bytes]], count: int) -> Iterator[tuple[str, bytes | None]]:
    """Jobs with a few bytes changed, their orders few so that the search is short."""
    chance = random.Random("damaged whole jobs")
    for n in range(count):
        path, data = jobs[n % len(jobs)]
        drawing = path.parent / "plate.dxf"
        text = _bytes_damage(data.replace(b"[welding]", b"[welding]\norders = 20"), chance)
        yield text.decode("utf-8", "surrogateescape"), drawing.read_bytes() if drawing.exists() else None


def disguised(count: int, folder: Path) -> list[tuple[str, int, int, int, int]]:
    """Return for each disguise (name, plates, read right, refused, read as another plate)."""
    rows = []
    for name, (disguise, _) in DISGUISES.items():
        right = refused = wrong = tried = 0
        for n in range(count):
            plate = random_plate(n)
            if name == "a sheet's border" and not plate.holes:
                continue  # a frame around a plate without a hole is a plate with an opening: the same drawing
            tried += 1
            path = folder / "plate.dxf"
            path.write_text(disguise(plate, random.Random(n)))
            try:
                drawing = read_drawing(path)
            except CutplanError:
                refused += 1
                continue
            if not drawing.sound:
                refused += 1
            elif len(drawing.parts) == 1 and same_plate(drawing.parts[0].region, plate):
                right += 1
            else:
                wrong += 1
                print(f"wrong read: plate {n}, {name}", file=sys.stderr)
        rows.append((name, tried, right, refused, wrong))
    return rows


def _sources() -> tuple[list[tuple[Path, bytes]], list[tuple[Path, bytes]], list[tuple[Path, bytes]]]:
    """Drawings, SVG drawings and jobs that damaged ones are made from."""
    drawings = [(p, p.read_bytes()) for p in sorted((ROOT / "sample_parts").glob("*/plate.dxf"))]
    drawings += [(Path(f"plate-{n}.dxf"), shuffled(random_plate(n), random.Random(n)).encode()) for n in range(_OF_OWN)]
    svgs = []
    for n in range(_OF_OWN):
        layer = SketchLayer("outline", random_plate(n).contours)
        svgs.append((Path(f"plate-{n}.svg"), svg_text((layer,)).encode()))
    return drawings, svgs, [(p, p.read_bytes()) for p in sorted((ROOT / "sample_parts").glob("*/job.toml"))]


def run_part(part: str, count: int, folder: Path) -> list[tuple[object, ...]]:
    """Return the rows of one part of the table."""
    drawings, svgs, jobs = _sources()
    some = max(6, count // 10)
    if part == "damaged":
        return [
            try_all("DXF drawings, damaged", drawings, count, ".dxf", folder),
            try_all("SVG drawings, damaged", svgs, count, ".svg", folder),
            try_all("job files, damaged", jobs, count, ".toml", folder),
        ]
    if part == "disguised":
        return list(disguised(max(20, count * 379 // 1000), folder))
    if part == "whole":
        return [
            whole_jobs("damaged jobs through `check`", damaged_jobs(jobs, some), False, folder),
            whole_jobs("damaged jobs through `make`", damaged_jobs(jobs, max(6, some // 4)), True, folder),
        ]
    return list(kill_rows(count < 100, max(4, min(50, count // 40)), folder))


def main() -> None:
    """Run the parts asked for, keep their rows, and write the page from all rows that are kept."""
    parser = argparse.ArgumentParser(description="what was tried, and what came of it")
    parser.add_argument("--quick", action="store_true", help="few of each, and nothing is kept")
    parser.add_argument(
        "--count", type=int, default=2000, help="readings tried; whole jobs and kills of whole runs are fewer"
    )
    parser.add_argument("--only", default=",".join(PARTS), help=f"some of {', '.join(PARTS)}")
    parser.add_argument("--fuzz-log", type=Path, action="append", default=[], help="answers of benchmarks/fuzz_make.py")
    given = parser.parse_args()
    signal.signal(signal.SIGALRM, _alarm)
    os.environ["CUTPLAN_CACHE"] = "off"
    found: dict[str, object] = {}
    for part in filter(None, given.only.split(",")):
        with tempfile.TemporaryDirectory() as name:
            found[part] = run_part(part, 60 if given.quick else given.count, Path(name))
    if given.fuzz_log:
        found["fuzz"] = [row for log in given.fuzz_log for row in slim(read_log(log))]
    if not given.quick:
        keep(found)
    print(page({**kept(), **found}))


if __name__ == "__main__":
    main()
