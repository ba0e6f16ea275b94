"""``cutplan inspect``: as built against plan."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from cutplan.cli.show import print_findings, print_json, said, tell, value
from cutplan.errors import UsageError
from cutplan.texts import Reader, code, mm, name, number, say, span
from cutplan.texts.by_id import told
from cutplan.texts.command import pasted
from cutplan.texts.values import Value

#: So many missing readings are named one by one.
_MOST = 6


def add(commands: Any) -> None:
    """Add the command to the parser."""
    p = commands.add_parser(
        "inspect",
        help=said(say("compare measurements of the finished part with the plan")),
        description=said(
            say(
                "Compare measured distances, diagonals, pads and gaps with the plan. Readings taken between the "
                "stitches re-plan those that are left. With --form, write the blank form to fill in first."
            )
        ),
    )
    p.add_argument("job", type=Path, metavar="JOB", help=said(say("job file, or the folder that holds job.toml")))
    p.add_argument("measured", type=Path, metavar="MEASURED.csv", nargs="?", help=said(say("the form, filled in")))
    p.add_argument("--form", type=Path, metavar="FILE", help=said(say("write a blank form and stop")))
    p.add_argument(
        "-o",
        "--output",
        type=Path,
        metavar="FILE",
        help=said(say("also write a PDF: the part as built, or the stitches that are left")),
    )
    p.add_argument("--shop", type=Path, metavar="FILE", help=said(say("shop file to use")))
    p.add_argument("--json", action="store_true", help=said(say("print one JSON object and nothing else")))
    p.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Run the command; exit 1 when a value is out or readings are wrong."""
    from cutplan.project.inspect import inspect_job, reader_of, write_form

    if args.form and (args.output or args.measured):
        raise UsageError(
            say("{form} writes a blank form and stops", form=code("--form")),
            "cutplan inspect",
            say(
                "call it alone; the measurements and {output} go together, once the form is filled in",
                output=code("-o"),
            ),
        )
    if args.form:
        write_form(args.job, args.form)
        if args.json:
            print_json({"form": str(args.form)})
        else:
            tell(say("written: {file}", file=name(args.form)))
            call = code(f"cutplan inspect {pasted(str(args.job))} {pasted(str(args.form))}")
            tell(say("next: fill in the column 'measured', then  {command}", command=call))
        return 0
    if args.measured is None:
        raise UsageError(
            say("the measurements are missing"),
            "cutplan inspect",
            say("name a CSV file, or write a blank one with {flag}", flag=code("--form")),
        )
    both = inspect_job(args.job, args.measured, args.shop, args.output)
    found, bench = both.found, both.bench
    if args.json:
        print_json({**found.as_dict(), **({"bench": bench.as_dict()} if bench is not None else {})})
    else:
        reader = reader_of(args.job)
        _tell(found, bench is not None, reader)
        if bench is not None:
            _tell_bench(bench, reader)
        if args.output:
            tell(say("written: {file}", file=name(args.output)), reader)
        elif found.verdict == "pass" and bench is None:
            page = f"cutplan inspect {pasted(str(args.job))} {pasted(str(args.measured))} -o as-built.pdf"
            tell(say("the page to file:  {command}", command=code(page)), reader)
    if bench is not None:
        return 0 if bench.agrees and found.verdict != "out" else 1
    return 0 if found.verdict == "pass" else 1


def _tell_bench(bench: Any, reader: Reader) -> None:
    """Print how to go on."""
    from cutplan.welding.bench.words import headline

    tell(headline(bench), reader)
    print_findings(bench.findings, reader)
    for words in bench.reason:
        tell(words, reader)
    for bead in bench.left:
        row = say(
            "  {number}. {bead} clockwise, wait {wait}"
            if bead.backward
            else "  {number}. {bead} counter-clockwise, wait {wait}",
            number=bead.number,
            bead=code(bead.name),
            wait=number(bead.wait_s, "s", 0),
        )
        tell(row, reader)
    if bench.later:
        from cutplan.sheets.welding.later_table import later_said

        tell(say("After the last stitch, once all is cold:"), reader)
    for weld in bench.later:
        tell(say("  {number}. {weld}", number=weld.first, weld=later_said(weld)), reader)


def _source(source: Any, reader: Reader) -> Value:
    """What a limit comes from: a standard, or a tolerance of the job, in words."""
    key = f"built.source.{source}"
    return name(told(key, reader.language)) if source in ("pitch_mm", "flatness_mm") else value(source)


def _tell(found: Any, under_way: bool, reader: Reader) -> None:
    """Print the verdict line by line; of a part that is being welded only what was judged."""
    for c in found.checked:
        row = say(
            "{state}  {label}: {measured}, plan {plan}, off {off}, allowed to be off {range} ({source})",
            state=say("ok ") if c.ok else say("OUT"),
            label=value(c.label),
            measured=mm(c.measured_mm, 2),
            plan=mm(c.plan_mm, 2),
            off=mm(c.deviation_mm, 2),
            range=span(c.low_mm, c.high_mm, digits=2),
            source=_source(c.source, reader),
        )
        tell(row, reader)
    for p in found.points:
        away = mm(p.deviation_mm, 2)
        tell(say("     {point}: {away} from its place after the best fit", point=name(p.name), away=away), reader)
    _tell_moved(found.loop, reader)
    if found.linear_class:
        tell(say("ISO 13920 lengths: class {letter}", letter=code(found.linear_class)), reader)
    if found.flatness_class:
        tell(say("ISO 13920 flatness: class {letter}", letter=code(found.flatness_class)), reader)
    for missing in found.missing[:_MOST]:
        tell(say("missing: {what}", what=value(missing)), reader)
    if len(found.missing) > _MOST:
        tell(say("missing: {count} more", count=len(found.missing) - _MOST), reader)
    print_findings(found.findings, reader)
    if not under_way:
        tell(say("verdict: {verdict}", verdict=name(told(f"built.{found.verdict}", reader.language))), reader)
    for line in found.advice:
        tell(say("  next: {what}", what=value(line)), reader)


def _tell_moved(loop: Any, reader: Reader) -> None:
    """Print how far the pads went from stage to stage, and the marks of which the tape tells that they did."""
    from cutplan.inspection.datum_loop import stage_said

    for m in loop.moved if loop is not None else ():
        if not (m.is_pad or m.told):
            continue
        stage, far, error = stage_said(m.stage), mm(m.distance_mm, 1), mm(m.error_mm, 1)
        if m.told:
            row = say("moved  {stage}: {point} by {far}, standard error {error}",
                      stage=stage, point=name(m.point), far=far, error=error)  # fmt: skip
        else:
            row = say("still  {stage}: {point}, {far} read, standard error {error}: nothing that the tape tells",
                      stage=stage, point=name(m.point), far=far, error=error)  # fmt: skip
        tell(row, reader)
