"""``cutplan coupon``: make a trial piece, or feed its measurements back into the shop file."""

from __future__ import annotations

import argparse
from dataclasses import replace
from pathlib import Path
from typing import Any

from cutplan.cli.show import print_json, said, tell
from cutplan.errors import UsageError
from cutplan.tables.paper import offered, sheet_named
from cutplan.texts import code, name, say
from cutplan.texts.catalogue import LANGUAGES


def add(commands: Any) -> None:
    """Add the command to the parser."""
    p = commands.add_parser(
        "coupon",
        help=said(say("make a trial piece, or feed its measurements back")),
        description=said(
            say(
                "paper: a sheet that proves the printer's scale. kerf: a test piece for the torch. holes: a row of hole sizes. "
                "weld: a trial weld. Without --measured the trial piece is made; with it the shop file learns."
            )
        ),
    )
    p.add_argument("kind", choices=("paper", "kerf", "holes", "weld"))
    p.add_argument(
        "-o", "--output", type=Path, metavar="DIR", default=Path("output"), help=said(say("folder for the trial piece"))
    )
    p.add_argument(
        "--measured",
        nargs="+",
        metavar="NAME=LENGTH",
        help=said(say('readings, such as x=179.6 y=260.4 d1=... d2=... ; "7 1/16 in" works too')),
    )
    p.add_argument("--job", type=Path, metavar="JOB", help=said(say("take paper, process and thickness from this job")))
    p.add_argument("--paper", default=None, type=sheet_named, help=said(say("paper: {papers}", papers=offered())))
    p.add_argument(
        "--printer",
        default=None,
        metavar="NAME",
        help=said(say("paper: which printer (default: the job's, or 'default')")),
    )
    p.add_argument("--process", default=None, help=said(say("kerf: cutting process; weld: GMAW or GTAW")))
    p.add_argument(
        "--thickness", default=None, metavar="LENGTH", help=said(say("kerf and weld: thickness of the trial piece"))
    )
    p.add_argument("--reading", default=None, metavar="LENGTH", help=said(say("reading error of your rule or caliper")))
    p.add_argument(
        "--units", choices=("mm", "in"), help=said(say("unit of readings that name none (default: the job's, else mm)"))
    )
    p.add_argument(
        "--shop",
        type=Path,
        metavar="FILE",
        help=said(say("shop file to write (default: the one in use, else shop.toml in your configuration folder)")),
    )
    p.add_argument(
        "--yes", action="store_true", help=said(say("kerf: keep a result outside the published range: it is right"))
    )
    p.add_argument(
        "--language",
        choices=tuple(LANGUAGES),
        help=said(say("of what is printed and said (default: the job's, else English)")),
    )
    p.add_argument("--json", action="store_true", help=said(say("print one JSON object and nothing else")))
    p.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Run the command."""
    from cutplan.project.coupons.run import Request, asked_by, learn, make_coupon, next_call
    from cutplan.units import parse_length

    def length(text: str | None, where: str) -> float | None:
        return None if text is None else parse_length(text, reader.units, where)

    asked = Request(args.kind, args.job, language=args.language, units=args.units)
    reader = asked_by(asked)
    request = replace(
        asked,
        paper=args.paper,
        printer=args.printer,
        process=args.process,
        thickness_mm=length(args.thickness, "--thickness"),
        reading_mm=length(args.reading, "--reading"),
        shop=args.shop,
        sure=args.yes,
    )
    if args.measured:
        readings: dict[str, float] = {}
        for pair in args.measured:
            key, sign, value = pair.partition("=")
            if not sign:
                raise UsageError(
                    say("{pair} is not NAME=LENGTH", pair=name(repr(pair))),
                    "--measured",
                    say("for example {call}", call=code("--measured x=179.6 y=260.4")),
                )
            readings[key.strip()] = parse_length(value, reader.units, f"--measured {key}")
        learnt = learn(request, readings, args.shop)
        if args.json:
            print_json(
                {"shop": str(learnt.shop_file), "learnt": learnt.values, "notes": [reader(n) for n in learnt.notes]}
            )
        else:
            for line in learnt.notes:
                tell(line, reader)
            tell(say("written: {file}", file=name(learnt.shop_file)), reader)
        return 0
    made = make_coupon(request, args.output)
    if args.json:
        print_json(
            {
                "written": [str(p) for p in made.files],
                "measure": [reader(m) for m in made.measure],
                "next": next_call(request, made),
            }
        )
    else:
        for path in made.files:
            tell(say("written: {file}", file=name(path)), reader)
        for line in made.measure:
            tell(line, reader, indent="  ")
        tell(say("then: {command}", command=code(next_call(request, made))), reader, indent="  ")
    return 0
