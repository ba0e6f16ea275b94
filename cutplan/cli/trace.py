"""``cutplan trace``: photographs or scans of a cardboard template become an exact plate."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import Any

from cutplan.cli.show import said
from cutplan.texts import say
from cutplan.texts.catalogue import LANGUAGES


def add(commands: Any) -> None:
    """Add the command to the parser."""
    p = commands.add_parser(
        "trace",
        help=said(say("make an exact plate from photographs or scans of a cardboard template")),
        description=said(
            say(
                "Strips of marks (cutplan marks) lie round the card. Lens, poses and strips are solved from the same "
                "pictures; the outline and the holes found are shown for a look before anything is written."
            )
        ),
    )
    p.add_argument(
        "pictures",
        nargs="+",
        type=Path,
        metavar="PICTURE",
        help=said(say("photographs, four are best, or scans; or one job file, whose table [traced] names them")),
    )
    p.add_argument(
        "-o", "--output", type=Path, metavar="FILE", help=said(say("drawing to write (plate.dxf, or the job's own)"))
    )
    p.add_argument("--thickness", metavar="LENGTH", help=said(say("thickness of the card, by caliper")))
    p.add_argument(
        "--known",
        action="append",
        default=[],
        metavar="A1-D2=LENGTH",
        help=said(say("length measured between two crosses; repeat it")),
    )
    p.add_argument(
        "--holes", type=int, metavar="N", help=said(say("how many holes the card has, after a look at the picture"))
    )
    p.add_argument(
        "--scan", action="store_true", help=said(say("the pictures are flatbed scans; strips stuck on the card"))
    )
    p.add_argument("--shop", type=Path, metavar="FILE", help=said(say("shop file with the printer's calibration")))
    p.add_argument("--printer", default="default", metavar="NAME", help=said(say("which printer of the shop file")))
    p.add_argument(
        "--reading", default="0.1 mm", metavar="LENGTH", help=said(say("reading error of the rule or caliper"))
    )
    p.add_argument(
        "--tolerance",
        default="0.1 mm",
        metavar="LENGTH",
        help=said(say("how far the edge may lie from the lines and arcs; more for an edge cut by hand")),
    )
    p.add_argument("--units", choices=("mm", "in"), default="mm", help=said(say("unit of lengths that name none")))
    p.add_argument("--language", choices=tuple(LANGUAGES), default="en", help=said(say("language of what is said")))
    p.add_argument("--json", action="store_true", help=said(say("print one JSON object and nothing else")))
    p.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Run the command; exit 0 when a confirmed plate is written."""
    from cutplan.cli.show import TerminalProgress, print_findings, print_json, tell
    from cutplan.project.single import refuse_others, write_own
    from cutplan.project.trace import confirm, find, findings_of, told
    from cutplan.project.trace_files import account_of, refuse_before, write_plate
    from cutplan.texts import Reader, code, say

    request, output = _of_job(args) if _is_job(args.pictures) else (_request(args), args.output or Path("plate.dxf"))
    picture = output.with_suffix(".found.png")
    refuse_before(output)
    refuse_others(picture)
    progress = TerminalProgress(args.json)
    try:
        found = find(request, progress)
    finally:
        progress.close()
    write_own(picture, found.picture, request.pictures)
    account = account_of(found.traced)
    read = Reader(args.language)
    if not args.json:
        tell(say("look at {picture}", picture=code(picture)), read)
        for line in told(found.traced):
            tell(line, read)
        print_findings(findings_of(found), read)
    holes = args.holes
    if holes is None and sys.stdin is not None and sys.stdin.isatty() and not args.json:
        holes = _asked(found.holes, read)
    if holes is None:
        return _not_confirmed(args, picture, account, read)
    confirm(found, holes)
    paths = write_plate(found, output, read, request.pictures)
    if args.json:
        print_json({"ok": True, **account, "confirmed": True, "written": [str(p) for p in (*paths, picture)]})
    else:
        for path in paths:
            tell(say("written: {path}", path=code(path)), read)
    return 0


def _is_job(named: list[Path]) -> bool:
    """Whether a job is named in place of pictures."""
    return len(named) == 1 and (named[0].suffix.lower() == ".toml" or named[0].is_dir())


def _of_job(args: argparse.Namespace) -> tuple[Any, Path]:
    """What the job's own table asks for; what is said on the command line counts more."""
    from dataclasses import replace

    from cutplan.project.trace_files import request_of_job
    from cutplan.units import parse_length

    request, drawing, _ = request_of_job(args.pictures[0])
    if args.shop is not None:
        request = replace(request, shop=args.shop)
    if args.thickness is not None:
        request = replace(request, thickness_mm=parse_length(args.thickness, args.units, "--thickness"))
    return request, args.output or drawing


def _request(args: argparse.Namespace) -> Any:
    from cutplan.errors import UsageError
    from cutplan.project.trace import Request
    from cutplan.texts import code, say
    from cutplan.units import parse_length

    if args.thickness is None:
        raise UsageError(
            say("the thickness of the card is missing"),
            "--thickness",
            say("measure it with a caliper: {this}", this=code("--thickness 2.5")),
        )
    known: dict[str, float] = {}
    for pair in args.known:
        name, sign, value = pair.partition("=")
        if not sign:
            raise UsageError(f"{pair!r} is not A1-D2=LENGTH", "--known", "for example --known A1-D2=295.4")
        known[name.strip()] = parse_length(value, args.units, f"--known {name}")
    return Request(
        tuple(args.pictures),
        parse_length(args.thickness, args.units, "--thickness"),
        known,
        args.scan,
        args.shop,
        args.printer,
        parse_length(args.reading, args.units, "--reading"),
        parse_length(args.tolerance, args.units, "--tolerance"),
    )


def _asked(found: int, read: Any) -> int | None:
    from cutplan.texts import number, say

    question = say(
        "Is the outline in the picture the card's? Holes found: {found}. How many does the card have?",
        found=number(found),
    )
    try:
        answer = input(read(question) + " ")
    except EOFError:
        return None
    return int(answer) if answer.strip().isdigit() else None


def _not_confirmed(args: argparse.Namespace, picture: Path, account: dict[str, Any], read: Any) -> int:
    from cutplan.cli.show import complain, print_json
    from cutplan.texts import code, say

    if args.json:
        print_json({"ok": False, **account, "confirmed": False, "written": [str(picture)]})
    for message in (
        say("not written: nobody has looked at the outline yet"),
        say(
            "  look at {picture}, count the holes, then add {option} if that is right",
            picture=code(picture),
            option=code(f"--holes {len(account['holes'])}"),
        ),
    ):
        complain(message, read)
    return 1
