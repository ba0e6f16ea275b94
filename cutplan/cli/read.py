"""``cutplan read``: what a drawing holds, and what is wrong with it."""

from __future__ import annotations

import argparse
import sys
from collections import Counter
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from cutplan.cli.show import print_findings, print_json, said, tell
from cutplan.errors import CutplanError, UsageError
from cutplan.findings import errors
from cutplan.texts import Message, Reader, code, mm, number, plural, say, size
from cutplan.texts import name as named
from cutplan.units import MM_PER

if TYPE_CHECKING:
    from cutplan.files.drawing_in import Drawing
    from cutplan.files.known_length import Known
    from cutplan.geometry.contour import Contour


def add(commands: Any) -> None:
    """Add the command to the parser."""
    p = commands.add_parser(
        "read",
        help=said(say("say what a DXF or SVG drawing holds, and what is wrong with it")),
        description=said(
            say(
                "Read a drawing exactly: parts, holes, sizes, units with the reason, every doubt, and what became "
                "of every millimetre drawn. On a terminal, a unit that nobody stated is asked for."
            )
        ),
    )
    p.add_argument("drawing", type=Path, metavar="DRAWING", help=said(say("a .dxf or .svg file")))
    p.add_argument("--units", choices=("mm", "in"), help=said(say("unit of the drawing, whatever its header says")))
    p.add_argument(
        "--length",
        metavar="NAME=VALUE",
        help=said(say("one known length: width, height or hole, such as width=150 or hole=1/2in")),
    )
    p.add_argument("--layers", metavar="NAME,...", help=said(say("read only these layers")))
    p.add_argument(
        "--frame",
        choices=("plate", "border"),
        help=said(say("what a rectangle around everything is, where the reading asks")),
    )
    p.add_argument("--repair", action="store_true", help=said(say("mend what is doubtful; each repair is listed")))
    p.add_argument("--picture", type=Path, metavar="FILE", help=said(say("draw the reading into a .png or .svg file")))
    p.add_argument("--json", action="store_true", help=said(say("print one JSON object and nothing else")))
    p.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Run the command; exit 0 when the drawing is one or more exact plates."""
    from cutplan.files.known_length import parse_known

    length = parse_known(args.length, args.units or "mm") if args.length else None
    if args.picture is not None and args.picture.suffix.lower() not in (".png", ".svg"):
        raise UsageError(say("a picture is a .png or .svg file"), str(args.picture))
    try:
        drawing = _read(args, length)
        if length is None and not args.json and not drawing.units.firm and args.units is None:
            length = _asked(drawing)
            drawing = drawing if length is None else _read(args, length)
    except CutplanError as error:
        if not args.json or isinstance(error, UsageError):
            raise
        from cutplan.files.drawing_in import refused

        print_json(refused(args.drawing, error).as_dict())
        print(f"error: {error}", file=sys.stderr)
        return 1
    if args.picture is not None:
        _picture(args, drawing, length)
    bad = errors(drawing.findings)
    if args.json:
        print_json(drawing.as_dict())
        return 1 if bad else 0
    _show(args.drawing.name, drawing)
    if args.picture is not None:
        tell(say("picture: {file}", file=named(args.picture)))
    return 1 if bad else 0


def _read(args: argparse.Namespace, length: Known | None, repair: bool | None = None) -> Drawing:
    from cutplan.files.drawing_in import read_drawing

    layers = tuple(x.strip() for x in args.layers.split(",")) if args.layers else None
    mend = args.repair if repair is None else repair
    return read_drawing(args.drawing, units=args.units, repair=mend, layers=layers, length=length, frame=args.frame)


def _picture(args: argparse.Namespace, drawing: Drawing, length: Known | None) -> None:
    """Write the picture of the reading; with repair, of before and after."""
    from cutplan.project.single import write_own
    from cutplan.report.reading_picture import reading_picture

    before = _read(args, length, repair=False) if args.repair else None
    write_own(args.picture, reading_picture(drawing, before, svg=args.picture.suffix.lower() == ".svg"), [args.drawing])


def _asked(drawing: Drawing) -> Known | None:
    """Ask for one known length on a terminal; None where there is none or nobody knows."""
    from cutplan.files.known_length import NAMES, parse_known

    if not (sys.stdin is not None and sys.stdin.isatty() and sys.stdout.isatty()) or not drawing.parts:
        return None
    box = drawing.parts[0].region.box
    tell(
        say("{why}: {size} for the largest part", why=drawing.units.reason, size=size(box.width, box.height, digits=3))
    )
    names = ", ".join(NAMES)
    answer = input(f"one known length ({names}), such as width=150 [Enter: leave it open]: ").strip()
    return parse_known(answer) if answer else None


def _show(name: str, drawing: Drawing) -> None:
    """Print a reading for people, in the unit that was drawn in."""
    units = drawing.units
    reader = Reader("en", "in" if units.mm_per_unit == MM_PER["in"] else "mm")
    tell(
        say(
            "{file}: {unit} ({size} mm per unit): {reason}",
            file=named(name),
            unit=code(units.name),
            size=number(units.mm_per_unit),
            reason=units.reason,
        ),
        reader,
    )
    for i, part in enumerate(drawing.parts, 1):
        region = part.region
        row = plural(
            "part {i}: {size}, area {net} net, {outside} outside, one hole",
            "part {i}: {size}, area {net} net, {outside} outside, {count} holes",
            len(region.holes),
            i=i,
            size=size(region.box.width, region.box.height, digits=3),
            net=_area(region.area, reader),
            outside=_area(region.outer.area, reader),
        )
        tell(row, reader)
        for line in hole_lines(region.holes):
            tell(line, reader, indent="  ")
    account = drawing.account
    tell(
        say(
            "drawn {all}: cut {cut}, drawn again {again}, left aside {aside}, unexplained {unexplained}",
            all=mm(account.drawn_mm),
            cut=mm(account.cut_mm),
            again=mm(account.duplicate_mm),
            aside=mm(account.left_aside_mm),
            unexplained=mm(account.unexplained_mm),
        ),
        reader,
    )
    print_findings(drawing.findings, reader)


def _area(mm2: float, reader: Reader) -> Message:
    """An area [mm2], for an inch drawing in square inches with the metric one beside it."""
    metric = number(mm2, "mm2", 2)
    if reader.units == "mm":
        return say("{area}", area=metric)
    return say("{inches} ({area})", inches=number(mm2 / MM_PER["in"] ** 2, "in2", 2), area=metric)


def hole_lines(holes: Iterable[Contour]) -> list[Message]:
    """Return the holes gathered by kind and size, smallest first: round ones, slots, others."""
    from cutplan.geometry.slots import as_slot

    rounds: Counter[float] = Counter()
    slots: Counter[tuple[float, float]] = Counter()
    others = 0
    for hole in holes:
        if circle := hole.as_circle():
            rounds[round(2.0 * circle[1], 3)] += 1
        elif slot := as_slot(hole):
            a, b, width = slot
            slots[round(a.distance(b) + width, 3), round(width, 3)] += 1
        else:
            others += 1
    lines = [say("{n} x round, diameter {d}", n=n, d=mm(d, None)) for d, n in sorted(rounds.items())]
    lines += [say("{n} x slot, {size}", n=n, size=size(*sides, digits=None)) for sides, n in sorted(slots.items())]
    return lines + ([say("{n} x other shape", n=others)] if others else [])
