"""``cutplan read``: what a drawing holds, and what is wrong with it."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from cutplan.cli.show import print_findings, print_json, tell, value
from cutplan.findings import errors
from cutplan.texts import Message, mm, name, number, plural, say, size


def add(commands: Any) -> None:
    """Add the command to the parser."""
    p = commands.add_parser(
        "read",
        help="say what a DXF or SVG drawing holds, and what is wrong with it",
        description="Read a drawing exactly: parts, holes, sizes, units with the reason, and every doubt.",
    )
    p.add_argument("drawing", type=Path, metavar="DRAWING", help="a .dxf or .svg file")
    p.add_argument("--units", choices=("mm", "in"), help="unit of the drawing, whatever its header says")
    p.add_argument("--layers", metavar="NAME,...", help="read only these layers")
    p.add_argument("--repair", action="store_true", help="mend what is doubtful; each repair is listed")
    p.add_argument("--json", action="store_true", help="print one JSON object and nothing else")
    p.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Run the command; exit 0 when the drawing is one or more exact plates."""
    from cutplan.files.drawing_in import read_drawing

    layers = tuple(x.strip() for x in args.layers.split(",")) if args.layers else None
    drawing = read_drawing(args.drawing, units=args.units, repair=args.repair, layers=layers)
    bad = errors(drawing.findings)
    if args.json:
        print_json(drawing.as_dict())
        return 1 if bad else 0
    units = drawing.units
    tell(
        say(
            "{file}: {unit} ({size} mm per unit): {reason}",
            file=name(args.drawing.name),
            unit=value(units.name),
            size=number(units.mm_per_unit),
            reason=value(units.reason),
        )
    )
    for i, part in enumerate(drawing.parts, 1):
        region = part.region
        box = region.box
        row = plural(
            "part {i}: {size}, area {net} net, {outside} outside, one hole",
            "part {i}: {size}, area {net} net, {outside} outside, {count} holes",
            len(region.holes),
            i=i,
            size=size(box.width, box.height, digits=3),
            net=number(region.area, "mm2", 2),
            outside=number(region.outer.area, "mm2", 2),
        )
        tell(row)
        for line in hole_lines(region.holes):
            tell(line, indent="  ")
    print_findings(drawing.findings)
    return 1 if bad else 0


def hole_lines(holes: Any) -> list[Message]:
    """Return the holes gathered by kind and diameter, most useful first."""
    rounds: dict[float, int] = {}
    others = 0
    for hole in holes:
        circle = hole.as_circle()
        if circle:
            d = round(2.0 * circle[1], 3)
            rounds[d] = rounds.get(d, 0) + 1
        else:
            others += 1
    lines = [say("{n} x round, diameter {d}", n=n, d=mm(d, None)) for d, n in sorted(rounds.items())]
    return lines + ([say("{n} x other shape", n=others)] if others else [])
