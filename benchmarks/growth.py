"""How time and memory grow with holes, outline and beads; 2,000 holes, a 3 m part; a batch on both cores.

Exponents are fitted to the processor times of one run: time ~ size ** exponent. None should be above 2.
``--quick`` takes small sizes; ``--only braced,batch`` runs some of holes, outline, length, braced, vertices, proof, batch;
``--keep`` puts the families that were run into the table of ``docs/reliability.md``.
"""

from __future__ import annotations

import json
import math
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from benchmarks.reliability_page import keep, kept

HEAD = 'units = "mm"\ntitle = "growth"\n[skin]\nthickness = 2.5\n'


def holes_job(count: int) -> str:
    """A plate with a square grid of holes, 20 mm apart."""
    side = math.isqrt(count - 1) + 1
    size = 20 * side + 20
    rows = [
        f'[[plate.hole]]\nat = [20, {20 + 20 * r}]\ndiameter = 8\npurpose = "access"\n'
        f"count = {min(side, count - r * side)}\nstep = [20, 0]\n"
        if min(side, count - r * side) > 1
        else f'[[plate.hole]]\nat = [20, {20 + 20 * r}]\ndiameter = 8\npurpose = "access"\n'
        for r in range(side)
        if count > r * side
    ]
    return (
        HEAD
        + f'[plate]\nshape = "rectangle"\nwidth = {size}\nheight = {size}\ncorner_radius = 10\nthickness = 4\n'
        + "".join(rows)
        + '[paper]\nsize = "A0"\n'
    )


def outline_job(corners: int) -> str:
    """A round-ish plate with many filleted corners, 500 mm across."""
    points = []
    for k in range(corners):
        r = 250 if k % 2 else 243
        a = 2 * math.pi * k / corners
        points.append(f"{{ at = [{r * math.cos(a):.4f}, {r * math.sin(a):.4f}], fillet = 1 }}")
    return HEAD + "[plate]\nthickness = 4\noutline = [\n" + ",\n".join(points) + ',\n]\n[paper]\nsize = "A2"\n'


def long_job(length: int) -> str:
    """A long narrow plate: the weld grows with it."""
    return (
        HEAD + f'[plate]\nshape = "rectangle"\nwidth = {length}\nheight = 120\ncorner_radius = 20\nthickness = 4\n'
        f"[[plate.hole]]\nat = [60, 60]\ndiameter = 13\ncount = {max(2, length // 150)}\nstep = [150, 0]\n"
        "[[pad]]\nat = [60, 60]\n" + '[paper]\nsize = "roll"\nwidth = 610\n'
    )


def braced_job(length: int) -> str:
    """The long plate with a pad near each end and a tube that holds both while it is welded."""
    return long_job(length) + (
        f'[[pad]]\nat = [{length - 60}, 60]\n[brace]\nkind = "tube"\nsize = 38\nfrom = [60, 60]\nto = [{length - 60}, 60]\n'
    )


@dataclass(frozen=True)
class Run:
    """What one job took: on the wall [s], of the processor [s], of memory at its peak [MiB]; and its tacks and stitches."""

    wall_s: float
    cpu_s: float
    peak_mib: float
    beads: int


def run(text: str, folder: Path) -> Run:
    """Make one job in a fresh process."""
    job = folder / "job.toml"
    job.write_text(text)
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    start = time.perf_counter()
    code = (
        "import resource, sys; from cutplan.cli.main import main; code = main(sys.argv[1:]);"
        "peaks = [resource.getrusage(who).ru_maxrss for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)];"
        "print(max(peaks)); sys.exit(code)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, "make", str(job), "-o", str(folder / "out")],
        capture_output=True,
        text=True,
        check=False,
    )
    wall = time.perf_counter() - start
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    if done.returncode != 0:
        raise SystemExit(f"the job failed:\n{done.stdout}\n{done.stderr}")
    return Run(
        wall,
        after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime,
        int(done.stdout.split()[-1]) / 1024.0,
        len(json.loads((folder / "out" / "summary.json").read_text())["weld"]["beads"]),
    )


def exponent(sizes: list[int], seconds: list[float], base: float) -> float:
    """Return the slope of log(time less the smallest job's base) over log(size), by least squares."""
    xs = [math.log(s) for s in sizes]
    ys = [math.log(max(t - base, 1e-3)) for t in seconds]
    mx, my = sum(xs) / len(xs), sum(ys) / len(ys)
    return sum((x - mx) * (y - my) for x, y in zip(xs, ys, strict=True)) / sum((x - mx) ** 2 for x in xs)


def _fitted(sizes: list[int], cpu: list[float]) -> tuple[list[int], list[float]]:
    """Leave out the smallest size, whose time is mostly the start of the program, where two others remain."""
    return (sizes[1:], cpu[1:]) if len(sizes) > 2 else (sizes, cpu)


def main() -> None:
    """Print one line for each family, then the batch."""
    quick = "--quick" in sys.argv
    only = sys.argv[sys.argv.index("--only") + 1].split(",") if "--only" in sys.argv else []

    def wanted(name: str) -> bool:
        return not only or name in only

    families: list[tuple[str, Callable[[int], str], list[int]]] = [
        ("holes", holes_job, [125, 250, 500] if quick else [250, 500, 1000, 2000]),
        ("outline corners", outline_job, [50, 100, 200] if quick else [50, 100, 200, 400]),
        ("length of the part [mm]", long_job, [400, 800] if quick else [375, 750, 1500, 3000]),
        ("braced, length of the part [mm]", braced_job, [400, 800] if quick else [375, 750, 1500, 3000]),
    ]
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        grown: list[list[Any]] = []
        for what, job, sizes in families:
            if not wanted(what.split()[0].strip(",")):
                continue
            found = [run(job(n), folder) for n in sizes]
            grown += [
                [what, n, r.beads, round(r.cpu_s, 1), round(r.peak_mib)] for n, r in zip(sizes, found, strict=True)
            ]
            print(
                f"{what}: "
                + ", ".join(f"{n}: {r.wall_s:.1f} s" for n, r in zip(sizes, found, strict=True))
                + f"; of the processor {', '.join(f'{r.cpu_s:.1f} s' for r in found)}"
                + f"; peak {max(r.peak_mib for r in found):.0f} MiB"
                + f"; exponent {exponent(*_fitted(sizes, [r.cpu_s for r in found]), 0.0):.2f} (target: at most 2)",
                flush=True,
            )
        if "--keep" in sys.argv:
            others = [r for r in kept().get("growth", []) if r[0] not in {g[0] for g in grown}]
            keep({"growth": [*others, *grown]})
        if wanted("vertices"):
            vertices([1000, 3000] if quick else [1000, 3000, 10000, 20000])
        if wanted("proof"):
            proof_share(500 if quick else 2000, folder)
        if wanted("batch"):
            batch(folder, 4 if quick else 100)


def vertices(sizes: list[int]) -> None:
    """Print how long the torch path of one outline takes that is drawn with more and more vertices."""
    from cutplan.cutting.plan import plan_cut
    from cutplan.geometry.contour import polygon
    from cutplan.pattern.job import About, Job
    from cutplan.pattern.plate import Plate
    from cutplan.pattern.shop import Shop
    from cutplan.pattern.wishes import Cutting

    seconds = []
    for count in sizes:
        points = []
        for k in range(count):
            a = 2.0 * math.pi * k / count
            r = 400.0 * (1.0 + 0.15 * math.sin(5.0 * a) + 0.02 * math.sin(41.0 * a))
            points.append((r * math.cos(a), r * math.sin(a)))
        job = Job(About("growth"), Plate(polygon(points), (), 5.0), cutting=Cutting(kerf_mm=1.5))
        start = time.process_time()
        plan = plan_cut(job, Shop())
        seconds.append(time.process_time() - start)
        if not plan.proof.proved or len(plan.paths) != 1:
            raise SystemExit(f"{count} vertices: the path was not made or not proved")
    print(
        "vertices of an outline, its path: "
        + ", ".join(f"{n}: {s:.1f} s" for n, s in zip(sizes, seconds, strict=True))
        + f"; exponent {exponent(sizes, seconds, 0.0):.2f} (target: 20,000 within 10 s, at most 1.2)"
    )


def proof_share(holes: int, folder: Path) -> None:
    """Print the processor time of the proof of the path against that of the whole job, in this run."""
    from cutplan.cutting import plan as planning
    from cutplan.cutting.result import Proof
    from cutplan.files.job.read import read_job
    from cutplan.pattern.shop import Shop

    file = folder / "job.toml"
    file.write_text(holes_job(holes))
    job, proving, spent = read_job(file), planning.prove, 0.0

    def timed(*args: Any, **more: Any) -> Proof:
        nonlocal spent
        start = time.process_time()
        proof = proving(*args, **more)
        spent += time.process_time() - start
        return proof

    planning.prove = timed
    try:
        if not planning.plan_cut(job, Shop()).proof.proved:
            raise SystemExit("the path was not proved")
    finally:
        planning.prove = proving
    whole = run(holes_job(holes), folder).cpu_s
    print(
        f"proof of the path, {holes} holes: {spent:.2f} s of {whole:.1f} s, {100.0 * spent / whole:.1f} % (target: 5 %)"
    )


def batch(folder: Path, jobs: int) -> None:
    """Print how much faster a batch is with two workers than with one."""
    paths = []
    for k in range(jobs):
        path = folder / f"batch-{k:03d}.toml"
        path.write_text(long_job(240 + k))
        paths.append(str(path))
    took = {}
    for workers in (1, 2):
        start = time.perf_counter()
        command = [
            sys.executable,
            "-m",
            "cutplan",
            "make",
            *paths,
            "-o",
            str(folder / f"b{workers}"),
            "--workers",
            str(workers),
        ]
        subprocess.run(command, check=True, capture_output=True)
        took[workers] = time.perf_counter() - start
    print(f"batch of {jobs}: two workers {took[1] / took[2]:.2f} times as fast as one (target: at least 1.7)")


if __name__ == "__main__":
    main()
