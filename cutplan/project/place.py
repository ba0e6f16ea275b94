"""Answer a study of the steering: figures, map and recommended place, as data and as pictures in a folder."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

from cutplan.errors import OutputError
from cutplan.findings import errors
from cutplan.linkage.cautions import cautions
from cutplan.linkage.places.margins import HELD
from cutplan.linkage.places.placed import Placed, place
from cutplan.linkage.places.recommend import Recommended
from cutplan.linkage.read_study import read_study
from cutplan.linkage.study import FIGURES
from cutplan.project.demo import demo_job
from cutplan.project.folder.write import write_file, write_set
from cutplan.texts import Reader, say

#: Names of what is written.
DATA, PICTURE = "place.json", "place-map.png"


def place_study(path: Path, folder: Path | None = None) -> Placed:
    """Return the answer to a study file, and write it to a folder where one is named.

    Parameters
    ----------
    path : Path
        The study file.
    folder : Path or None
        Output folder for ``place.json`` and ``place-map.png``; None: nothing is written.

    Raises
    ------
    JobError
        When the study cannot be read.
    CutplanError
        When the folder cannot be written; what was there before is untouched.
    """
    placed = place(read_study(path))
    if folder is not None:
        from cutplan.linkage.picture import map_png

        reader = reader_of(placed)
        data = json.dumps(as_dict(placed, reader), indent=1, sort_keys=True, ensure_ascii=False, allow_nan=False)
        write_set(folder, {DATA: (data + "\n").encode(), PICTURE: map_png(placed, reader)}, inputs=(path,))
    return placed


def new_study(target: Path) -> None:
    """Write a commented study to start from: a vehicle of our own invention, whose points give way to the user's.

    Raises
    ------
    OutputError
        When the file is there already.
    """
    if target.exists():
        raise OutputError(
            say("the study is there already"), str(target), say("choose another name, or move the old one away")
        )
    write_file(target, (demo_job().parent / "study.toml").read_bytes())


def reader_of(placed: Placed) -> Reader:
    """Return who reads a study: its language and units."""
    return Reader(placed.study.language, placed.study.display)


def as_dict(placed: Placed, read: Reader) -> dict[str, Any]:
    """Return the answer as plain data: lengths in mm, angles in degrees, what has no value as None."""
    study, best = placed.study, placed.best
    held = (placed.chart.margin >= HELD).mean() if placed.chart is not None else 0.0
    return {
        "study": study.title,
        "source": study.source,
        "ok": not errors(placed.findings),
        "now": _figures(placed.now),
        "recommended": None if best is None else {**_place(best), "figures": _figures(best, costs=True)},
        "wishes": [
            {
                "figure": w.figure,
                "kind": w.kind,
                "limit": w.limit,
                "unit": FIGURES[w.figure],
                "margin_now": _number(placed.now.margins[i], 3),
                "margin": None if best is None else _number(best.margins[i], 3),
                "held": best is not None and best.margins[i] >= HELD,
            }
            for i, w in enumerate(study.wishes)
        ],
        "map": {
            "forward_mm": list(study.range.forward),
            "up_mm": list(study.range.up),
            "count": study.range.count,
            "share_held": round(float(held), 4),
        },
        "cautions": [read(c) for c in cautions()],
        "findings": [f.as_dict(read) for f in placed.findings],
    }


def _place(best: Recommended) -> dict[str, Any]:
    ways = ("forward", "left", "up")
    return {
        "shift_mm": {w: _number(float(v), 2) for w, v in zip(ways, best.shift, strict=True)},
        "standard_error_mm": {w: _number(float(v), 2) for w, v in zip(ways, best.shift_error, strict=True)},
        "tolerance_mm": None if best.tolerance_mm is None else _number(best.tolerance_mm, 2),
        "least_margin": _number(best.margin, 3),
    }


def _figures(at: Recommended, costs: bool = False) -> dict[str, Any]:
    out = {}
    for name, value in at.values.items():
        row: dict[str, Any] = {
            "value": _number(float(value), 4),
            "standard_error": _number(float(at.errors[name]), 4),
            "unit": FIGURES[name],
        }
        if costs:
            row["for_1_mm"] = {
                w: _number(float(c), 5) for w, c in zip(("forward", "left", "up"), at.costs[name], strict=True)
            }
        out[name] = row
    return out


def _number(value: float, digits: int) -> float | None:
    return round(value, digits) + 0.0 if math.isfinite(value) else None
