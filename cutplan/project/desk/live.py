"""Answers cheap enough to give at every change: the shapes, what is doubtful and where, lengths and sheets of paper."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from cutplan.errors import CutplanError, JobError
from cutplan.files.job.read import job_from
from cutplan.files.job.shop.read import find_shop, read_shop
from cutplan.findings import Finding, by_severity
from cutplan.geometry.contour import Contour
from cutplan.pattern.checks.check import check_job, skin_box
from cutplan.pattern.job import Job
from cutplan.pattern.opening import opening_line
from cutplan.pattern.shop import Shop
from cutplan.project.desk import shapes
from cutplan.project.desk.editing.edit import comparable
from cutplan.texts import ENGLISH, Reader, say

#: A key path at the head of a finding's place, such as ``pad[1]`` or ``joint.gap``.
_KEY = re.compile(r"^[a-z_]+(?:\[\d+\])?(?:\.[a-z_]+(?:\[\d+\])?)*")
#: Plates with more holes than this are laid on paper and cut only when it is asked for: it takes longer than a change.
MANY_HOLES = 300
#: Most findings that are told.
_MOST = 400


def answers(text: str, path: Path, read: Reader = ENGLISH) -> dict[str, Any]:
    """Return what is known of a job at once, as plain data.

    Parameters
    ----------
    text : str
        The job file.
    path : Path
        Its name; the drawing is looked up beside it.
    read : Reader
        Whose words are used.

    Returns
    -------
    dict
        ``data``: the file's own values; ``problems``: what keeps it from being read, each with its key; else
        ``shape``, ``findings`` and ``figures``.
    """
    try:
        data = tomllib.loads(text.removeprefix("\ufeff"))
    except tomllib.TOMLDecodeError as fault:
        return {
            "data": {},
            "problems": [_problem("", read(say("the job file is not valid TOML")), str(fault))],
            "findings": [],
        }
    known: dict[str, Any] = {"data": comparable(data), "problems": [], "findings": []}
    try:
        job = job_from(data, path)
    except CutplanError as error:
        known["problems"] = problems(error, read)
        return known
    findings = [*job.origin.findings, *check_job(job)]
    known["findings"] = [told(f, read) for f in by_severity(findings)[:_MOST]]
    known["shape"], opening = _shape(job, data)
    known["figures"] = _figures(job, opening)
    known["title"], known["display"], known["language"] = job.about.title, job.shown.display, job.shown.language
    return known


def problems(error: CutplanError, read: Reader = ENGLISH) -> list[dict[str, str]]:
    """Return an error as problems, each with the key that it is about."""
    if isinstance(error, JobError) and error.problems:
        return [_problem(path, read(message), read(hint)) for path, message, hint in error.problems]
    return [_problem("", read(error.message), read(error.hint), read(error.where))]


def _problem(key: str, message: str, fix: str = "", where: str = "") -> dict[str, str]:
    return {"key": key, "message": message, "fix": fix, "where": where}


def told(finding: Finding, read: Reader = ENGLISH) -> dict[str, Any]:
    """Return a finding as plain data with the key of the job file that it is about, when it names one."""
    known: dict[str, Any] = dict(finding.as_dict(read))
    found = _KEY.match(str(finding.where))
    known["key"] = found[0] if found else ""
    return known


def _shape(job: Job, data: Mapping[str, Any]) -> tuple[dict[str, Any], Contour | None]:
    try:
        opening = opening_line(job)
    except CutplanError:  # told among the findings
        opening = None
    marks = job.marks
    shape: dict[str, Any] = {
        "outline": shapes.segments(job.plate.outline.segments),
        "box": shapes.box(job.plate.outline.box),
        "cut_key": f"{hash(job.plate):x}",
        "holes": shapes.holes(job, data),
        "corners": shapes.corners(data, {}),
        "opening": shapes.segments(opening.segments) if opening else [],
        "skin": shapes.box(skin_box(job, opening)) if opening else None,
        "opening_box": shapes.box(opening.box) if opening else None,
        "pads": [
            {
                "name": p.name,
                "at": shapes.place(p.centre),
                "d": p.diameter_mm,
                "key": ["pad", i],
                "free": job.origin.moved is None or p.name not in job.origin.moved.pads,
            }
            for i, p in enumerate(job.pads)
        ],
        "ribs": [
            {
                "name": r.name,
                "path": [shapes.place(p) for p in r.path],
                "knowledge": r.knowledge,
                "key": ["skin", "rib", i],
            }
            for i, r in enumerate(job.skin.ribs)
        ],
        "brace": {
            "from": shapes.place(job.brace.start),
            "to": shapes.place(job.brace.end),
            "size": job.brace.size_mm,
            "kind": job.brace.kind,
        }
        if job.brace
        else None,
        "datum": [[shapes.place(a), shapes.place(b)] for a, b in marks.datum],
        "arrows": [[name, deg] for name, deg in marks.arrows],
        "side_out": marks.side_out,
    }
    return shape, opening


def _figures(job: Job, opening: Contour | None) -> dict[str, Any]:
    region = job.plate.region
    outline = job.plate.outline
    bare = sum((s.end_mm - s.start_mm) % outline.length for s in job.joint.unwelded)
    return {
        "width_mm": region.box.width,
        "height_mm": region.box.height,
        "net_area_mm2": region.area,
        "perimeter_mm": outline.length,
        "opening_mm": opening.length if opening else None,
        "weld_mm": max(0.0, outline.length - bare),
        "holes": len(job.plate.holes),
        "thickness_mm": job.plate.thickness_mm,
    }


def shop_beside(path: Path) -> tuple[Shop, Path | None]:
    """Return the shop file that the job uses, and where it is (None: there is none).

    Raises
    ------
    CutplanError
        When it cannot be read.
    """
    found = find_shop(path.parent)
    return (read_shop(found), found) if found else (Shop(), None)


def paper_and_cut(text: str, path: Path, read: Reader = ENGLISH) -> dict[str, Any]:
    """Return the figures that need the templates laid out and the cut planned, as plain data.

    Parameters
    ----------
    text : str
        The job file.
    path : Path
        Its name.
    read : Reader
        Whose words are used.

    Returns
    -------
    dict
        ``sheets``, ``paper``, ``cut_mm``, ``pierces``, ``drilled``; or ``waiting`` true for a plate with so many holes
        that it is worked out only when asked; ``findings`` that came with them. Empty when the job cannot be read.
    """
    from cutplan.project.planned.plans import plans

    try:
        job = job_from(tomllib.loads(text.removeprefix("\ufeff")), path)
        if len(job.plate.holes) > MANY_HOLES:
            return {"waiting": True}
        shop, shop_file = shop_beside(path)
        results = plans(job, shop, ("templates", "cut"), remember=False)
    except (CutplanError, tomllib.TOMLDecodeError) as error:
        return {"problems": problems(error, read)} if isinstance(error, JobError) else {}
    known: dict[str, Any] = {
        "shop": shop_file.name if shop_file else "",
        "findings": [told(f, read) for f in by_severity(results.findings)[:_MOST]],
    }
    if results.templates is not None:
        known |= {"sheets": results.templates.sheets, "paper": read(results.templates.paper)}
    if results.cut is not None:
        totals = results.cut.totals
        known |= {"cut_mm": totals.cut_mm, "pierces": totals.pierces, "drilled": len(results.cut.drilled)}
    return known
