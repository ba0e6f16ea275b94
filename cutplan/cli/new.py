"""``cutplan new``: a commented job file to start from."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import Any

from cutplan.errors import CutplanError
from cutplan.units import parse_length


def add(commands: Any) -> None:
    """Add the command to the parser."""
    p = commands.add_parser(
        "new",
        help="write a commented job file to start from",
        description="Write a job file that can be made as it is; every key is explained in it. "
        "On a terminal, thicknesses not given are asked for.",
    )
    p.add_argument("job", type=Path, metavar="JOB.toml", help="the file to write; never overwritten")
    p.add_argument("--drawing", type=Path, metavar="FILE", help="a .dxf or .svg drawing of the plate")
    p.add_argument("--title", help="what is made")
    p.add_argument("--units", choices=("mm", "in"), help="units of the job file and, if given, of the drawing")
    p.add_argument("--joint", choices=("butt", "lap"), default="butt", help="how plate and skin meet (default: butt)")
    p.add_argument("--thickness", metavar="LENGTH", help='plate thickness, such as 4 or "3/16 in"')
    p.add_argument("--skin", metavar="LENGTH", help="skin thickness")
    p.add_argument("--paper", choices=("A4", "A3", "Letter", "Tabloid"), default="A4", help="paper (default: A4)")
    p.add_argument(
        "--place", type=Path, metavar="STUDY.toml", help="a study of the steering that the mount's holes follow"
    )
    p.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Run the command."""
    from cutplan.project.new import Wanted, write_new_job

    unit = args.units or "mm"
    thickness = _length(args.thickness, "thickness of the plate", unit, "--thickness")
    skin = _length(args.skin, "thickness of the skin", unit, "--skin")
    wanted = Wanted(args.title, args.units, args.joint, thickness, skin, args.paper, args.place)
    job = write_new_job(args.job, args.drawing, wanted)
    print(f"written: {args.job}")
    if job.copy_from:
        print(f"copied beside it: {job.drawing_name}")
    print(f"next: read it through, then  cutplan check {args.job}")
    return 0


def _length(text: str | None, what: str, unit: Any, where: str) -> float | None:
    """Return a length [mm] given, or asked for on a terminal; None to use the default."""
    if text is None and sys.stdin.isatty() and sys.stdout.isatty():
        text = input(f"{what} [{unit}, Enter to decide later]: ").strip() or None
    if text is None:
        return None
    mm = parse_length(text, unit, where)
    if not 0.3 <= mm <= 40.0:
        raise CutplanError(f"{mm:g} mm is no thickness for this work", where, "between 0.3 and 40 mm")
    return mm
