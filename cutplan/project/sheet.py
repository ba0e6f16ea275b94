"""Several jobs' parts on one sheet: read, planned, laid, proved, and written as one set of files."""

from __future__ import annotations

import json
import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from cutplan.errors import JobError, UsageError
from cutplan.findings import Finding, errors
from cutplan.geometry.vector import Point
from cutplan.pattern.job import Job
from cutplan.pattern.joint import Joint
from cutplan.texts import Reader, code, mm, name, say, sourced

if TYPE_CHECKING:
    from cutplan.cutting.nest.parts import Part, Room, Stock
    from cutplan.cutting.nest.sheet_plan import SheetPlan
    from cutplan.cutting.result import CutPlan
    from cutplan.pattern.shop import Shop

_SIZE = re.compile(r"\s*(\d+(?:[.,]\d+)?)\s*(mm|in)?\s*[xX×]\s*(\d+(?:[.,]\d+)?)\s*(mm|in)?\s*$")
#: File that keeps where each piece lies.
SHEET_FILE = "sheet.toml"
#: Difference of two kerfs that counts as none [mm].
_ONE_KERF_MM = 0.005


@dataclass(frozen=True, slots=True)
class Order:
    """What is wanted of a sheet.

    Parameters
    ----------
    jobs : tuple of Path
        Job files.
    stock : tuple of str
        What is cut from, in its order: ``1000x500``, with units if need be, or the drawing of a remnant.
    spacing_mm, border_mm : float or None
        Metal between pieces and along the edge [mm]; None: what leads and pierces need.
    turning : {"free", "quarter", "rolling"}
        How pieces may be turned.
    seconds : int
        Time for the dense search of each sheet [s].
    kerf_coupon : bool
        Whether the trial piece that measures the kerf is laid too.
    program : bool
        Whether a program in RS-274 is written too.
    """

    jobs: tuple[Path, ...]
    stock: tuple[str, ...]
    spacing_mm: float | None = None
    border_mm: float | None = None
    turning: str = "quarter"
    seconds: int = 5
    kerf_coupon: bool = False
    program: bool = False


@dataclass(frozen=True, slots=True)
class SheetsMade:
    """What was written, the plan of each sheet, and what was noticed."""

    folder: Path
    written: tuple[str, ...]
    plans: tuple[SheetPlan, ...]
    findings: tuple[Finding, ...]
    figures: dict[str, Any]


def make_sheets(order: Order, folder: Path, shop_path: Path | None = None) -> SheetsMade:
    """Make the files of an order of sheets.

    Parameters
    ----------
    order : Order
        Jobs, stock and wishes.
    folder : Path
        Output folder; a sheet file in it that was made of the same things is followed.
    shop_path : Path or None
        Shop file; None: beside each job, else in the user's configuration folder.

    Raises
    ------
    CutplanError
        When a job has errors, parts do not belong on one sheet, or one fits on none; nothing is written then.
    """
    from cutplan.cutting.nest.lay import lay
    from cutplan.cutting.nest.parts import stock_of
    from cutplan.cutting.nest.sheet_file import fingerprint, kept_sheets, sheet_text
    from cutplan.cutting.nest.sheet_plan import plan_sheet
    from cutplan.project.folder.write import write_set
    from cutplan.project.planned.beside import beside, usable_cores

    _refuse_own_stock(order, folder)
    jobs, parts, findings = _parts(order, shop_path)
    stocks, room = [stock(text) for text in order.stock], _room(order, jobs[0], parts)
    key = fingerprint(parts, stocks, room, order.turning)
    sheets = kept_sheets(folder / SHEET_FILE, key, len(parts))
    if sheets is None:
        sheets = lay(parts, stocks, room, order.turning, order.seconds, usable_cores(), beside)
    travel = jobs[0].cutting.cool_travel_s
    plans = tuple(plan_sheet(parts, placed, stock_of(stocks, n), room, travel) for n, placed in enumerate(sheets))
    bad = [f for p in plans for f in errors(p.findings)]
    if bad:
        raise JobError(bad[0].message, bad[0].where, say("give more spacing: {option}", option=code("--gap")))
    findings += [f for p in plans for f in p.findings]
    figures = _figures(plans, parts, room)
    documents = {SHEET_FILE: sheet_text(sheets, parts, key).encode()}
    text = json.dumps(figures, indent=1, sort_keys=True, ensure_ascii=False, allow_nan=False)
    documents["sheet.json"] = (text + "\n").encode()
    for number, plan in enumerate(plans, 1):
        documents.update(_documents(number, plan, parts, jobs[0]))
        if order.program:
            documents[f"sheet-{number}-path.ngc"] = _program(plan, parts, jobs[0])
    documents["sheets.pdf"] = _paper(plans, parts, room, order, jobs[0], shop_path)
    write_set(folder, documents, "", [Path(j) for j in order.jobs])
    return SheetsMade(folder, tuple(documents), plans, tuple(dict.fromkeys(findings)), figures)


def _parts(order: Order, shop_path: Path | None) -> tuple[list[Job], list[Part], list[Finding]]:
    from cutplan.cutting.nest.parts import Part
    from cutplan.cutting.plan import plan_cut
    from cutplan.project.planned.plans import load
    from cutplan.project.run.made import job_name

    jobs: list[Job] = []
    parts: list[Part] = []
    findings: list[Finding] = []
    shops: list[Shop] = []
    for path in order.jobs:
        job, shop = load(path, shop_path)
        shops.append(shop)
        for one, suffix in _all_of(job):
            plan = plan_cut(one, shop)
            bad = errors((*job.origin.findings, *plan.findings))
            if bad:
                raise JobError(bad[0].message, f"{path}", bad[0].fix)
            if plan.by_hand:
                raise JobError(
                    say("{process} is led by hand: no sheet is laid for it", process=code(plan.process)),
                    str(path),
                    say("choose a process that a table runs"),
                )
            if jobs and (plan.process, plan.thickness_mm) != (jobs[0].cutting.process, jobs[0].plate.thickness_mm):
                raise JobError(
                    say("parts of one sheet need one process and one thickness"),
                    str(path),
                    say(
                        "the first job has {process} and {thickness}",
                        process=code(jobs[0].cutting.process),
                        thickness=mm(jobs[0].plate.thickness_mm, None),
                    ),
                )
            if parts:
                _same_torch(parts[0].plan, plan, shops, str(path))
            jobs.append(one)
            parts.append(Part(job_name(path) + suffix, plan, one.plate.quantity))
            findings += [f for f in plan.findings if f.severity != "note"]
    if order.kerf_coupon:
        from cutplan.cutting.kerf.coupon import kerf_coupon
        from cutplan.cutting.nest.parts import TRIAL

        coupon = kerf_coupon(jobs[0].cutting.process, jobs[0].plate.thickness_mm)
        parts.append(Part(TRIAL, coupon.plan, 1))
    return jobs, parts, findings


def _same_torch(first: CutPlan, plan: CutPlan, shops: Sequence[Shop], where: str) -> None:
    """Refuse two kerfs for one sheet: one torch at one setting cuts it."""
    kerfs, holes = (
        (first.kerf, plan.kerf),
        [s.hole_trial(plan.process, plan.thickness_mm) for s in (shops[0], shops[-1])],
    )
    advice = say("give all of them one shop file: {option}", option=code("--shop FILE"))
    if abs(kerfs[0].value_mm - kerfs[1].value_mm) > _ONE_KERF_MM:
        raise JobError(
            say(
                "one torch cuts the whole sheet, and this job has a kerf of {kerf} ({source}), the first one of {other} "
                "({origin})",
                kerf=mm(kerfs[1].value_mm, 2),
                source=sourced(kerfs[1].band.source),
                other=mm(kerfs[0].value_mm, 2),
                origin=sourced(kerfs[0].band.source),
            ),
            where,
            advice,
        )
    if holes[0] != holes[1]:
        raise JobError(
            say(
                "one torch cuts the whole sheet, and this job's shop file tells other kerfs of holes than the first one's"
            ),
            where,
            advice,
        )


def _all_of(job: Job) -> list[tuple[Job, str]]:
    """The job's plate and its further pieces, each with its twin of the other hand where one is wanted, and a name."""
    found = [(job, "")]
    if job.marks.mirrored_copy:
        found.append((_twin(job), " mirrored"))
    for piece in job.beside.pieces:
        alone = replace(job, plate=piece.plate, pads=(), joint=Joint(), origin=replace(job.origin, findings=()))
        found.append((alone, f" {piece.name}"))
        if piece.mirrored:
            found.append((_twin(alone), f" {piece.name} mirrored"))
    return found


def _twin(job: Job) -> Job:
    plate = job.plate
    holes = tuple(replace(h, contour=h.contour.mirrored()) for h in plate.holes)
    pads = tuple(replace(p, centre=Point(-p.centre.x, p.centre.y)) for p in job.pads)
    return replace(job, plate=replace(plate, outline=plate.outline.mirrored(), holes=holes), pads=pads, joint=Joint())


def _room(order: Order, job: Job, parts: Sequence[Part]) -> Room:
    """Metal to keep: leads lie in it, and pierces must not touch the neighbour."""
    from cutplan.cutting.nest.parts import Room
    from cutplan.tables.cutting.holes import lead_rule

    rule, thickness = lead_rule(job.cutting.process), job.plate.thickness_mm
    kerf = max(p.plan.kerf_mm for p in parts)
    reach = max(
        (p.net.outer.nearest(path.pierce)[1] for p in parts for path in p.plan.paths if not path.inner), default=0.0
    )
    least = reach + max(rule.clear_mm(thickness, kerf), kerf)
    spacing = max(order.spacing_mm or 0.0, least)
    border = max(order.border_mm or 0.0, reach + 2.0 * kerf, 0.5 * spacing + 1.0)
    return Room(round(spacing, 2), round(border, 2))


def _refuse_own_stock(order: Order, folder: Path) -> None:
    """Raise where a remnant lies in the folder that is written: it would be replaced by the remnant of this order."""
    for text in order.stock:
        path = Path(text)
        if not _SIZE.match(text) and path.is_file() and path.resolve().parent == folder.resolve():
            raise UsageError(
                say("this remnant lies in the output folder and would be written over"),
                text,
                say("write this order to another folder: {option}", option=code("-o sheet-2")),
            )


def stock(text: str) -> Stock:
    """Return a sheet of a size as it is written, or a remnant from its drawing.

    Raises
    ------
    CutplanError
        When it is neither, or the drawing cannot be read.
    """
    from cutplan.cutting.nest.parts import Stock
    from cutplan.geometry.contour import rectangle
    from cutplan.geometry.region import Region

    size = _SIZE.match(text)
    if size:
        unit = size[4] or size[2] or "mm"
        factor = {"mm": 1.0, "in": 25.4}
        width = float(size[1].replace(",", ".")) * factor[size[2] or unit]
        height = float(size[3].replace(",", ".")) * factor[unit]
        if not (1.0 <= width <= 20_000.0 and 1.0 <= height <= 20_000.0):
            raise UsageError(
                say("a sheet of {width} x {height} cannot be", width=mm(width, None), height=mm(height, None)),
                "--stock",
            )
        return Stock(Region(rectangle(0.0, 0.0, width, height)), True)
    path = Path(text)
    if not path.is_file():
        raise UsageError(
            say("{text} is neither a size nor a drawing that is there", text=name(repr(text))),
            "--stock",
            say("give a size such as {size}, or the drawing of a remnant", size=code("1000x500")),
        )
    from cutplan.files.drawing_in import read_drawing

    drawing = read_drawing(path, frame="plate")  # what lies around everything is the stock
    if not drawing.sound or not drawing.parts:
        bad = errors(drawing.findings)
        raise JobError(
            bad[0].message if bad else say("the drawing holds no closed outline"), text, bad[0].fix if bad else ""
        )
    return Stock(drawing.parts[0].region, False)


def _documents(number: int, plan: SheetPlan, parts: Sequence[Part], job: Job) -> dict[str, bytes]:
    from cutplan.cutting.nest.drawings import remnant_layers, sheet_figure, sheet_layers
    from cutplan.drawing.placer.picture import as_page
    from cutplan.drawing.png import render_png
    from cutplan.files.dxf.write import dxf_text
    from cutplan.sheets.localised import localised_layers

    version = job.cutting.dxf_version
    layers = localised_layers(sheet_layers(plan, parts), Reader(job.shown.language).language)
    found = {f"sheet-{number}-path.dxf": dxf_text(layers, version=version).encode("ascii")}
    rest = remnant_layers(plan, say("remnant of sheet {number}: give it as stock the next time", number=number))
    if rest:
        found[f"sheet-{number}-remnant.dxf"] = dxf_text(
            localised_layers(rest, job.shown.language), version=version
        ).encode("ascii")
    page = as_page(sheet_figure(plan, parts), 270.0)
    found[f"sheet-{number}.png"] = render_png(page, dpi=150)
    return found


def _paper(
    plans: Sequence[SheetPlan], parts: Sequence[Part], room: Room, order: Order, job: Job, shop_path: Path | None
) -> bytes:
    from cutplan.drawing.pdf import render_pdf
    from cutplan.project.planned.plans import load
    from cutplan.sheets.plate.nest_page import nest_paper

    shop = load(order.jobs[0], shop_path)[1]
    return render_pdf(nest_paper(plans, parts, room, job, shop))


def _program(plan: SheetPlan, parts: Sequence[Part], job: Job) -> bytes:
    from cutplan.cutting.files.ngc import program, rules
    from cutplan.cutting.nest.drawings import notes, speaking

    head = [*notes(plan, parts), *rules(job)]
    return program(job, speaking(plan, parts), [c.path for c in plan.cuts], head).encode("ascii")


def _figures(plans: Sequence[SheetPlan], parts: Sequence[Part], room: Room) -> dict[str, Any]:
    return {
        "spacing_mm": room.spacing_mm,
        "border_mm": room.border_mm,
        "pieces": sum(len(p.placed) for p in plans),
        "sheets": [
            {
                "pieces": [
                    {
                        "part": parts[p.part].name,
                        "turn_deg": p.turn_deg,
                        "at_mm": [p.x_mm, p.y_mm],
                        "in_hole_of": p.host + 1 or None,
                    }
                    for p in plan.placed
                ],
                "cuts": [c.path.name for c in plan.cuts],
                "cut_length_mm": round(plan.cut_mm, 3),
                "rapid_length_mm": round(plan.rapid_mm, 3),
                "used_of_stock": round(plan.used, 4),
                "used_up_to_last_piece": round(plan.used_to, 4),
                "proof": {
                    "deepest_bite_mm": round(max(0.0, plan.proof.bite_mm), 6),
                    "thickest_rest_mm": round(plan.proof.rest_mm, 6),
                    "proved": plan.proof.proved,
                },
            }
            for plan in plans
        ],
    }
