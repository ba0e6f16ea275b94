"""``cutplan sheet``: several parts on one sheet."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from cutplan.cli.show import print_findings, print_json, said, tell
from cutplan.texts import code, name, number, plural, say


def add(commands: Any) -> None:
    """Add the command to the parser."""
    p = commands.add_parser(
        "sheet",
        help=said(say("lay several parts on one sheet, one path over all")),
        description=said(
            say(
                "Lay the plates of one or more jobs, in their quantities, on sheets of stock or on a remnant: packed "
                "by true shape, small parts in big holes, one proved path over all, the remnant written as a drawing."
            )
        ),
    )
    p.add_argument(
        "jobs", type=Path, metavar="JOB", nargs="+", help=said(say("job file, or the folder that holds job.toml"))
    )
    p.add_argument(
        "--stock",
        required=True,
        action="append",
        metavar="WxH",
        help=said(say("sheet size such as 1000x500, or a remnant's drawing; give it again for what is used after it")),
    )
    p.add_argument(
        "-o", "--output", type=Path, metavar="DIR", default=Path("output/sheet"), help=said(say("output folder"))
    )
    p.add_argument("--gap", metavar="LENGTH", help=said(say("metal between pieces (default: what leads need)")))
    p.add_argument(
        "--border", metavar="LENGTH", help=said(say("metal along the edge of the stock (default: what leads need)"))
    )
    p.add_argument(
        "--turn",
        choices=("quarter", "free", "rolling"),
        default="quarter",
        help=said(say("quarter turns, any turn, or held to the rolling direction")),
    )
    p.add_argument(
        "--seconds", type=int, default=5, metavar="N", help=said(say("time for the search on each sheet (default: 5)"))
    )
    p.add_argument(
        "--kerf-coupon", action="store_true", help=said(say("lay the trial piece for the kerf on the sheet too"))
    )
    p.add_argument(
        "--ngc",
        action="store_true",
        help=said(say("write a program in RS-274 too; dry unless the job lights the torch")),
    )
    p.add_argument("--shop", type=Path, metavar="FILE", help=said(say("shop file to use")))
    p.add_argument("--json", action="store_true", help=said(say("print one JSON object and nothing else")))
    p.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Run the command."""
    from cutplan.project.sheet import Order, make_sheets
    from cutplan.units import parse_length

    def length(text: str | None, where: str) -> float | None:
        return None if text is None else parse_length(text, "mm", where)

    order = Order(
        tuple(args.jobs),
        tuple(args.stock),
        length(args.gap, "--gap"),
        length(args.border, "--border"),
        args.turn,
        min(max(args.seconds, 1), 600),
        args.kerf_coupon,
        args.ngc,
    )
    made = make_sheets(order, args.output, args.shop)
    if args.json:
        print_json(
            {
                "folder": str(made.folder),
                "ok": True,
                "written": list(made.written),
                "findings": [f.as_dict() for f in made.findings],
                **made.figures,
            }
        )
        return 0
    print_findings(made.findings, notes=False)
    tell(say("written to {folder}/", folder=name(made.folder)))
    for file in made.written:
        tell(say("{file}", file=code(file)), indent="  ")
    for count, plan in enumerate(made.plans, 1):
        tell(
            plural(
                "sheet {sheet}: {count} piece, {used} of the stock, {part} up to the last piece",
                "sheet {sheet}: {count} pieces, {used} of the stock, {part} up to the last piece",
                len(plan.placed),
                sheet=count,
                used=number(100.0 * plan.used, "%", 1),
                part=number(100.0 * plan.used_to, "%", 1),
            )
        )
    return 0
