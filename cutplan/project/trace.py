"""From pictures to a drawing: marks to print, a card traced, the outline shown for a look, the drawing written."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from cutplan.drawing.model import Document
from cutplan.errors import DrawingError, UsageError
from cutplan.files.job.shop import read_shop
from cutplan.files.traced import account_path
from cutplan.findings import Finding
from cutplan.photo.adjustment.adjust import Scale
from cutplan.photo.adjustment.solved import Known
from cutplan.photo.plate import TOLERANCE_MM, Traced, Wanted, trace
from cutplan.project.folder.write import write_file
from cutplan.tables.paper import SHEETS
from cutplan.texts import ENGLISH, Message, Reader, code, mm, name, number, place, say, size, together

#: Most pictures of one card.
MOST_PICTURES = 12


@dataclass(frozen=True, slots=True)
class Request:
    """What is to be traced.

    ``known`` maps ``A1-D2`` to a length [mm]; ``shop`` and ``printer`` name a calibrated printer; ``reading_mm`` is the
    error of the rule or caliper [mm]. Lengths in mm.
    """

    pictures: tuple[Path, ...]
    thickness_mm: float
    known: Mapping[str, float]
    scan: bool = False
    shop: Path | None = None
    printer: str = "default"
    reading_mm: float = 0.1
    tolerance_mm: float = TOLERANCE_MM


@dataclass(frozen=True, slots=True)
class Found:
    """A plate traced but not yet confirmed: the plate, and a picture of it over the first photograph (PNG)."""

    traced: Traced
    picture: bytes

    @property
    def holes(self) -> int:
        """Number of holes found."""
        return len(self.traced.holes)


def make_marks(paper: str, target: Path, read: Reader = ENGLISH) -> Path:
    """Write the strips of marks as PDF and return the path.

    Raises
    ------
    UsageError
        For an unknown paper size.
    """
    from cutplan.drawing.pdf import render_pdf
    from cutplan.photo.marking.sheet import marks_pages

    if paper not in SHEETS:
        raise UsageError(
            say("{paper} is no paper size", paper=code(paper)),
            "--paper",
            say("one of {known}", known=code(", ".join(SHEETS))),
        )
    title = read(say("Strips of marks"))
    write_file(target, render_pdf(Document(marks_pages(paper, read), title, subject=title, language=read.language)))
    return target


def find(request: Request, progress: Callable[[str, int, int], None] | None = None) -> Found:
    """Return the plate that the pictures show, with a picture for the user to confirm.

    Raises
    ------
    DrawingError
        When something cannot be proved.
    UsageError
        When the call itself makes no sense.
    """
    from cutplan.photo.confirm import confirmation
    from cutplan.photo.picture import read_picture

    if not request.pictures or len(request.pictures) > MOST_PICTURES:
        raise UsageError(say("one to {most} pictures can be traced", most=number(MOST_PICTURES)), "trace")
    if not 0.1 <= request.thickness_mm <= 30.0:
        raise UsageError(say("a card is {low} to {high} thick", low=mm(0.1), high=mm(30.0)), "--thickness")
    known = tuple(known_length(k, v, request.reading_mm) for k, v in sorted(request.known.items()))
    wanted = Wanted(request.thickness_mm, known, _printer(request), request.scan, request.tolerance_mm)
    pictures = [read_picture(p) for p in request.pictures]
    traced = trace(pictures, wanted, progress)
    return Found(traced, confirmation(traced, pictures[0]))


def known_length(between: str, length_mm: float, error_mm: float) -> Known:
    """Return a measured length from its name, such as ``A1-D2`` (or ``A-D``: their crosses 1).

    Parameters
    ----------
    between : str
        The two crosses.
    length_mm : float
        Length between them [mm].
    error_mm : float
        Error of the reading [mm].

    Raises
    ------
    UsageError
        When the name is no length between two crosses.
    """
    from cutplan.photo.marking.marks import LETTERS

    ends = [part.strip().upper() for part in between.split("-")]
    parsed: list[tuple[str, int]] = []
    for end in ends:
        cross = end[1:] or "1"
        if not end or end[0] not in LETTERS or cross not in ("1", "2"):
            parsed = []
            break
        parsed.append((end[0], int(cross)))
    if len(parsed) != 2 or parsed[0] == parsed[1] or not 20.0 < length_mm < 5000.0:
        raise UsageError(
            say("{given} is no length between two crosses", given=code(f"{between}={length_mm:g}")),
            "--known",
            say("for example {example}", example=code("--known A1-D2=295.4")),
        )
    return Known(parsed[0][0], parsed[0][1], parsed[1][0], parsed[1][1], length_mm, error_mm)


def _printer(request: Request) -> Scale | None:
    if request.shop is None:
        return None
    shop = read_shop(request.shop)
    if all(p.name != request.printer for p in shop.printers):
        raise UsageError(
            say("the shop file holds no calibration of printer {printer}", printer=code(request.printer)),
            str(request.shop),
            say("make one with {coupon}", coupon=code("cutplan coupon paper")),
        )
    p = shop.printer(request.printer)
    error = p.reading_mm / max(p.length_mm, 100.0)
    return Scale(p.x, p.y, error, error)


def confirm(found: Found, holes: int) -> None:
    """Refuse a plate whose holes are not as many as the user counts.

    Raises
    ------
    DrawingError
        When the numbers differ.
    """
    if found.holes != holes:
        raise DrawingError(
            say("{found} holes are found, {said} are said", found=number(found.holes), said=number(holes)),
            "",
            say(
                "look at the picture of the outline found: a hole with no edge to be seen, or dirt taken for one, needs another "
                "picture"
            ),
        )


def write_plate(found: Found, target: Path, read: Reader = ENGLISH, inputs: Iterable[Path] = ()) -> tuple[Path, Path]:
    """Write the drawing and, beside it, the account of its errors; return both paths. Never over one of the inputs."""
    inputs = tuple(inputs)
    from cutplan.files.dxf.sketch import SketchLayer
    from cutplan.files.dxf.write import dxf_text

    region = found.traced.region
    layers = [SketchLayer("PLATE", (region.outer, *region.holes))]
    drawing = dxf_text(layers).encode("ascii")
    write_file(target, drawing, inputs)
    beside = account_path(target)
    account = {**account_of(found.traced, read), "drawing_sha256": hashlib.sha256(drawing).hexdigest()}
    text = json.dumps(account, indent=1, sort_keys=True, ensure_ascii=False)
    write_file(beside, (text + "\n").encode(), inputs)
    return target, beside


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


def told(traced: Traced) -> list[Message]:
    """Return the plate and how sure it is, one message a line."""
    adjusted, box = traced.solved.adjusted, traced.region.box
    out = [
        say(
            "plate {size}: {pieces} lines and arcs, {holes} holes",
            size=size(box.width, box.height, digits=2),
            pieces=number(len(traced.outer_errors)),
            holes=number(len(traced.holes)),
        ),
        say(
            "scale known to {percent:.3f} %; the marks fit to {off}",
            percent=100.0 * traced.account.scale,
            off=number(adjusted.rms_px, "px", 3),
        ),
    ]
    if traced.height_mm is not None:
        out.append(say("height of the face by parallax {height}", height=mm(traced.height_mm, 2)))
    for h in traced.holes:
        at = h.contour.as_circle()
        centre = at[0] if at else h.contour.centroid
        where = say("at {at}, standard error {error}", at=place(centre.x, centre.y, 2), error=mm(h.place_error_mm, 2))
        what = (
            say(
                "{name}: diameter {diameter}, standard error {error}",
                name=name(h.name),
                diameter=mm(2.0 * at[1], 2),
                error=mm(h.diameter_error_mm or 0.0, 2),
            )
            if at
            else say("{name}: another shape", name=name(h.name))
        )
        out.append(together(what, where, "" if h.proved else say("NOT PROVED"), sep="; "))
    worst = max(e.place_mm for e in traced.outer_errors)
    return [*out, say("outline: standard error of each line and arc {worst} or less", worst=mm(worst, 3))]


def findings_of(found: Found) -> tuple[Finding, ...]:
    """Return what is doubtful about a plate found."""
    return found.traced.findings
