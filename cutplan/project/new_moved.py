"""The lines of a new job that follow a study: the shift, what moves with it, pads held to the mount's tolerance."""

from __future__ import annotations

import tomllib
from pathlib import Path

from cutplan.errors import CutplanError, OutputError
from cutplan.files.job.read import job_from
from cutplan.files.job.shop import quoted
from cutplan.findings import errors
from cutplan.linkage.places.placed import place
from cutplan.linkage.places.recommend import Recommended
from cutplan.linkage.read_study import read_study
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


def with_study(text: str, folder: Path, study: Path) -> str:
    """Return a new job's text with table ``[moved]`` and pads added, its directions asked for.

    Parameters
    ----------
    text : str
        The job file without it.
    folder : Path
        Folder in which the drawing that the text names lies.
    study : Path
        The study file.
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
    shift = ", ".join(f'"{v:g} mm"' for v in best.shift + 0.0)
    lines = [
        "[moved]                        # from cutplan place: the mount's holes follow the gear",
        f"study = {quoted(study.name)}",
        f"shift = [{shift}]   # forward, left, up",
        *([f'tolerance = "{best.tolerance_mm:.1f} mm"'] if best.tolerance_mm is not None else []),
        f"holes = [{', '.join(quoted(h.name) for h in bolts)}]           # CHECK: only the holes of the mount",
        "",
    ]
    pitch = best.tolerance_mm or 0.5
    for hole in bolts[:_PADS]:
        box = hole.contour.box
        lines += [
            "[[pad]]",
            f"name = {quoted('mount ' + hole.name)}",
            f"hole = {quoted(hole.name)}",
            f'diameter = "{2.0 * max(box.width, box.height):.0f} mm"',
            'flatness = "0.5 mm"',
            f'pitch = "{pitch:.1f} mm"',
            "",
        ]
    before, mark, after = text.partition("[joint]\n")
    head, forward, rest = after.partition("forward_deg = 90")
    ways = "               # CHECK: name the two directions that lie in the plate, or the shift goes wrong\nleft_deg = 180\n"
    return before + "\n".join(lines) + "\n" + mark + head + forward + ways + rest.partition("\n")[2]


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
