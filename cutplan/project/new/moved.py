"""The lines of a new job that follow a study: the shift, what moves with it, pads held to the mount's tolerance."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

from cutplan.errors import CutplanError, OutputError
from cutplan.files.job.begin import Answer
from cutplan.files.job.read import job_from
from cutplan.findings import errors
from cutplan.linkage.places.placed import place
from cutplan.linkage.places.recommend import Recommended
from cutplan.linkage.read_study import read_study
from cutplan.pattern.plate import Hole
from cutplan.project.folder.write import write_file
from cutplan.texts import code, name, say

#: Bolt holes that get a pad of their own.
_PADS = 4


def recommended(study: Path) -> Recommended:
    """Return the place that a study recommends.

    Raises
    ------
    CutplanError
        When no place holds every wish: a job made from it would be built wrong.
    """
    placed = place(read_study(study))
    bad = errors(placed.findings)
    if placed.best is None or bad:
        raise CutplanError(bad[0].message, study.name, bad[0].fix)
    return placed.best


def moved_by(text: str, folder: Path, study: Path) -> dict[str, Any]:
    """Return the answers of a new job that follows a study: table ``[moved]``, pads, and directions that are asked for.

    Parameters
    ----------
    text : str
        The job file without it.
    folder : Path
        Folder in which the drawing that the text names lies.
    study : Path
        The study file.

    Raises
    ------
    CutplanError
        When the study finds no place or the plate has no hole.
    """
    best = recommended(study)
    job = job_from(tomllib.loads(text), folder / "job.toml")
    bolts = [h for h in job.plate.holes if h.purpose == "bolt"] or list(job.plate.holes)
    if not bolts:
        raise CutplanError(
            say("the plate has no hole that could move with the mount"),
            say("{file}", file=name(study.name)),
            say(
                "draw the mount's bolt holes where they are now, then call {command} again", command=code("cutplan new")
            ),
        )
    moved = {
        "study": Answer(study.name),
        "shift": Answer([float(v) for v in best.shift + 0.0], say("forward, left, up")),
        "holes": Answer([h.name for h in bolts], say("CHECK: only the holes of the mount")),
    }
    if best.tolerance_mm is not None:
        moved["tolerance"] = Answer(round(best.tolerance_mm, 1))
    ways = say("CHECK: name the two directions that lie in the plate, or the shift goes wrong")
    return {
        "moved": moved,
        "pad": [_pad(hole, best.tolerance_mm) for hole in bolts[:_PADS]],
        "marks": {"forward_deg": Answer(90, ways), "left_deg": Answer(180)},
    }


def _pad(hole: Hole, tolerance_mm: float | None) -> dict[str, Any]:
    box = hole.contour.box
    pad: dict[str, Any] = {
        "name": Answer(f"mount {hole.name}"),
        "at": None,
        "hole": Answer(hole.name),
        "diameter": Answer(float(round(2.0 * max(box.width, box.height)))),
    }
    if tolerance_mm:
        pad["pitch"] = Answer(round(tolerance_mm, 1))
    return pad


def copy_study(study: Path, folder: Path) -> str | None:
    """Copy a study beside the job where it is not there yet; return its name when it was copied.

    Raises
    ------
    OutputError
        When another file of its name is there already.
    """
    target = folder / study.name
    if target.exists():
        if target.read_bytes() == study.read_bytes():
            return None
        raise OutputError(
            say("another file of the study's name is there already"), str(target), say("rename one of the two")
        )
    write_file(target, study.read_bytes())
    return study.name
