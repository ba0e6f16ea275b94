"""``cutplan new``: a commented job file to start from."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import Any, Literal

from cutplan.cli.show import said, tell
from cutplan.errors import UsageError
from cutplan.tables.paper import SHEETS, offered, sheet_named
from cutplan.texts import Message, code, every, name, say
from cutplan.texts.catalogue import LANGUAGES
from cutplan.texts.command import pasted


def add(commands: Any) -> None:
    """Add the command to the parser."""
    p = commands.add_parser(
        "new",
        help=said(say("write a commented job file to start from")),
        description=said(
            say(
                "Write a job file with every key explained in it. What only you can measure, the two thicknesses, is "
                "asked for on a terminal, else left open: `cutplan check` then says how to measure it."
            )
        ),
    )
    p.add_argument(
        "job",
        type=Path,
        metavar="JOB.toml",
        help=said(say("the file to write, or a folder for its job.toml; never overwritten")),
    )
    p.add_argument("--drawing", type=Path, metavar="FILE", help=said(say("a .dxf or .svg drawing of the plate")))
    p.add_argument(
        "--length", metavar="NAME=VALUE", help=said(say("one known length of the drawing, such as width=150"))
    )
    p.add_argument(
        "--frame",
        choices=("plate", "border"),
        help=said(say("what a rectangle around the whole drawing is, where that is asked")),
    )
    p.add_argument(
        "--part", type=int, metavar="N", help=said(say("which part of the drawing is the plate, 1 is the largest"))
    )
    p.add_argument("--layers", metavar="NAME,...", help=said(say("read only these layers")))
    p.add_argument("--repair", action="store_true", help=said(say("mend what is doubtful; each repair is listed")))
    _survey_arguments(p)
    p.add_argument("--title", help=said(say("what is made")))
    p.add_argument(
        "--units", choices=("mm", "in"), help=said(say("units of the job file and, if given, of the drawing"))
    )
    p.add_argument(
        "--joint", choices=("butt", "lap"), default="butt", help=said(say("how plate and skin meet (default: butt)"))
    )
    p.add_argument("--thickness", metavar="LENGTH", help=said(say('plate thickness, such as 4 or "3/16 in"')))
    p.add_argument("--skin", metavar="LENGTH", help=said(say("skin thickness")))
    p.add_argument(
        "--paper",
        type=sheet_named,
        metavar="SIZE",
        help=said(say("{papers} (default: A4, in inches Letter)", papers=offered())),
    )
    p.add_argument(
        "--place",
        type=Path,
        metavar="STUDY.toml",
        help=said(say("a study of the steering that the mount's holes follow")),
    )
    p.add_argument(
        "--language",
        choices=tuple(LANGUAGES),
        default="en",
        help=said(say("language of the documents and of what the file says")),
    )
    p.set_defaults(run=run)


def _survey_arguments(p: argparse.ArgumentParser) -> None:
    p.add_argument(
        "--survey",
        type=int,
        nargs="?",
        const=4,
        metavar="N",
        help=said(
            say("the plate is measured with a tape between its N corners (default: 4), in place of a drawing"),
        ),
    )
    p.add_argument(
        "--side",
        choices=("left", "right"),
        help=said(say("where corner C lies, seen from A towards B, in a survey")),
    )


def run(args: argparse.Namespace) -> int:
    """Run the command."""
    from cutplan.files.known_length import parse_known
    from cutplan.project.new.job import Told, Wanted, write_new_job

    unit = args.units or "mm"
    if args.paper is not None and args.paper not in SHEETS:
        choices = every([code(n) for n in SHEETS])
        raise UsageError(
            say("{paper} is no paper size", paper=name(args.paper)), "--paper", say("one of {choices}", choices=choices)
        )
    thickness = _length(args.thickness, say("thickness of the plate"), unit, "--thickness")
    skin = _length(args.skin, say("thickness of the skin"), unit, "--skin")
    known = parse_known(args.length, "in" if unit == "in" else "mm") if args.length else None
    if args.part is not None and args.part < 1:
        raise UsageError(say("parts are numbered from 1, largest first"), "--part")
    layers = tuple(x.strip() for x in args.layers.split(",")) if args.layers else ()
    told = Told(known, args.frame, args.part, args.repair, layers)
    side = _side(args)
    wanted = Wanted(
        args.title,
        args.units,
        args.joint,
        thickness,
        skin,
        args.paper,
        args.place,
        args.language,
        args.survey,
        side,
        told,
    )
    path = args.job / "job.toml" if args.job.is_dir() or not args.job.suffix else args.job
    job = write_new_job(path, args.drawing, wanted)
    tell(say("written: {file}", file=name(path)))
    if job.copy_from:
        tell(say("copied beside it: {file}", file=name(job.drawing_name)))
    if job.picture_name:
        tell(say("picture of how the drawing was read: {file}", file=name(job.picture_name)))
    for what, given in ((say("thickness of the plate"), thickness), (say("thickness of the skin"), skin)):
        if given is None:
            tell(say("still open, measure it and write it into the file: {what}", what=what))
    if args.survey is not None:
        tell(say("the readings in the file are an example's: write yours over them"))
        if side is None:
            tell(say("still open, look at the part and write it into the file: {what}", what=code("survey.side")))
    tell(say("next: read it through, then  {command}", command=code(f"cutplan check {pasted(str(path))}")))
    return 0


def _side(args: argparse.Namespace) -> Literal["left", "right"] | None:
    """Return the side of the third corner as given, or as asked for on a terminal: no distance tells it."""
    if args.survey is None:
        if args.side is not None:
            raise UsageError(say("a side belongs to a survey"), "--side", say("add {option}", option=code("--survey")))
        return None
    if args.drawing is not None:
        raise UsageError(
            say("a plate comes from a drawing or from a survey"), "--survey", say("leave out one of the two")
        )
    given = args.side
    while given is None and sys.stdin.isatty() and sys.stdout.isatty():
        asked = say("seen from A towards B, on which side does C lie? [left, right, Enter to decide later]: ")
        typed = input(str(asked)).strip().lower()
        if not typed:
            return None
        given = typed if typed in ("left", "right") else None
    return "right" if given == "right" else "left" if given == "left" else None


def _length(text: str | None, what: Message, unit: Any, where: str) -> float | None:
    """Return a length [mm] given, or asked for on a terminal; None to use the default."""
    from cutplan.project.new.thickness import thickness_mm

    if text is None and sys.stdin.isatty() and sys.stdout.isatty():
        text = input(str(say("{what} [{unit}, Enter to decide later]: ", what=what, unit=code(unit)))).strip() or None
    if text is None:
        return None
    return thickness_mm(text, unit, "skin" if where == "--skin" else "plate", where)
