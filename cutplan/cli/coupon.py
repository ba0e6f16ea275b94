"""``cutplan coupon``: make a trial piece, or feed its measurements back into the shop file."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from cutplan.cli.show import print_json
from cutplan.errors import UsageError


def add(commands: Any) -> None:
    """Add the command to the parser."""
    p = commands.add_parser(
        "coupon",
        help="make a trial piece, or feed its measurements back",
        description="paper: a sheet that proves the printer's scale. kerf: a test piece for the torch. "
        "weld: a trial weld. Without --measured the trial piece is made; with it the shop file learns.",
    )
    p.add_argument("kind", choices=("paper", "kerf", "weld"))
    p.add_argument(
        "-o", "--output", type=Path, metavar="DIR", default=Path("output"), help="folder for the trial piece"
    )
    p.add_argument(
        "--measured",
        nargs="+",
        metavar="NAME=LENGTH",
        help='readings, such as x=179.6 y=260.4 d1=... d2=... ; "7 1/16 in" works too',
    )
    p.add_argument("--job", type=Path, metavar="JOB", help="take paper, process and thickness from this job")
    p.add_argument("--paper", default=None, help="paper: A4, A3, Letter or Tabloid")
    p.add_argument(
        "--printer", default=None, metavar="NAME", help="paper: which printer (default: the job's, or 'default')"
    )
    p.add_argument("--process", default=None, help="kerf: cutting process; weld: GMAW or GTAW")
    p.add_argument("--thickness", default=None, metavar="LENGTH", help="kerf and weld: thickness of the trial piece")
    p.add_argument("--reading", default=None, metavar="LENGTH", help="reading error of your rule or caliper")
    p.add_argument("--units", choices=("mm", "in"), default="mm", help="unit of readings that name none")
    p.add_argument(
        "--shop",
        type=Path,
        metavar="FILE",
        help="shop file to write (default: the one in use, else shop.toml in your configuration folder)",
    )
    p.add_argument("--json", action="store_true", help="print one JSON object and nothing else")
    p.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Run the command."""
    from cutplan.project.coupons import Request, learn, make_coupon
    from cutplan.units import parse_length

    def length(text: str | None, where: str) -> float | None:
        return None if text is None else parse_length(text, args.units, where)

    request = Request(
        kind=args.kind,
        job=args.job,
        paper=args.paper,
        printer=args.printer,
        process=args.process,
        thickness_mm=length(args.thickness, "--thickness"),
        reading_mm=length(args.reading, "--reading"),
    )
    if args.measured:
        readings: dict[str, float] = {}
        for pair in args.measured:
            name, sign, value = pair.partition("=")
            if not sign:
                raise UsageError(f"{pair!r} is not NAME=LENGTH", "--measured", "for example --measured x=179.6 y=260.4")
            readings[name.strip()] = parse_length(value, args.units, f"--measured {name}")
        learnt = learn(request, readings, args.shop)
        if args.json:
            print_json({"shop": str(learnt.shop_file), "learnt": learnt.values, "notes": [str(n) for n in learnt.notes]})
        else:
            for line in learnt.notes:
                print(line)
            print(f"written: {learnt.shop_file}")
        return 0
    made = make_coupon(request, args.output)
    if args.json:
        print_json({"written": [str(p) for p in made.files], "measure": [str(m) for m in made.measure]})
    else:
        for path in made.files:
            print(f"written: {path}")
        for line in made.measure:
            print(f"  {line}")
    return 0
