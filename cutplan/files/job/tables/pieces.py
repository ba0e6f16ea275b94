"""The ``[[piece]]`` tables: further parts of a job that are only cut, written like the plate itself."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from cutplan.files.job.declared.survey import SURVEY
from cutplan.files.job.keys import Keys
from cutplan.files.job.tables.plate import read_plate
from cutplan.findings import Finding
from cutplan.geometry.contour import rectangle
from cutplan.pattern.plate import Piece, Plate

#: Keys of the plate that hold for a piece which does not say otherwise.
_SHARED = ("thickness", "steel")


def read_pieces(top: Keys, folder: Path) -> tuple[tuple[Piece, ...], tuple[Finding, ...]]:
    """Return the further parts of a job file and what reading them noticed; problems go to the report of ``top``.

    Parameters
    ----------
    top : Keys
        The whole job file.
    folder : Path
        Where drawings lie.
    """
    shared = top.data.get("plate")
    usual: dict[str, Any] = {k: shared[k] for k in _SHARED if k in shared} if isinstance(shared, dict) else {}
    pieces: list[Piece] = []
    findings: list[Finding] = []
    for number, given in enumerate(top.take("piece"), 1):
        k = given.filled(usual)
        name = k.take("name") or f"piece {number}"
        mirrored = k.take("mirrored")
        read = read_plate(k, top.empty("survey", SURVEY), folder)
        findings.extend(read.findings)
        plate = read.plate or Plate(rectangle(0.0, 0.0, 100.0, 100.0), (), 3.0)
        outline = plate.outline.oriented(ccw=True)
        pieces.append(
            Piece(name, Plate(outline, plate.holes, plate.thickness_mm, plate.steel, plate.quantity), mirrored)
        )
    return tuple(pieces), tuple(findings)
