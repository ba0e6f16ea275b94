"""Ask an outside CAD kernel (OpenCascade) for areas, lengths and offsets, and keep its answers as data.

Needs the package cadquery-ocp, about 1 GB, so it lives in an environment of its own:

    python -m venv kernel-env && kernel-env/bin/pip install cadquery-ocp
    PYTHONPATH=.:tests kernel-env/bin/python benchmarks/kernel_answers.py shared/kernel-random-plates.json

The plates are drawn from seeds by tests/random_plates.py; with ``--plates FILE`` they are read from a JSON
list of {"name", "contours": [[[x, y, bulge], ...] or [cx, cy, radius], ...]}, outer contour first.
Arcs are given to the kernel as circle, start and end. Per plate are kept: area, length, number of segments,
and for each offset distance {"areas" enclosed by its contours, largest first, "length", "entities"}, null
where the kernel gives no answer; with ``--times`` also "ms", the best of three runs.
"""

from __future__ import annotations

import argparse
import json
import os
import time
from pathlib import Path

from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge, BRepBuilderAPI_MakeFace, BRepBuilderAPI_MakeWire
from OCP.BRepGProp import BRepGProp
from OCP.BRepOffsetAPI import BRepOffsetAPI_MakeOffset
from OCP.GC import GC_MakeArcOfCircle
from OCP.GeomAbs import GeomAbs_JoinType
from OCP.gp import gp_Ax2, gp_Circ, gp_Dir, gp_Pln, gp_Pnt
from OCP.GProp import GProp_GProps
from OCP.TopAbs import TopAbs_ShapeEnum
from OCP.TopExp import TopExp_Explorer
from OCP.TopoDS import TopoDS
from random_plates import random_plate

from cutplan.geometry.contour import Contour, circle_contour, polyline
from cutplan.geometry.region import Region
from cutplan.geometry.segment import Arc
from cutplan.geometry.vector import Point

DISTANCES = (0.75, -0.75)
UP = gp_Dir(0.0, 0.0, 1.0)


def point(p: tuple[float, float]) -> gp_Pnt:
    return gp_Pnt(p[0], p[1], 0.0)


def wire(contour: Contour):
    maker = BRepBuilderAPI_MakeWire()
    for s in contour.segments:
        if isinstance(s, Arc):
            circ = gp_Circ(gp_Ax2(point(s.centre), UP), s.radius)
            if s.is_circle:
                maker.Add(BRepBuilderAPI_MakeEdge(circ).Edge())
            else:
                arc = GC_MakeArcOfCircle(circ, point(s.start), point(s.end), s.sweep > 0.0).Value()
                maker.Add(BRepBuilderAPI_MakeEdge(arc, point(s.start), point(s.end)).Edge())
        else:
            maker.Add(BRepBuilderAPI_MakeEdge(point(s.start), point(s.end)).Edge())
    return maker.Wire()


def face(region: Region):
    maker = BRepBuilderAPI_MakeFace(gp_Pln(gp_Pnt(0, 0, 0), UP), wire(region.outer.oriented(ccw=True)), True)
    for hole in region.holes:
        # a full circle edge runs counter-clockwise whatever is asked, so turn the wire round
        w = wire(hole.oriented(ccw=True))
        maker.Add(TopoDS.Wire(w.Reversed()))
    return maker.Face()


def length_of(shape) -> float:
    props = GProp_GProps()
    BRepGProp.LinearProperties_s(shape, props)
    return props.Mass()


def area_of(shape) -> float:
    """Area about a local origin: the sum of the plane's flux, to the kernel's tightest tolerance."""
    props = GProp_GProps()
    BRepGProp.SurfaceProperties_s(shape, props, 1e-12)
    return props.Mass()


def subshapes(shape, kind):
    explorer = TopExp_Explorer(shape, kind)
    found = []
    while explorer.More():
        found.append(explorer.Current())
        explorer.Next()
    return found


def wire_area(w) -> float:
    """Area that a closed wire encloses, positive."""
    maker = BRepBuilderAPI_MakeFace(gp_Pln(gp_Pnt(0, 0, 0), UP), TopoDS.Wire(w))
    return abs(area_of(maker.Face()))


def offset(region: Region, distance: float, times: bool) -> dict[str, object] | None:
    spine = face(region)
    best = float("inf")
    try:
        for _ in range(3 if times else 1):
            start = time.perf_counter()
            maker = BRepOffsetAPI_MakeOffset(spine, GeomAbs_JoinType.GeomAbs_Arc)
            maker.Perform(distance)
            shape = maker.Shape()
            best = min(best, 1e3 * (time.perf_counter() - start))
        wires = subshapes(shape, TopAbs_ShapeEnum.TopAbs_WIRE)
        areas = sorted((wire_area(w) for w in wires), reverse=True)
    except Exception:  # the kernel raises many kinds
        return None
    if not wires:
        return None
    edges = len(subshapes(shape, TopAbs_ShapeEnum.TopAbs_EDGE))
    row: dict[str, object] = {"areas": [digits(a) for a in areas], "length": digits(length_of(shape))}
    row["entities"] = edges
    if times:
        row["ms"] = round(best, 4)
    return row


def asked(region: Region, distance: float, times: bool) -> dict[str, object] | None:
    """The same in a child process: on some plates the kernel dies."""
    reader, writer = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(reader)
        os.write(writer, json.dumps(offset(region, distance, times)).encode())
        os._exit(0)
    os.close(writer)
    with os.fdopen(reader, "rb") as pipe:
        text = pipe.read()
    os.waitpid(child, 0)
    return json.loads(text) if text else None


def digits(value: float) -> float:
    return float(f"{value:.13g}")


def plates(args: argparse.Namespace) -> list[tuple[str | int, Region]]:
    if args.plates is None:
        return [(seed, random_plate(seed)) for seed in range(args.count)]
    result = []
    for row in json.loads(Path(args.plates).read_text()):
        contours = [
            polyline([tuple(v) for v in c]) if isinstance(c[0], list) else circle_contour(Point(c[0], c[1]), c[2])
            for c in row["contours"]
        ]
        result.append((row["name"], Region(contours[0], tuple(contours[1:]))))
    return result


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("answers")
    parser.add_argument("--count", type=int, default=500)
    parser.add_argument("--plates")
    parser.add_argument("--times", action="store_true")
    args = parser.parse_args()
    rows = []
    for name, region in plates(args):
        spine = face(region)
        rows.append(
            {
                "plate": name,
                "area_mm2": digits(area_of(spine)),
                "length_mm": digits(length_of(spine)),
                "segments": sum(len(c.segments) for c in region.contours),
                "offsets": {f"{d:+g}": asked(region, d, args.times) for d in DISTANCES},
            }
        )
    lines = ",\n".join(json.dumps(r, separators=(",", ":")) for r in rows)
    Path(args.answers).write_text('{"kernel": "OpenCascade through cadquery-ocp", "plates": [\n' + lines + "\n]}\n")


if __name__ == "__main__":
    main()
