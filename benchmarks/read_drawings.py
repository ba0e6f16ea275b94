# ruff: noqa: E402
"""Reading drawings: areas against GDAL on real drawings, time against the file's parser alone on 200,000 chords.

    python benchmarks/read_drawings.py [--drawings FOLDER] [--vertices N]

GDAL turns arcs and splines into chords of its own choice (OGR_ARC_STEPSIZE, here 0.1 degree), so its areas are short by
2/3 (0.05 deg)^2 = 5.1e-7; it is asked only for outlines that it sees as closed rings. Times are of this process, in
seconds of processor time, and the ratio is of two times measured in the same run.
"""

from __future__ import annotations

import argparse
import json
import os
import statistics
import sys
import tempfile
import time
from math import cos, pi, sin
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))

from cutplan.files.drawing_in import read_drawing
from cutplan.files.dxf.sections import read_sections
from cutplan.files.dxf.tags import read_tags


def gdal_rings(path: Path) -> list[float]:
    """Return the areas of the closed rings that GDAL sees in a DXF file [file units squared], largest first."""
    os.environ["OGR_ARC_STEPSIZE"] = "0.1"
    import shapely
    from pyogrio.errors import DataSourceError
    from pyogrio.raw import read

    try:
        _, _, geometry, _ = read(path, columns=[])
    except DataSourceError:  # without a header it takes the file for no DXF
        return []
    lines = []
    for blob in geometry:
        shape = shapely.from_wkb(blob)
        if shape is None:
            continue
        shape = shapely.force_2d(shape)
        lines += [g for g in shapely.get_parts(shape) if g.geom_type == "LineString"]
    closed = [g for g in lines if shapely.is_closed(g)]
    merged = shapely.line_merge(shapely.multilinestrings([g for g in lines if not shapely.is_closed(g)] or [None]))
    closed += [g for g in shapely.get_parts(merged) if shapely.is_closed(g)]
    areas = [float(shapely.area(shapely.Polygon(g))) for g in closed if len(g.coords) > 3]
    return sorted(areas, reverse=True)


def compare_areas(folder: Path) -> None:
    """Print how many outlines of each drawing GDAL sees too, and the largest difference of area."""
    print(f"{'drawing':14} {'outlines':>8} {'in GDAL':>8} {'median diff':>12} {'largest diff':>12}")
    for path in sorted(folder.glob("*.dxf")):
        drawing = read_drawing(path)
        scale = drawing.units.mm_per_unit**2
        own = [c.area for p in drawing.parts for c in p.region.contours]
        other = [a * scale for a in gdal_rings(path)]
        gaps = []
        for area in own:
            if not other:
                break
            nearest = min(other, key=lambda a: abs(a - area))
            gap = abs(nearest / area - 1.0)
            if gap < 1e-5:
                gaps.append(gap)
        if gaps:
            print(f"{path.name:14} {len(own):8} {len(gaps):8} {statistics.median(gaps):12.1e} {max(gaps):12.1e}")
        else:
            print(f"{path.name:14} {len(own):8} {0:8}")


def time_chords(n: int) -> None:
    """Print the time to read n chord vertices, as one polyline and as loose lines, against the parser alone."""
    ring = []
    for i in range(n):
        t = 2.0 * pi * i / n
        r = 200.0 + 20.0 * sin(7.0 * t) + 3.0 * sin(101.0 * t)
        ring.append((f"{r * cos(t):.6f}", f"{r * sin(t):.6f}"))
    poly = f"0\nLWPOLYLINE\n8\n0\n90\n{n}\n70\n1\n" + "".join(f"10\n{x}\n20\n{y}\n" for x, y in ring)
    lines = "".join(
        f"0\nLINE\n8\n0\n10\n{x}\n20\n{y}\n11\n{u}\n21\n{v}\n"
        for (x, y), (u, v) in zip(ring, ring[1:] + ring[:1], strict=True)
    )
    with tempfile.TemporaryDirectory() as folder:
        for name, body in (("one polyline", poly), ("loose lines", lines)):
            path = Path(folder) / "chords.dxf"
            path.write_text(f"0\nSECTION\n2\nENTITIES\n{body}0\nENDSEC\n0\nEOF\n")
            data = path.read_bytes()
            begin = time.process_time()
            read_sections(read_tags(data))
            parsed = time.process_time() - begin
            begin = time.process_time()
            drawing = read_drawing(path)
            whole = time.process_time() - begin
            area = drawing.parts[0].region.outer.area
            print(
                f"{n} vertices as {name}: parser {parsed:.2f} s, read {whole:.2f} s, ratio {whole / parsed:.1f}; "
                f"area {area:.3f} mm2"
            )


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument(
        "--drawings", type=Path, default=Path(os.environ.get("CUTPLAN_DRAWINGS", ROOT.parent / "shared/drawings"))
    )
    parser.add_argument("--vertices", type=int, default=200_000)
    args = parser.parse_args()
    if args.drawings.is_dir():
        compare_areas(args.drawings)
        truth = args.drawings / "truth.json"
        if truth.is_file():
            worst = 0.0
            for t in json.loads(truth.read_text()):
                drawing = read_drawing(args.drawings / t["file"])
                net = sum(p.region.area for p in drawing.parts)
                expected = t["net_area_all_parts"] * t["mm_per_unit"] ** 2
                worst = max(worst, abs(net / expected - 1.0))
            print(f"net area of all parts against truth.json: largest relative difference {worst:.1e}")
    time_chords(args.vertices)


if __name__ == "__main__":
    main()
