"""The study of the steering on the page: its file under edit, its figures at once, the place it recommends beside."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from cutplan.errors import CutplanError, UsageError
from cutplan.files.job.read import job_from
from cutplan.files.job.tables.moved import shift_of
from cutplan.files.job.tables.plate import inside
from cutplan.linkage.places.placed import Placed, place
from cutplan.linkage.read_study import study_from
from cutplan.linkage.study import FIGURES
from cutplan.linkage.wording import DEFINITIONS, LABELS, shown
from cutplan.pattern.moved import split_shift
from cutplan.project.desk.editing.edit import comparable
from cutplan.project.desk.live import problems, told
from cutplan.texts import ENGLISH, Reader, code, listed, say
from cutplan.texts.render import shown as rendered

#: A study answered, as the page keeps it.
Answer = Placed
#: Name of a study that is begun on the page.
STUDY = "study.toml"
_WAYS = ("forward", "left", "up")


def study_path(data: Mapping[str, Any], folder: Path) -> Path | None:
    """Return the study file of a job: the one that it follows, else the one that lies beside it; None: there is none."""
    moved = data.get("moved")
    named = moved.get("study") if isinstance(moved, Mapping) else None
    path = inside(folder, named) if isinstance(named, str) and named else folder / STUDY
    return path if path is not None and path.is_file() else None


def shift_stated(data: Mapping[str, Any]) -> tuple[float, float, float] | None:
    """Return the shift that a job file's values state, forward, left and up [mm]; None where they state none."""
    return shift_of(data)


def study_view(
    text: str, file: str, shift: tuple[float, float, float] | None, read: Reader = ENGLISH
) -> dict[str, Any]:
    """Return what is known of a study at once: its values, what keeps it from being read, and its figures.

    Parameters
    ----------
    text : str
        The study file.
    file : str
        Its name.
    shift : tuple of float or None
        Shift of the job that follows it, forward, left, up [mm]; None: no job does.
    read : Reader
        Whose words are used.

    Returns
    -------
    dict
        ``data``, ``problems``; and where it can be read ``figures``, each with its value now and at the shift.
    """
    known: dict[str, Any] = {"file": file, "data": {}, "problems": [], "figures": [], "choices": list(FIGURES)}
    try:
        data = tomllib.loads(text.removeprefix("\ufeff"))
        known["data"] = comparable(data)
        study = study_from(data, file)
    except tomllib.TOMLDecodeError as fault:
        message = read(say("the study is not valid TOML"))
        known["problems"] = [{"key": "", "message": message, "fix": str(fault), "where": ""}]
        return known
    except CutplanError as error:
        known["problems"] = problems(error, read)
        return known
    at = place(study, shift if shift is not None else (0.0, 0.0, 0.0))
    known["figures"] = _figures(at, read, here=shift is not None)
    known["shift"] = None if shift is None else [round(v, 3) for v in shift]
    known["findings"] = [told(f, read) for f in at.findings] if shift is not None else []
    known["words"] = {name: read(LABELS[name]) for name in FIGURES}
    known["unit_of"] = dict(FIGURES)
    return known


def recommended(text: str, file: str) -> Placed:
    """Return the answer to a study: the map, and the place recommended.

    Raises
    ------
    CutplanError
        When the study cannot be read.
    """
    return place(study_from(tomllib.loads(text.removeprefix("\ufeff")), file))


def placed_view(placed: Placed, read: Reader = ENGLISH) -> dict[str, Any]:
    """Return the place that a study recommends as plain data."""
    said, best = Reader(read.language, placed.study.display), placed.best
    known: dict[str, Any] = {
        "findings": [told(f, said) for f in placed.findings],
        "figures": _figures(placed, said, here=best is not None),
        "shift": None,
        "tolerance_mm": None,
    }
    if best is not None:
        known["shift"] = {w: round(float(v), 2) + 0.0 for w, v in zip(_WAYS, best.shift, strict=True)}
        known["unsure"] = {w: round(float(v), 2) for w, v in zip(_WAYS, best.shift_error, strict=True)}
        known["tolerance_mm"] = None if best.tolerance_mm is None else round(best.tolerance_mm, 2)
    return known


def taken_over(text: str, job: Path, file: str, placed: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Return the changes of a job file that make it follow a study at the place recommended.

    Parameters
    ----------
    text : str
        The job file.
    job : Path
        Its name.
    file : str
        Name of the study beside it.
    placed : mapping
        The answer of :func:`placed_view`.

    Raises
    ------
    CutplanError
        When no place is recommended, the job cannot be read, or its plate does not say two of the vehicle's directions.
    """
    if placed["shift"] is None or any(f["severity"] == "error" for f in placed["findings"]):
        raise UsageError(say("the study recommends no place yet"), file, say("see what it says, and mend that first"))
    data = tomllib.loads(text.removeprefix("\ufeff"))
    old = data.get("moved", {})
    read = job_from({k: v for k, v in data.items() if k != "moved"}, job)
    if split_shift(read.marks, (0.0, 0.0, 0.0)) is None:
        keys = listed([code("forward_deg"), code("up_deg"), code("left_deg")])
        raise UsageError(
            say("the plate does not say two of the vehicle's directions yet, so no shift can be laid on it"),
            "marks",
            say("set two of {keys} under the directions of the plate", keys=keys),
        )
    holes = old.get("holes") or [h.name for h in read.plate.holes if h.purpose == "bolt"]
    if not holes and not old.get("pads"):
        raise UsageError(
            say("the plate has no bolt hole that could move with the mount"), "", say("draw them where they are now")
        )
    at = ["moved"]
    changes: list[dict[str, Any]] = [{"do": "set", "at": [*at, "study"], "value": file}]
    shift = [f"{placed['shift'][w]:g} mm" for w in _WAYS]
    changes.append({"do": "set", "at": [*at, "shift"], "value": shift})
    if placed["tolerance_mm"] is not None:
        changes.append({"do": "set", "at": [*at, "tolerance"], "value": f"{placed['tolerance_mm']:.1f} mm"})
    elif "tolerance" in old:
        changes.append({"do": "drop", "at": [*at, "tolerance"]})
    if holes and "holes" not in old:
        changes.append({"do": "set", "at": [*at, "holes"], "value": holes})
    return changes


def _figures(placed: Placed, read: Reader, *, here: bool) -> list[dict[str, Any]]:
    """Each figure with its value and standard error now and at the place, its limits, and whether they hold."""
    best = placed.best if here else None
    limits: dict[str, list[str]] = {}
    held: dict[str, bool] = {}
    for i, wish in enumerate(placed.study.wishes):
        sign = "≥ " if wish.kind == "at least" else "≤ "
        limits.setdefault(wish.figure, []).append(sign + str(rendered(shown(wish.figure, wish.limit), read)))
        if best is not None:
            held[wish.figure] = held.get(wish.figure, True) and best.margins[i] >= 0.0
    return [
        {
            "figure": name,
            "label": read(LABELS[name]),
            "meaning": read(DEFINITIONS[name]),
            "now": _said(name, value, placed.now.errors[name], read),
            "moved": "" if best is None else _said(name, best.values[name], best.errors[name], read),
            "limit": ", ".join(limits.get(name, [])),
            "held": held.get(name),
        }
        for name, value in placed.now.values.items()
    ]


def _said(name: str, value: Any, error: Any, read: Reader) -> str:
    if not math.isfinite(float(value)):
        return read(say("not reached"))
    told_value = str(rendered(shown(name, float(value)), read))
    if not math.isfinite(float(error)):
        return told_value
    return f"{told_value} ± {rendered(shown(name, float(error)), read)}"


def study_picture(placed: Placed, name: str, read: Reader = ENGLISH) -> bytes | None:
    """Return one picture of a study's answer: the map (PNG), or the linkage from above now and moved (SVG).

    Parameters
    ----------
    placed : Placed
        The answer.
    name : str
        ``map``, ``linkage-now`` or ``linkage-moved``; another has no picture.
    read : Reader
        Whose words are used.
    """
    said = Reader(read.language, placed.study.display)
    if name == "map":
        from cutplan.linkage.picture import map_png

        return map_png(placed, said)
    if name not in ("linkage-now", "linkage-moved") or (name == "linkage-moved" and placed.best is None):
        return None
    import numpy as np

    from cutplan.drawing.svg import render_svg
    from cutplan.linkage.plan_view import plan_view
    from cutplan.linkage.study import Layout
    from cutplan.report.figure import figure_page

    shift = np.zeros(3) if placed.best is None or name == "linkage-now" else placed.best.shift
    page = figure_page(plan_view(Layout(placed.study), shift, said), lang=said.language)
    return render_svg(page, ident=name, fluid=True).encode()
