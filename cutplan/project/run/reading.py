"""How the drawing of a job was read: the reading itself, for the first picture of the documents."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from cutplan.errors import CutplanError
from cutplan.files.job.tables.plate import drawing_of, inside
from cutplan.files.job.toml import read_toml
from cutplan.files.known_length import parse_known
from cutplan.project.steering import folder_of

if TYPE_CHECKING:
    from cutplan.files.drawing_in import Drawing


def reading_of(job_path: Path) -> Drawing | None:
    """Return the reading of a job's drawing as the job was read; None for a plate that comes from no drawing."""
    folder = folder_of(job_path)
    try:
        data = read_toml(folder / "job.toml" if job_path.is_dir() else job_path)
        plate: dict[str, Any] = data["plate"]
        path = inside(folder, plate["drawing"])
        length = plate.get("drawing_length")
        known = parse_known(length, data["units"]) if length else None
        layers = plate.get("layers")
        if path is None:
            return None
        return drawing_of(
            path,
            plate.get("drawing_units") or None,
            plate.get("repair") is True,
            tuple(layers) if layers else None,
            known,
            plate.get("frame") or None,
        )
    except (CutplanError, KeyError, TypeError):  # such a job has been refused already
        return None
