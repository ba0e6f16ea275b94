"""What a tracing leaves: the drawing, the account of its errors beside it, and the table of a job that tells of both."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from cutplan.errors import JobError
from cutplan.files.job.declared.traced import TRACED
from cutplan.files.job.keys import Keys
from cutplan.files.job.problems import Problems
from cutplan.files.job.tables.traced import Pictures, read_pictures
from cutplan.files.job.toml import read_toml
from cutplan.files.traced import account_path
from cutplan.photo.plate import TOLERANCE_MM, Traced
from cutplan.project.folder.manifest import checksum
from cutplan.project.single import refuse_others, write_own
from cutplan.project.trace import Found, Request
from cutplan.texts import ENGLISH, Reader, code, say
from cutplan.units import UnitName, parse_length

#: Reading error of a rule or caliper that a table need not state [mm].
_READING_MM = 0.1


def write_plate(found: Found, target: Path, read: Reader = ENGLISH, inputs: Iterable[Path] = ()) -> tuple[Path, Path]:
    """Write the drawing and, beside it, the account of its errors; return both paths. Never over one of the inputs, nor
    over a file that is not ours: a drawing is ours when the account beside it tells of it.
    """
    inputs = tuple(inputs)
    drawing, account = plate_files(found, read)
    beside = account_path(target)
    refuse_before(target)
    known = _drawn_before(beside)
    kept = [checksum(beside.read_bytes())] if known else []
    write_own(target, drawing, inputs, known)
    write_own(beside, account, inputs, kept)
    return target, beside


def refuse_before(target: Path) -> None:
    """Raise an error when the drawing or its account would replace a file that is not ours; see :func:`write_plate`.

    Raises
    ------
    OutputError
        Naming the file.
    """
    known = _drawn_before(account_path(target))
    refuse_others(target, known)
    if not known:
        refuse_others(account_path(target))


def _drawn_before(account: Path) -> list[str]:
    """The checksum of the drawing that an account of an earlier tracing tells of; empty where there is no account."""
    try:
        told = json.loads(account.read_text(encoding="utf-8")) if account.is_file() else None
    except (OSError, ValueError, RecursionError):
        return []
    found = told.get("drawing_sha256") if isinstance(told, dict) and "request" in told else None
    return [found] if isinstance(found, str) else []


def plate_files(found: Found, read: Reader = ENGLISH) -> tuple[bytes, bytes]:
    """Return the drawing (DXF) and the account of its errors (JSON)."""
    from cutplan.files.dxf.sketch import SketchLayer
    from cutplan.files.dxf.write import dxf_text

    region = found.traced.region
    drawing = dxf_text([SketchLayer("PLATE", (region.outer, *region.holes))]).encode("ascii")
    account = {
        **account_of(found.traced, read),
        "drawing_sha256": hashlib.sha256(drawing).hexdigest(),
        "request": {**table_of(found.request), "holes": found.holes},
    }
    text = json.dumps(account, indent=1, sort_keys=True, ensure_ascii=False)
    return drawing, (text + "\n").encode()


def table_of(request: Request) -> dict[str, Any]:
    """Return a request as the table ``[traced]`` of a job states it, without the count of holes."""
    table: dict[str, Any] = {
        "pictures": [p.name for p in request.pictures],
        "thickness": f"{request.thickness_mm:g} mm",
    }
    if request.known:
        table["known"] = [f"{between}={length:g} mm" for between, length in sorted(request.known.items())]
    if request.scan:
        table["scan"] = True
    if request.printer != "default":
        table["printer"] = request.printer
    if request.reading_mm != _READING_MM:
        table["reading"] = f"{request.reading_mm:g} mm"
    if request.tolerance_mm != TOLERANCE_MM:
        table["tolerance"] = f"{request.tolerance_mm:g} mm"
    return table


def request_of_job(path: Path) -> tuple[Request, Path, Pictures]:
    """Return what the table ``[traced]`` of a job asks for, where its drawing goes, and the table itself.

    Parameters
    ----------
    path : Path
        The job file, or its folder.

    Raises
    ------
    JobError
        When the job has no such table, or it or the drawing's name cannot be used.
    """
    path = path / "job.toml" if path.is_dir() else path
    data = read_toml(path)
    if not isinstance(data.get("traced"), dict):
        raise JobError(
            say("the job does not say what it is traced from"),
            path.name,
            say("write {this}, or name the pictures", this=code('[traced] pictures = ["1.jpg"]')),
        )
    problems = Problems(path.name)
    unit: UnitName = "in" if data.get("units") == "in" else "mm"
    stated = read_pictures(Keys(data["traced"], "traced", problems, unit, TRACED))
    plate = data.get("plate")
    drawing = plate.get("drawing") if isinstance(plate, dict) else None
    if not isinstance(drawing, str) or not drawing or Path(drawing).name != drawing:
        problems.add(
            "plate.drawing", say("is missing: the drawing that is written"), code('drawing = "plate.dxf"').text
        )
    problems.raise_if_any()
    known = {k.strip(): parse_length(v, unit, "traced.known") for k, _, v in (p.partition("=") for p in stated.known)}
    request = Request(
        tuple(path.parent / n for n in stated.names),
        stated.thickness_mm,
        known,
        stated.scan,
        None,
        stated.printer or "default",
        _READING_MM if stated.reading_mm is None else stated.reading_mm,
        TOLERANCE_MM if stated.tolerance_mm is None else stated.tolerance_mm,
    )
    return request, path.parent / str(drawing), stated


def account_of(traced: Traced, read: Reader = ENGLISH) -> dict[str, Any]:
    """Return the plate with its standard errors as plain data."""
    adjusted = traced.solved.adjusted
    box = traced.region.box
    return {
        "size_mm": [round(box.width, 3), round(box.height, 3)],
        "scale_error": round(traced.account.scale, 6),
        "print_scale": [round(float(v), 5) for v in adjusted.scale],
        "marks_residual_px": round(adjusted.rms_px, 4),
        "height_mm": None if traced.height_mm is None else round(traced.height_mm, 3),
        "outline": [
            {
                "kind": "arc" if e.radius_mm else "line",
                "length_mm": round(s.length, 3),
                "radius_mm": round(s.radius, 3) if hasattr(s, "radius") else None,
                "error_mm": round(e.place_mm, 3),
                "radius_error_mm": round(e.radius_mm, 3) if e.radius_mm else None,
            }
            for s, e in zip(traced.region.outer.segments, traced.outer_errors, strict=True)
        ],
        "holes": [
            {
                "name": h.name,
                "diameter_mm": round(2.0 * c[1], 3) if (c := h.contour.as_circle()) else None,
                "centre_mm": [round(v, 3) for v in (c[0] if c else h.contour.centroid)],
                "diameter_error_mm": None if h.diameter_error_mm is None else round(h.diameter_error_mm, 3),
                "place_error_mm": round(h.place_error_mm, 3),
                "proved": h.proved,
            }
            for h in traced.holes
        ],
        "findings": [f.as_dict(read) for f in traced.findings],
    }
