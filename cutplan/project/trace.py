"""From pictures to a plate: marks to print, a card traced, the outline shown for a look and its holes counted."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from cutplan.drawing.model import Document
from cutplan.errors import DrawingError, UsageError
from cutplan.files.job.shop.read import find_shop, read_shop
from cutplan.findings import Finding
from cutplan.photo.adjustment.adjust import Scale
from cutplan.photo.adjustment.solved import Known
from cutplan.photo.plate import TOLERANCE_MM, Traced, Wanted, trace
from cutplan.project.single import refuse_others, write_own
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
    """A plate traced but not yet confirmed: the plate, a picture of it over the first photograph (PNG), what was asked."""

    traced: Traced
    picture: bytes
    request: Request

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
    OutputError
        When a file that is not ours stands there.
    """
    refuse_others(target)
    write_own(target, marks_pdf(paper, read))
    return target


def marks_pdf(paper: str, read: Reader = ENGLISH) -> bytes:
    """Return the strips of marks as PDF.

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
    return render_pdf(Document(marks_pages(paper, read), title, subject=title, language=read.language))


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
    scale, noted = _printer(request)
    wanted = Wanted(request.thickness_mm, known, scale, request.scan, request.tolerance_mm)
    pictures = [read_picture(p) for p in request.pictures]
    traced = trace(pictures, wanted, progress)
    return Found(replace(traced, findings=(*traced.findings, *noted)), confirmation(traced, pictures[0]), request)


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


def _printer(request: Request) -> tuple[Scale | None, tuple[Finding, ...]]:
    """Return what a shop file knows of the printer: the one named, else the one beside the pictures or the user's own."""
    named = request.shop is not None
    path = request.shop or find_shop(request.pictures[0].parent)
    if path is None:
        return None, ()
    shop = read_shop(path)
    if all(p.name != request.printer for p in shop.printers):
        if not named:
            return None, ()
        raise UsageError(
            say("the shop file holds no calibration of printer {printer}", printer=code(request.printer)),
            str(path),
            say("make one with {coupon}", coupon=code("cutplan coupon paper")),
        )
    p = shop.printer(request.printer)
    error = p.reading_mm / max(p.length_mm, 100.0)
    used = Finding(
        "print-scale-known",
        "note",
        say("the scale of printer {printer} is taken from the shop file", printer=code(request.printer)),
        path.name,
        say("only right when the marks were printed on it: else name another with {option}", option=code("--printer")),
    )
    return Scale(p.x, p.y, error, error), (used,)


def confirm(found: Found, holes: int) -> None:
    """Refuse a plate whose holes are not as many as the user counts.

    Raises
    ------
    DrawingError
        When the numbers differ.
    """
    confirm_count(found.holes, holes)


def confirm_count(found: int, said: int) -> None:
    """Refuse a plate with ``found`` holes when the user counts another number.

    Raises
    ------
    DrawingError
        When the numbers differ.
    """
    if found != said:
        raise DrawingError(
            say("holes found: {found}; holes said: {said}", found=number(found), said=number(said)),
            "",
            say(
                "look at the picture of the outline found: a hole with no edge to be seen, or dirt taken for one, needs another "
                "picture"
            ),
        )


def told(traced: Traced) -> list[Message]:
    """Return the plate and how sure it is, one message a line."""
    adjusted, box = traced.solved.adjusted, traced.region.box
    out = [
        say(
            "plate {size}: {pieces} lines and arcs, holes: {holes}",
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
