"""``cutplan place``: where a moved steering gear must sit, and how exactly."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Any

from cutplan.cli.show import print_findings, print_json, said
from cutplan.findings import errors
from cutplan.texts import say

if TYPE_CHECKING:
    from cutplan.linkage.places.placed import Placed
    from cutplan.texts import Message


def add(commands: Any) -> None:
    """Add the command to the parser."""
    p = commands.add_parser(
        "place",
        help=said(say("where a moved steering gear must sit, and how exactly")),
        description=said(
            say(
                "Solve the steering linkage of a study in space, map its figures over the place of the gear, and "
                "recommend the place with the largest margin to every wish, reading errors included."
            )
        ),
        epilog=said(
            say("Steering is safety critical: local codes, the vehicle maker and licensed practice come first.")
        ),
    )
    p.add_argument(
        "study",
        type=Path,
        metavar="STUDY.toml",
        help=said(say("a study file: points measured, wishes, range of the map")),
    )
    p.add_argument(
        "-o", "--output", type=Path, metavar="DIR", help=said(say("folder for place.json and place-map.png"))
    )
    p.add_argument(
        "--new", action="store_true", help=said(say("write a commented study to start from; never overwrites"))
    )
    p.add_argument("--json", action="store_true", help=said(say("print one JSON object and nothing else")))
    p.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Run the command; exit 1 when no place holds the wishes."""
    from cutplan.project.place import as_dict, new_study, place_study, reader_of

    if args.new:
        new_study(args.study)
        print(f"written: {args.study}")
        print(f"next: put your own points in, then  cutplan place {args.study}")
        return 0
    placed = place_study(args.study, args.output)
    reader = reader_of(placed)
    bad = errors(placed.findings)
    if args.json:
        print_json(as_dict(placed, reader))
        return 1 if bad else 0
    for line in lines(placed):
        print(reader(line))
    print_findings(placed.findings)
    if args.output is not None:
        print(f"written: {args.output}")
    return 1 if bad else 0


def lines(placed: Placed) -> list[Message]:
    """Return what is printed: the place, the figures before and after, the tolerance, and the first caution."""
    from cutplan.linkage.cautions import cautions
    from cutplan.texts import mm, name, say

    out = [say("{title} ({source})", title=name(placed.study.title), source=name(placed.study.source))]
    best = placed.best
    if best is not None:
        x, _, z = (float(v) for v in best.shift)
        dx, _, dz = (float(v) for v in best.shift_error)
        out.append(
            say(
                "move the gear {x} {way}, standard error {dx}, and {z} {height}, standard error {dz}",
                x=mm(abs(x)),
                way=say("forward", context="move") if x >= 0.0 else say("backward", context="move"),
                dx=mm(dx),
                z=mm(abs(z)),
                height=say("up", context="move") if z >= 0.0 else say("down", context="move"),
                dz=mm(dz),
            )
        )
        if best.tolerance_mm is not None:
            out.append(say("the mount may be off by {tolerance} in any direction", tolerance=mm(best.tolerance_mm)))
        out += _figure_lines(placed)
    return [*out, cautions()[0]]


def _figure_lines(placed: Placed) -> list[Message]:
    from cutplan.linkage.wording import LABELS, shown

    best, out = placed.best, []
    assert best is not None
    for figure, value in best.values.items():
        now = float(placed.now.values[figure])
        out.append(
            say(
                "  {figure}: {value}, standard error {error}; now {now}",
                figure=LABELS[figure],
                value=shown(figure, float(value)),
                error=shown(figure, float(best.errors[figure])),
                now=shown(figure, now) if now == now else say("not reached"),
            )
        )
    return out
